"""Side elevation, plan, front and rear elevation of the network, with stations and wheelbase."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import (
    BIG,
    FIGURE,
    NAME,
    cross,
    dimension,
    line,
    ring,
    short_name,
    station_grid,
    words,
)
from buckwright.drawings.cautions import cautions_for
from buckwright.drawings.package import package_notes, package_strokes
from buckwright.drawings.placing import place_names
from buckwright.geometry.circle import fit_circle
from buckwright.model.drawings import Ink, Label, Sheet, Stroke
from buckwright.model.job import Job, Reference
from buckwright.model.lines import Departure, Line
from buckwright.model.package import Package
from buckwright.units import format_both, format_length

__all__ = ["ELEVATIONS", "elevation_sheets", "fine_points"]

Array = NDArray[np.float64]

FLAT_ENOUGH = 0.02
"""mm between a drawn polyline and its curve."""


@dataclass(frozen=True)
class Elevation:
    """A drafting view: which vehicle axes run across and up, and how words there read."""

    title: str
    across: int
    up: int
    sense: float = 1.0

    def flat(self, points: Array) -> Array:
        """(n, 2) of points (n, 3) in vehicle axes."""
        return np.column_stack([self.sense * points[:, self.across], points[:, self.up]])


ELEVATIONS = (
    Elevation("Side elevation", 0, 2),
    Elevation("Plan", 0, 1),
    Elevation("Front elevation", 1, 2, -1.0),
    Elevation("Rear elevation", 1, 2),
)
"""Seen from the left, from above (front to the left), from the front, from behind."""


def elevation_sheets(
    job: Job, reference: Reference, package: Package | None = None
) -> tuple[Sheet, ...]:
    """One sheet for each drafting view, in vehicle millimetres, every line named.

    People and package, if given, are drawn thin behind the lines.
    """
    datum = {spec.name for spec in job.lines if spec.use == "datum"}
    body = [one for one in reference.network.lines if one.name not in datum]
    points = {one.name: fine_points(one) for one in body}
    return tuple(_sheet(view, job, reference, body, points, package) for view in ELEVATIONS)


def fine_points(line: Line) -> Array:
    """(n, 3) points so dense that the polyline is within 0.02 mm of the curve; ends included."""
    count = 65
    while count < 4096:
        points = line.points(2 * count - 1)
        middle = 0.5 * (points[:-2:2] + points[2::2])
        if np.linalg.norm(points[1::2] - middle, axis=1).max() <= FLAT_ENOUGH:
            return points[::2]
        count = 2 * count - 1
    return line.points(count)


def _sheet(
    view: Elevation,
    job: Job,
    reference: Reference,
    lines: Sequence[Line],
    points: dict[str, Array],
    package: Package | None,
) -> Sheet:
    shown = [one for one in lines if _shows(view, one, points, job)]
    strokes = [_stroke(view, one, points[one.name], job) for one in shown]
    others = [_mirrored(view, one, points[one.name], job) for one in _one_sided(shown, points, job)]
    body = np.vstack([stroke.points for stroke in (*strokes, *others)])
    inside = package_strokes(package, view.across, view.up, view.sense)
    drawn = np.vstack([body, *(stroke.points for stroke in inside)])
    low, high = drawn.min(axis=0), drawn.max(axis=0)
    extra, marks = _axles(view, job, reference)
    if view.title == "Side elevation":
        low = np.minimum(low, [-400.0, 0.0])
        high = np.maximum(high, [reference.wheelbase + 400.0, 0.0])
    grid, figures = station_grid(
        low, high, ("xyz"[view.across], "xyz"[view.up]), flip=view.sense < 0.0
    )
    sizes, size_words = _sizes(view, body.min(axis=0), body.max(axis=0), high)
    zones, zone_words = _zones(view, reference.zones_in_force(job.departures), high)
    named = sorted(
        ((s.name, s.points) for s in strokes), key=lambda pair: float(np.ptp(pair[1], axis=0).sum())
    )
    zero = [stroke for stroke in grid if stroke.ink == "centre"]
    names = place_names(named, [*strokes, *others, *extra, *zero], NAME)
    left, bottom = np.floor(low / 100.0) * 100.0
    title = words((left, bottom - 110.0), f"{view.title} - {job.name} {job.revision}", BIG)
    return Sheet(
        name=short_name(view.title),
        title=f"{job.name}, revision {job.revision}: {view.title.lower()}, full size",
        strokes=(*grid, *inside, *others, *strokes, *extra, *sizes, *zones),
        labels=(*figures, *names, *marks, *size_words, *zone_words, title),
        notes=(*_notes(view, job, reference, shown, points), *package_notes(package)),
        kind="elevation",
    )


def _shows(view: Elevation, one: Line, points: dict[str, Array], job: Job) -> bool:
    paired = any(spec.mirror for spec in job.lines if spec.name == one.name)
    here = points[one.name]
    if view.title == "Side elevation":
        return not (paired and here[:, 1].mean() > 0.0)
    if view.title == "Plan":
        return True
    everything = np.concatenate([p[:, 0] for p in points.values()])
    front, rear = everything.min(), everything.max()
    long = np.ptp(here[:, 0]) > 0.6 * (rear - front)
    in_front = bool(here[:, 0].mean() <= 0.5 * (front + rear))
    return long or in_front == (view.title == "Front elevation")


def _stroke(view: Elevation, one: Line, points: Array, job: Job) -> Stroke:
    taped = any(spec.mark == "tape" for spec in job.lines if spec.name == one.name)
    ink: Ink = "crease" if taped else "outline"
    flat = view.flat(points)
    return Stroke(
        ink=ink, points=flat[:-1] if one.closed else flat, closed=one.closed, name=one.name
    )


def _one_sided(shown: Sequence[Line], points: dict[str, Array], job: Job) -> list[Line]:
    """Lines of the left that stand for both sides."""
    paired = {spec.name for spec in job.lines if spec.mirror}
    return [one for one in shown if points[one.name][:, 1].max() < 0.0 and one.name not in paired]


def _mirrored(view: Elevation, one: Line, points: Array, job: Job) -> Stroke:
    drawn = _stroke(view, one, points * np.array([1.0, -1.0, 1.0]), job)
    return drawn.model_copy(update={"name": f"{one.name}, right"})


def _axles(
    view: Elevation, job: Job, reference: Reference
) -> tuple[tuple[Stroke, ...], tuple[Label, ...]]:
    if view.title != "Side elevation":
        return (), ()
    base = reference.wheelbase
    strokes: list[Stroke] = []
    wheels = job.datum and zip(
        (0.0, base), (job.datum.front_axle, job.datum.rear_axle), strict=True
    )
    for x, rims in wheels or ():
        rim = next((placed for placed in reference.placed if placed.name in rims), None)
        if rim is not None:
            centre, _, radius, _ = fit_circle(rim.points)
            strokes += [ring("centre", (x, centre[2]), radius, rim.name)]
            strokes += cross((x, centre[2]), radius + 30.0, "centre")
    if base <= 0.0:
        return tuple(strokes), ()
    sized, text = dimension(
        (0.0, 0.0), (base, 0.0), f"wheelbase {format_both(base)}", off=-60.0, height=NAME
    )
    return (*strokes, *sized), (text,)


def _sizes(
    view: Elevation, low: Array, high: Array, grid_high: Array
) -> tuple[tuple[Stroke, ...], tuple[Label, ...]]:
    """Overall sizes of what is drawn: across above the grid, up to the right of it."""
    top = np.ceil(grid_high[1] / 100.0) * 100.0 + 60.0
    right = np.ceil(grid_high[0] / 100.0) * 100.0 + 110.0
    across, words_across = dimension(
        (low[0], high[1]),
        (high[0], high[1]),
        f"over all {format_both(float(high[0] - low[0]))}",
        off=float(top - high[1]),
    )
    up, words_up = dimension(
        (high[0], low[1]),
        (high[0], high[1]),
        f"over all {format_both(float(high[1] - low[1]))}",
        off=-float(right - high[0]),
    )
    return (*across, *up), (words_across, words_up)


def _zones(
    view: Elevation, departures: tuple[Departure, ...], high: Array
) -> tuple[list[Stroke], list[Label]]:
    """A bracket over each stretch zone that lies across the view."""
    strokes: list[Stroke] = []
    labels: list[Label] = []
    top = float(np.ceil(high[1] / 100.0) * 100.0) + 120.0
    if view.sense < 0.0:
        return strokes, labels
    active = [one for one in departures if "xyz".index(one.axis) == view.across]
    for one in active:
        before = sum(other.by for other in active if other.end <= one.start)
        start, end = one.start + before, one.end + before + one.by
        strokes += [
            line("centre", (start, top - 40.0), (start, top)),
            line("centre", (end, top - 40.0), (end, top)),
            line("centre", (start, top - 10.0), (end, top - 10.0)),
        ]
        text = f"{one.name}: {'+' if one.by > 0.0 else ''}{format_length(one.by, system='mm')}"
        labels.append(words((0.5 * (start + end), top), text, FIGURE, centred=True))
        top += 60.0
    return strokes, labels


def _change(departure: Departure) -> str:
    if departure.kind != "stretch":
        return departure.change()
    sign = "+" if departure.by > 0.0 else ""
    kept = f", {', '.join(departure.rigid)} kept rigid" if departure.rigid else ""
    return (
        f"{sign}{format_length(departure.by, system='mm')} between {departure.axis} "
        f"{departure.start:.0f} and {departure.end:.0f} of the reference{kept}"
    )


def _notes(
    view: Elevation,
    job: Job,
    reference: Reference,
    shown: list[Line],
    points: dict[str, Array],
) -> tuple[str, ...]:
    seen = {
        "Side elevation": "Seen from the left; the front is to the left.",
        "Plan": "Seen from above; the front is to the left, the vehicle's right side is up.",
        "Front elevation": "Seen from the front: the vehicle's left side is on the right.",
        "Rear elevation": "Seen from behind: the vehicle's left side is on the left.",
    }[view.title]
    one_sided = [one.name for one in _one_sided(shown, points, job)]
    mirrored = f"The right of {', '.join(one_sided)} is the mirror image of the left."
    departed = [f"{d.name}: {_change(d)}, because: {d.reason}." for d in job.departures if d.on]
    doubt, faired = (
        float(np.sqrt(np.mean(np.square(of))))
        for of in zip(*((one.sigma, one.doubt) for one in shown), strict=True)
    )
    return (
        f"{seen} Full size, millimetres: x rearward from the front axle, y to the right, z up.",
        f"Lines are measured to about {doubt:.1f} mm (standard error of a point); faired, they are "
        f"known to about {faired:.1f} mm.",
        *([mirrored] if one_sided else []),
        *departed,
        *(f"{f.where}: {f.message} {f.remedy}" for f in reference.network.findings),
        *cautions_for("elevation"),
    )
