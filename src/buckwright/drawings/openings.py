"""A sheet for each door or lid: its outline with the shut gap, hinge axis, swing and clearances."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import BIG, FIGURE, NAME, arrow, cross, line, short_name, words
from buckwright.drawings.cautions import cautions_for, doubts
from buckwright.drawings.listing import lines_below
from buckwright.drawings.viewing import compass, seen_from
from buckwright.geometry.mesh import section_mesh
from buckwright.geometry.turning import Axis, turn_about
from buckwright.model.drawings import Ink, Label, Sheet, Stroke
from buckwright.model.job import Job
from buckwright.model.openings import HingeAxis, Opening, Openings, OpeningSpec, Swing
from buckwright.model.skin import Skin
from buckwright.units import format_both

__all__ = ["door_sheets", "opening_view"]

Array = NDArray[np.float64]

ROUND = 320.0
"""mm round a door in plan within which the body is drawn."""
APART = 240.0
BEYOND = 60.0
"""mm by which the axis is drawn beyond its pins."""


def door_sheets(job: Job, openings: Openings, skin: Skin | None) -> tuple[Sheet, ...]:
    """A sheet for each opening that swings, or would."""
    specs = {spec.name: spec for spec in job.openings}
    sheets: list[Sheet] = []
    for opening in openings.openings:
        spec = specs.get(opening.name)
        if spec is None or opening.outline is None or opening.kind not in ("door", "lid"):
            continue
        name = short_name(f"swing-{opening.name}", (sheet.name for sheet in sheets))
        sheets.append(_sheet(job, opening, spec, skin, name))
    return tuple(sheets)


def opening_view(outline: Array) -> Array:
    """(3, 3) rows: across, up, towards the viewer, along vehicle axes, seen from outside."""
    spread = np.cross(outline - outline.mean(axis=0), np.roll(outline, -1, axis=0) - outline)
    normal = int(np.argmax(np.abs(spread.sum(axis=0))))
    x, y, z = np.eye(3)
    if normal == 1:
        side = 1.0 if outline[:, 1].mean() < 0.0 else -1.0
        return np.array([side * x, z, -side * y])
    if normal == 2:
        return np.array([x, y, z])
    return np.array([-y, z, -x])


def _sheet(job: Job, opening: Opening, spec: OpeningSpec, skin: Skin | None, name: str) -> Sheet:
    outline = opening.outline
    assert outline is not None
    axes = opening_view(outline.points)
    strokes, labels = _elevation(opening, axes)
    low = np.vstack([stroke.points for stroke in strokes]).min(axis=0)
    high = np.vstack([stroke.points for stroke in strokes]).max(axis=0)
    arrows, arrow_words = compass((float(high[0]) + 150.0, float(low[1])), axes)
    foot = float(low[1])
    if opening.swing is not None and opening.axis is not None:
        plan, plan_words = _plan(opening.swing, opening.axis, skin)
        top = float(np.vstack([stroke.points for stroke in plan]).max(axis=0)[1])
        left = float(np.vstack([stroke.points for stroke in plan]).min(axis=0)[0])
        shift = np.array([float(low[0]) - left, foot - APART - top])
        strokes += [s.model_copy(update={"points": s.points + shift}) for s in plan]
        labels += [
            w.model_copy(update={"at": (w.at[0] + shift[0], w.at[1] + shift[1])})
            for w in plan_words
        ]
        foot = float(np.vstack([stroke.points for stroke in strokes]).min(axis=0)[1])
    lines = (
        (opening.name, BIG),
        (f"Above: seen from {seen_from(axes)}. Below: in plan, front to the left.", NAME),
        *((text, FIGURE) for text in _figures(opening, spec)),
        (f"{job.name} {job.revision}", FIGURE),
    )
    block = lines_below((float(low[0]), foot - 30.0), lines, width=900.0)
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: {opening.name}",
        strokes=(*strokes, *arrows),
        labels=(*labels, *arrow_words, *block),
        notes=(
            "Full size as seen along the vehicle's axes, not unrolled. Thick: the edge of the "
            "part; thin: the edge of the body; the gap lies between.",
            *doubts(opening.findings, opening.name),
            *cautions_for("opening"),
        ),
        kind="opening",
    )


def _elevation(opening: Opening, axes: Array) -> tuple[list[Stroke], list[Label]]:
    outline = opening.outline
    assert outline is not None
    flat = axes[:2].T
    strokes = [
        _loop("outline", outline.inner @ flat, "edge of the part"),
        _loop("thin", outline.outer @ flat, "edge of the body"),
    ]
    labels: list[Label] = []
    if opening.pane is not None:
        strokes.append(_loop("crease", opening.pane.edge @ flat, "edge of the window"))
    if opening.axis is not None:
        axis = opening.axis
        low, high = (
            _on_axis(axis, at) @ flat for at in (axis.span[0] - BEYOND, axis.span[1] + BEYOND)
        )
        strokes.append(line("centre", low, high, name="hinge axis"))
        for at in axis.span:
            strokes += cross(_on_axis(axis, at) @ flat, 10.0)
        labels.append(words(high + np.array([6.0, 0.0]), "hinge axis", FIGURE))
    if opening.swing is not None:
        strokes += cross(np.array(opening.swing.least_at) @ flat, 8.0)
        text = f"least clearance {opening.swing.least:.1f}"
        labels.append(words(np.array(opening.swing.least_at) @ flat + 12.0, text, FIGURE))
    return strokes, labels


def _loop(ink: Ink, points: Array, name: str) -> Stroke:
    return Stroke(ink=ink, points=points, closed=True, name=name)


def _on_axis(axis: HingeAxis, at: float) -> Array:
    return np.asarray(np.array(axis.point) + at * np.array(axis.direction))


def _plan(swing: Swing, found: HingeAxis, skin: Skin | None) -> tuple[list[Stroke], list[Label]]:
    """Cut level with the middle of the axis: shut, half open, open; the free edge's way."""
    axis = Axis(np.array(found.point), np.array(found.direction))
    level = float(axis.point[2])
    strokes: list[Stroke] = []
    places: tuple[tuple[float, Ink], ...] = ((0.0, "outline"), (0.5, "thin"), (1.0, "crease"))
    for share, ink in places:
        turned = turn_about(swing.vertices, axis, swing.sense * share * swing.reached)
        strokes += _cut(turned, swing.triangles, level, ink, f"{share:.0%} open")
    if not strokes:
        strokes.append(line("outline", axis.point[:2] - 10.0, axis.point[:2] + 10.0))
    shut = np.vstack([stroke.points for stroke in strokes if stroke.ink == "outline"])
    if skin is not None:
        strokes += _body(skin, level, shut)
    arms = np.linalg.norm(shut - axis.point[:2], axis=1)
    free = np.append(shut[np.argmax(arms)], level)
    way = np.vstack(
        [
            turn_about(free[None], axis, swing.sense * angle)[0, :2]
            for angle in np.linspace(0.0, swing.reached, 60)
        ]
    )
    strokes += [
        Stroke(ink="centre", points=way, name="way of the free edge"),
        *arrow(way[-4], way[-1]),
        *cross(axis.point[:2], 12.0),
    ]
    degrees = f"{np.degrees(swing.reached):.0f} degrees"
    labels = [
        words(way[30] + 10.0, degrees, NAME),
        words(axis.point[:2] + np.array([14.0, 6.0]), "axis", FIGURE),
    ]
    if swing.touch is not None:
        at = np.array(swing.touch.point)[:2]
        strokes += cross(at, 14.0)
        labels.append(words(at + np.array([16.0, -14.0]), "first touch", NAME))
    return strokes, labels


