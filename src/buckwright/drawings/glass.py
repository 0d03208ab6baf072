"""Glass: each pane flat and in its true size to cut, and how far its outline lies off it."""

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import BIG, FIGURE, NAME, line, short_name, words
from buckwright.drawings.cautions import cautions_for, doubts
from buckwright.drawings.listing import lines_below
from buckwright.drawings.viewing import compass
from buckwright.geometry.cylinder import Cylinder
from buckwright.model.drawings import Label, Sheet, Stroke
from buckwright.model.job import Job
from buckwright.model.openings import Drop, GlassSpec, Opening, Openings, Pane
from buckwright.units import format_both

__all__ = ["glass_sheets"]

Array = NDArray[np.float64]

SHOWN = 25.0
"""mm on paper for the farthest that the outline lies off the surface."""
FINE = 0.5
"""mm below which a fit is so good that it is drawn no larger."""
TICKS = 36
BENDS = 9


def glass_sheets(job: Job, openings: Openings) -> tuple[Sheet, ...]:
    """For each pane a sheet to cut, and one that shows how its outline lies to it."""
    specs = {spec.name: spec for spec in job.openings}
    sheets: list[Sheet] = []
    for opening in openings.openings:
        spec = specs.get(opening.name)
        if spec is None or spec.glass is None or opening.pane is None:
            continue
        for make, word in ((_cut_sheet, "glass"), (_off_sheet, "glass-fit")):
            name = short_name(f"{word}-{opening.name}", (sheet.name for sheet in sheets))
            sheets.append(make(job, opening, spec.glass, opening.pane, name))
    return tuple(sheets)


def _upright(pane: Pane) -> Array:
    """(2, 2) rotation of the flat piece so that up is up on paper, outside towards the reader."""
    up = np.asarray(pane.axes)[:2, 2]
    size = float(np.linalg.norm(up))
    up = up / size if size > 1e-6 else np.array([0.0, 1.0])
    # The surface's own axes are right-handed about its inward normal: outside it reads mirrored.
    turn = np.array([[up[1], -up[0]], [up[0], up[1]]])
    return np.asarray(turn * np.array([[-1.0], [1.0]]), dtype=np.float64)


def _laid(pane: Pane, flat: Array) -> Array:
    return np.asarray(flat @ _upright(pane).T)


def _cut_sheet(job: Job, opening: Opening, glass: GlassSpec, pane: Pane, name: str) -> Sheet:
    outline = _laid(pane, np.asarray(pane.outline))
    low, high = outline.min(axis=0), outline.max(axis=0)
    middle = 0.5 * (low + high)
    strokes = [Stroke(ink="cut", points=outline, closed=True, name=f"glass of {opening.name}")]
    labels = [
        words((middle[0], middle[1] - 8.0), f"{opening.name}: OUTSIDE", NAME, centred=True),
    ]
    ways = np.vstack([_upright(pane) @ np.asarray(pane.axes)[:2], -np.asarray(pane.axes)[2:]])
    arrows, arrow_words = compass((float(middle[0]), float(middle[1]) + 16.0), ways)
    strokes += arrows
    labels += arrow_words
    if pane.shape == "cylinder":
        strokes += _bend_lines(pane, outline)
    lines = (
        (f"Glass of {opening.name}", BIG),
        (f"true size, laid flat, {glass.thickness:g} mm thick, seen from outside", NAME),
        *((text, FIGURE) for text in _figures(glass, pane)),
        (f"{job.name} {job.revision}", FIGURE),
    )
    block = lines_below((float(low[0]), float(low[1]) - 16.0), lines, width=700.0)
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: glass of {opening.name}",
        strokes=tuple(strokes),
        labels=(*labels, *block),
        notes=(
            "A pattern for the glazier. Cut a template of card or ply first and try it in the "
            "finished opening: metal never comes out as drawn.",
            *doubts(opening.findings, opening.name),
            *cautions_for("glass"),
        ),
        kind="opening",
        cut_file=True,
    )


