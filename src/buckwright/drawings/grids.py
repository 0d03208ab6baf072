"""Grid sheets: squares on the blank with their finished lengths, and gauge strips for them."""

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.drawings.board import BIG, FIGURE, NAME, arrow, line, short_name, words
from buckwright.drawings.cautions import cautions_for
from buckwright.drawings.listing import lines_below
from buckwright.geometry.lettering import lettering_width
from buckwright.model.drawings import Label, Sheet, Stroke
from buckwright.model.grid import GridLine, PanelGrid
from buckwright.model.job import Job
from buckwright.model.panels import Blank, Panels

__all__ = ["grid_sheets"]

Array = NDArray[np.float64]

SMALL, SMALLEST = 5.0, 3.5
"""mm of capitals of a length on its line; the lesser in squares of 25 mm."""
STRIP, GAP = 30.0, 14.0
"""mm: width of a strip, and from one to the next."""
TICK = 9.0


def grid_sheets(job: Job, panels: Panels) -> tuple[Sheet, ...]:
    """For each grid a sheet of the blank's squares with their lengths, and one of its strips."""
    sheets: list[Sheet] = []
    blanks = {blank.panel: blank for blank in panels.blanks}
    for grid in panels.grids:
        taken = [sheet.name for sheet in sheets]
        sheets.append(
            _squares(job, grid, blanks[grid.panel], short_name(f"grid-{grid.panel}", taken))
        )
        strips = _strips(job, grid, short_name(f"strips-{grid.panel}", taken))
        sheets += [strips] if strips else []
    return tuple(sheets)


def _squares(job: Job, grid: PanelGrid, blank: Blank, name: str) -> Sheet:
    rulers = [
        Stroke(ink="grid", points=of.points[[0, -1]], name=f"grid {of.name}") for of in grid.lines
    ]
    outlines = [
        Stroke(ink="outline", points=ring, closed=True, name="trim line")
        for ring in (blank.net_outline, *blank.openings)
    ]
    lengths = [label for of in grid.lines for label in _lengths(of)]
    low = blank.net_outline.min(axis=0)
    grain = arrow((low[0], low[1] - 40.0), (low[0] + 160.0, low[1] - 40.0), head=14.0)
    block = lines_below(
        (float(low[0]), float(low[1]) - 50.0),
        (
            (f"{grid.panel}: grid", BIG),
            (
                f"squares {grid.square:g} mm on the flat blank; OUTSIDE UP; arrow along the grain",
                NAME,
            ),
            (
                "on each line: mm between the crossings on the finished panel, along its surface",
                FIGURE,
            ),
        ),
        width=max(float(np.ptp(blank.net_outline[:, 0])), 500.0),
    )
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: grid for {grid.panel}",
        strokes=(*rulers, *outlines, *grain),
        labels=(*lengths, *_end_names(grid.lines, blank.net_outline), *block),
        notes=(
            f"Mark the squares of {grid.square:g} mm on the blank with a soft pen, never a "
            "scriber, before the first blow. Lay the tape on the metal along a line from crossing "
            "to crossing: shorter than the figure, stretch on; longer, shrink.",
            *cautions_for("blank"),
        ),
        kind="blank",
    )


def _lengths(of: GridLine) -> list[Label]:
    """The finished length over the middle of each piece of the line that has room for it."""
    angle = 0.0 if of.way == "along" else 0.5 * np.pi
    up = np.array([-np.sin(angle), np.cos(angle)])
    found = []
    for start, end, length in zip(of.points[:-1], of.points[1:], of.panel_lengths, strict=True):
        text = f"{length:.1f}"
        room = float(np.linalg.norm(end - start)) - 2.0
        height = SMALL if room > 40.0 else SMALLEST
        if lettering_width(text, height) < room:
            middle = 0.5 * (start + end) + 0.35 * height * up
            found.append(words(middle, text, height, angle=angle, centred=True))
    return found


def _end_names(lines: tuple[GridLine, ...], outline: Array) -> list[Label]:
    """The lines' names beyond both their ends, each as near as it is clear of all else."""
    found: list[Label] = []
    rooms: list[shapely.Geometry] = [shapely.LinearRing(outline).buffer(1.5)]
    for of in lines:
        for last in (False, True):
            for off in (8.0, 20.0, 32.0, 44.0):
                label = _end_name(of, off, last=last)
                room = shapely.Polygon(label.corners())
                if not any(room.intersects(other) for other in rooms):
                    break
            found.append(label)
            rooms.append(room)
    return found


def _end_name(of: GridLine, off: float, *, last: bool) -> Label:
    """The line's name `off` mm beyond its first or its last end."""
    x, y = of.points[-1 if last else 0]
    if of.way == "along":
        left = x + off if last else x - lettering_width(of.name, NAME) - off
        return words((left, y - 0.5 * NAME), of.name, NAME)
    return words((x, y + off if last else y - off - NAME), of.name, NAME, centred=True)


def _strips(job: Job, grid: PanelGrid, name: str) -> Sheet | None:
    """Strips to cut and bend on the metal: the marks as they must lie, and as they began."""
    chosen = [of for of in grid.lines if of.strip]
    if not chosen:
        return None
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for number, of in enumerate(chosen):
        drawn, written = _strip(grid, of, -number * (STRIP + GAP))
        strokes += drawn
        labels += written
    base = -len(chosen) * (STRIP + GAP)
    block = lines_below(
        (0.0, base),
        (
            (f"{grid.panel}: gauge strips", BIG),
            ("upper edge: marks of the FINISHED panel; lower edge: marks of the flat blank", NAME),
        ),
    )
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: gauge strips for {grid.panel}",
        strokes=tuple(strokes),
        labels=(*labels, *block),
        notes=(
            "Cut the strips from thin card or shim. Lay a strip on the metal along the line of its "
            "name, first crossings together: at a finished place every crossing lies at its mark "
            "of the upper edge. The lower edge shows where it began.",
            *cautions_for("gauge"),
        ),
        kind="gauge",
        cut_file=True,
    )


def _strip(grid: PanelGrid, of: GridLine, top: float) -> tuple[list[Stroke], list[Label]]:
    done = np.concatenate([[0.0], np.cumsum(of.panel_lengths)])
    flat = np.concatenate([[0.0], np.cumsum(of.blank_lengths)])
    # Both rows are laid so that the middle crossing stands over itself.
    middle = len(done) // 2
    flat = flat - flat[middle] + done[middle]
    low, high = min(done[0], flat[0]) - 10.0, max(done[-1], flat[-1]) + 10.0
    box = np.array([[low, top - STRIP], [high, top - STRIP], [high, top], [low, top]])
    strokes = [Stroke(ink="cut", points=box, closed=True, name=f"strip {of.name}")]
    labels = [
        words((low + 3.0, top - 0.5 * (STRIP + SMALL)), f"{grid.panel} {of.name}", SMALL),
    ]
    for crossed, at, began in zip(of.crossings, done, flat, strict=True):
        strokes.append(line("mark", (at, top), (at, top - TICK), name=crossed))
        strokes.append(line("thin", (began, top - STRIP), (began, top - STRIP + 0.6 * TICK)))
        if crossed != "edge":
            labels.append(words((at + 1.5, top - TICK), crossed, SMALL))
    return strokes, _clear(labels)


def _clear(labels: list[Label]) -> list[Label]:
    """Those labels, in order, that do not lie over an earlier one."""
    kept: list[Label] = []
    rooms: list[shapely.Polygon] = []
    for label in labels:
        room = shapely.Polygon(label.corners())
        if not any(room.intersects(other) for other in rooms):
            kept.append(label)
            rooms.append(room)
    return kept