def _cut(
    vertices: Array, triangles: NDArray[np.int64], level: float, ink: Ink, name: str
) -> list[Stroke]:
    cut = section_mesh(
        vertices, triangles, origin=np.array([0.0, 0.0, level]), normal=np.array([0.0, 0.0, 1.0])
    )
    return [Stroke(ink=ink, points=p[:, :2], closed=c, name=name) for p, c in cut]


def _body(skin: Skin, level: float, near: Array) -> list[Stroke]:
    """The skin of the body within reach of the door, cut at the same level."""
    low, high = near.min(axis=0) - ROUND, near.max(axis=0) + ROUND
    found: list[Stroke] = []
    for region in skin.regions:
        for stroke in _cut(region.vertices, region.triangles, level, "grid", region.name):
            here = np.all((stroke.points > low) & (stroke.points < high), axis=1)
            for run in np.split(
                np.flatnonzero(here), np.flatnonzero(np.diff(np.flatnonzero(here)) > 1) + 1
            ):
                if len(run) > 1:
                    found.append(Stroke(ink="grid", points=stroke.points[run], name=region.name))
    return found


def _figures(opening: Opening, spec: OpeningSpec) -> Sequence[str]:
    outline = opening.outline
    assert outline is not None
    told = [
        f"perimeter {format_both(outline.perimeter)}, area {outline.area / 1e6:.3f} m2; the "
        f"outline lies within {outline.off_most:.1f} mm of the skin",
        f"shut gap {format_both(spec.gap)}, along the bottom {format_both(spec.drain)}; part "
        f"{format_both(spec.thickness)} thick behind the metal",
    ]
    if opening.axis is not None:
        told += _axis_figures(opening.axis)
    if opening.swing is not None:
        told += _swing_figures(opening.swing)
    return told


def _axis_figures(axis: HingeAxis) -> list[str]:
    leans = ", ".join(
        f"{abs(np.degrees(angle)):.2f} degrees to the {word[0] if angle > 0.0 else word[1]}"
        for angle, word in (
            (axis.lean_right, ("right", "left")),
            (axis.lean_back, ("rear", "front")),
        )
    )
    true = (
        f"pins within {axis.residual:.2f} mm of one line"
        if axis.tested
        else "two pins, not tested for line"
    )
    low, high = (_on_axis(axis, at) for at in axis.span)
    ends = " to ".join("({:.0f}, {:.1f}, {:.0f})".format(*end) for end in (low, high))
    return [f"hinge axis from (x, y, z) {ends}; upward it leans {leans}; {true}"]


def _swing_figures(swing: Swing) -> list[str]:
    told = [
        f"least clearance {swing.least:.1f} mm, to {swing.least_against}, "
        f"{np.degrees(swing.least_angle):.0f} degrees open",
        f"free edge {'rises' if swing.lift > 0.0 else 'sinks'} by {format_both(abs(swing.lift))}",
    ]
    if swing.width > 0.0:
        told.append(
            f"way in {format_both(swing.width)} at its narrowest, at level {swing.width_at:.0f}"
        )
    if swing.touch is not None:
        told.insert(
            0,
            f"FIRST TOUCH after {np.degrees(swing.touch.angle):.2f} of "
            f"{np.degrees(swing.wanted):.0f} degrees: {swing.touch.part} meets "
            f"{swing.touch.against}",
        )
    return told