def _bend_lines(pane: Pane, outline: Array) -> list[Stroke]:
    """Thin lines along the cylinder's axis: straight on the bent pane."""
    along = _upright(pane) @ np.array([0.0, 1.0])
    across = np.array([-along[1], along[0]])
    place, run = outline @ across, outline @ along
    found = []
    for at in np.linspace(place.min(), place.max(), BENDS + 2)[1:-1]:
        sides = np.column_stack([place - at, np.roll(place, -1) - at])
        crossed = np.flatnonzero((sides[:, 0] < 0.0) != (sides[:, 1] < 0.0))
        share = sides[crossed, 0] / (sides[crossed, 0] - sides[crossed, 1])
        ends = run[crossed] + share * (np.roll(run, -1)[crossed] - run[crossed])
        if len(ends) >= 2:
            low, high = float(ends.min()), float(ends.max())
            found.append(line("thin", at * across + low * along, at * across + high * along))
    return found


def _off_sheet(job: Job, opening: Opening, glass: GlassSpec, pane: Pane, name: str) -> Sheet:
    """The outline with its distance from the surface drawn outward, much enlarged."""
    surface = Cylinder(np.array(pane.origin), np.asarray(pane.axes), pane.curvature)
    edge = _laid(pane, surface.develop(np.asarray(pane.edge)))
    off = np.asarray(pane.off)
    scale = SHOWN / max(pane.off_most, FINE)
    along = np.roll(edge, -1, axis=0) - np.roll(edge, 1, axis=0)
    out = np.column_stack([along[:, 1], -along[:, 0]])
    out /= np.maximum(np.linalg.norm(out, axis=1, keepdims=True), 1e-9)
    area = 0.5 * np.sum(edge[:, 0] * np.roll(edge[:, 1], -1) - np.roll(edge[:, 0], -1) * edge[:, 1])
    out *= np.sign(area) or 1.0
    # Outside the surface is drawn outward, inside inward.
    ends = edge - scale * off[:, None] * out
    strokes = [
        Stroke(ink="outline", points=edge, closed=True, name="outline"),
        Stroke(ink="stretch", points=ends, closed=True, name="distance, enlarged"),
    ]
    labels: list[Label] = []
    for k in np.linspace(0, len(edge), TICKS, endpoint=False).astype(int):
        strokes.append(line("thin", edge[k], ends[k]))
    worst = int(np.argmax(np.abs(off)))
    text = f"{abs(off[worst]):.2f} mm {'inside' if off[worst] > 0.0 else 'outside'}"
    labels.append(words(ends[worst] + 6.0, text, FIGURE))
    low = np.vstack([stroke.points for stroke in strokes]).min(axis=0)
    lines = (
        (f"Glass of {opening.name}: how its outline lies to it", BIG),
        (f"distances {scale:.0f} times as large as they are; seen from outside", NAME),
        *((text, FIGURE) for text in _figures(glass, pane)[:2]),
        (f"{job.name} {job.revision}", FIGURE),
    )
    block = lines_below((float(low[0]), float(low[1]) - 16.0), lines, width=700.0)
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: fit of the glass of {opening.name}",
        strokes=tuple(strokes),
        labels=(*labels, *block),
        notes=(*doubts(opening.findings, opening.name), *cautions_for("glass")),
        kind="opening",
    )


def _figures(glass: GlassSpec, pane: Pane) -> list[str]:
    shape = "flat"
    if pane.shape == "cylinder" and pane.curvature != 0.0:
        radius = 1.0 / pane.curvature
        shape = f"bent to radius {format_both(abs(radius))}, " + (
            "hollow side inward" if radius > 0.0 else "hollow side outward"
        )
    other = "bent in one direction" if pane.shape == "flat" else "flat"
    told = [
        f"{shape}; {pane.area / 1e6:.3f} m2; reaches {glass.overlap:g} mm beyond the outline",
        f"the outline lies {pane.off_rms:.2f} mm rms, {pane.off_most:.2f} mm at worst off it "
        f"({other}: {pane.off_other:.2f})",
        f"outer face {glass.set_in:g} to {pane.stands_in:.1f} mm behind the metal's inner face",
    ]
    return told if pane.drop is None else [*told, *_drop_figures(pane.drop)]


def _drop_figures(drop: Drop) -> list[str]:
    how = (
        f"drops all of {format_both(drop.wanted)}"
        if not drop.stopped_by
        else f"DROPS ONLY {format_both(drop.reached)} of {format_both(drop.wanted)}, then meets "
        f"{drop.stopped_by}"
    )
    return [
        how,
        f"least room on the way: {drop.outer.min():.1f} mm to the outer metal, "
        f"{drop.inner.min():.1f} to the trim, {drop.edge.min():.1f} to the edge of the door",
    ]
