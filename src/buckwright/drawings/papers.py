"""Paper patterns: numbered strips at full size with the gaps and overlaps they must show."""

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import BIG, FIGURE, NAME, line, short_name, words
from buckwright.drawings.cautions import cautions_for, doubts
from buckwright.drawings.listing import lines_below, list_columns
from buckwright.model.drawings import Label, Sheet, Stroke
from buckwright.model.job import Job
from buckwright.model.papers import PaperJoint, PaperPattern, PaperStrip

__all__ = ["paper_sheets"]

Array = NDArray[np.float64]

SPACE = 30.0
"""mm between strips on the sheet."""
MOST = 900.0
"""mm, height of a column of strips."""


def paper_sheets(job: Job, patterns: tuple[PaperPattern, ...]) -> tuple[Sheet, ...]:
    """One sheet for each pattern: the strips to cut out, then the table of gaps and overlaps."""
    sheets: list[Sheet] = []
    for pattern in patterns:
        name = short_name(f"paper-{pattern.panel}", (sheet.name for sheet in sheets))
        sheets.append(_sheet(job, pattern, name))
    return tuple(sheets)


def _sheet(job: Job, pattern: PaperPattern, name: str) -> Sheet:
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for strip, place in zip(pattern.strips, _places(pattern), strict=True):
        drawn, told = _strip(pattern, strip, place)
        strokes += drawn
        labels += told
    low = min(float(stroke.points[:, 1].min()) for stroke in strokes) - 2.0 * SPACE
    left = min(float(stroke.points[:, 0].min()) for stroke in strokes)
    right = max(float(stroke.points[:, 0].max()) for stroke in strokes)
    labels += lines_below((left, low), _facts(pattern), width=max(right - left, 500.0))
    low = min(label.at[1] for label in labels) - SPACE
    labels += list_columns((left, low), _table(pattern), FIGURE, most=60)
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: paper pattern of {pattern.panel}",
        strokes=tuple(strokes),
        labels=tuple(labels),
        notes=(
            "Cut the strips out of stiff paper. Lay strip 0 over the middle of the panel, the "
            "others beside it by number, so that all butt at the short line across them, and let "
            "each lie flat along its length without pulling it sideways.",
            "On the finished panel the next strip's edge lies where the drawn line is: inside the "
            "strip they overlap (negative figures: metal in excess, shrink), outside it they "
            "gape (positive: metal missing, stretch). Where the paper shows another figure, the "
            "metal is not there yet.",
            *doubts(pattern.findings, pattern.panel),
            *cautions_for("gauge"),
        ),
        kind="gauge",
    )


def _places(pattern: PaperPattern) -> list[Array]:
    """Where each strip's origin lies on the sheet: columns, each strip below the next."""
    reach = [strip.outline for strip in pattern.strips]
    long = max(float(np.ptp(outline[:, 0])) for outline in reach)
    pitch = pattern.width + SPACE
    rows = max(1, min(len(reach), int(MOST / pitch)))
    left = min(float(outline[:, 0].min()) for outline in reach)
    return [
        np.array([(k // rows) * (long + 2.0 * SPACE) - left, (k % rows) * pitch])
        for k in range(len(reach))
    ]


def _strip(
    pattern: PaperPattern, strip: PaperStrip, place: Array
) -> tuple[list[Stroke], list[Label]]:
    """The strip with its number, the mark of the spine, and the edges of its neighbours."""
    half = 0.5 * pattern.width
    low, high = strip.outline[:, 1].min(), strip.outline[:, 1].max()
    strokes = [
        Stroke(ink="cut", points=strip.outline + place, closed=True, name=f"strip {strip.number}"),
        line("mark", place + np.array([0.0, low]), place + np.array([0.0, high]), name="spine"),
    ]
    labels = [words(place + np.array([4.0, -0.5 * NAME]), f"{strip.number}", NAME)]
    for joint in pattern.joints:
        if strip.number not in joint.strips:
            continue
        sign = 1.0 if strip.number == joint.strips[0] else -1.0
        edge = np.column_stack([joint.at, sign * (half + joint.gap)]) + place
        ink = "stretch" if joint.gap.sum() > 0.0 else "shrink"
        if len(edge) > 1 and float(np.abs(joint.gap).max()) >= 0.05:
            strokes.append(Stroke(ink=ink, points=edge, name=f"edge of {_beside(joint, strip)}"))
        labels += _figures(joint, sign, half, place)
    return strokes, labels


def _beside(joint: PaperJoint, strip: PaperStrip) -> int:
    return joint.strips[1] if strip.number == joint.strips[0] else joint.strips[0]


def _figures(joint: PaperJoint, sign: float, half: float, place: Array) -> list[Label]:
    """The gap in mm outside the strip's edge at each station; none where they butt."""
    off = half + 3.0 if sign > 0.0 else -half - 3.0 - FIGURE
    return [
        words(place + np.array([at, off]), f"{gap:+.1f}", FIGURE, centred=True)
        for at, gap in zip(joint.at.tolist(), joint.gap.tolist(), strict=True)
        if abs(gap) >= 0.05
    ]


def _facts(pattern: PaperPattern) -> list[tuple[str, float]]:
    whole = pattern.panel_area
    return [
        (pattern.panel, BIG),
        (pattern.words, NAME),
        (
            f"{len(pattern.strips)} strips of {pattern.width:g} mm, {pattern.run} the blank. "
            f"Panel {whole / 100.0:.0f} cm2 = paper {pattern.paper_area / 100.0:.0f} "
            f"+ missing {pattern.missing / 100.0:.1f} - excess {pattern.excess / 100.0:.1f} "
            f"(blank {pattern.blank_area / 100.0:.0f} cm2; "
            f"{100.0 * abs(pattern.unaccounted) / whole:.1f} % not told, at the edges).",
            FIGURE,
        ),
    ]


def _table(pattern: PaperPattern) -> list[list[str]]:
    """Rows of strips and stations with the gap or overlap there."""
    stations = sorted({round(float(at)) for joint in pattern.joints for at in joint.at})
    rows = [["between", *(f"{at:+d}" if at else "spine" for at in stations)]]
    for joint in pattern.joints:
        told = {
            round(at): f"{gap + 0.0:+.1f}" if abs(gap) >= 0.05 else "butt"
            for at, gap in zip(joint.at.tolist(), joint.gap.tolist(), strict=True)
        }
        rows.append(
            [f"{joint.strips[0]} | {joint.strips[1]}", *(told.get(s, "") for s in stations)]
        )
    return rows
