"""Centre plane and axles of the model, found on the mat from its lines."""

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from buckwright.errors import JobError
from buckwright.geometry.circle import fit_circle
from buckwright.geometry.polyline import arc_lengths, closest_on_polyline
from buckwright.model.finding import Finding
from buckwright.model.lines import Datum, LineSpec
from buckwright.model.pictures import MeasuredLine
from buckwright.model.points import MeasuredPoint

__all__ = ["UP", "axle_centre", "centre_plane", "rearward_of"]

Array = NDArray[np.float64]
Lines = dict[str, MeasuredLine]

UP = np.array([0.0, 0.0, 1.0])
"""The mat's own z."""

MATCHED = 60
"""Points of a line that are enough to match it with its mirror image."""


def centre_plane(
    lines: Lines, pairs: tuple[tuple[str, str], ...], specs: tuple[LineSpec, ...]
) -> tuple[Array, float]:
    """Unit normal (level) and offset of the centre plane, normal . p = offset, on the mat."""
    if not pairs:
        raise JobError(
            "No line has a mirror partner, so the centre plane cannot be found.",
            "Measure one line on both sides, such as the belt, and name each as mirror image.",
        )
    left = np.array([lines[name].points.mean(axis=0) for name, _ in pairs])
    right = np.array([lines[other].points.mean(axis=0) for _, other in pairs])
    apart = (right - left)[:, :2]
    # Either line of a pair may have been named first: turn all the same way as the widest.
    widest = apart[int(np.argmax(np.linalg.norm(apart, axis=1)))]
    apart = apart * np.where(apart @ widest < 0.0, -1.0, 1.0)[:, None]
    angle = float(np.arctan2(*apart.sum(axis=0)[::-1]))
    middle = 0.5 * (left + right)
    start = np.array([angle, float(np.mean(middle @ _level(angle)))])
    matched = [(lines[a], lines[b]) for a, b in pairs]
    unknown = _matched(start, matched)
    paired = {name for pair in pairs for name in pair}
    datum = {spec.name for spec in specs if spec.use == "datum"}
    whole = [
        (line, line)
        for name, line in lines.items()
        if name not in paired | datum and _own_mirror(line, unknown)
    ]
    unknown = _matched(unknown, matched + whole)
    return _level(unknown[0]), float(unknown[1])


def _level(angle: float) -> Array:
    return np.array([np.cos(angle), np.sin(angle), 0.0])


def _reflect(points: Array, unknown: Array) -> Array:
    normal = _level(unknown[0])
    return np.asarray(points - 2.0 * np.outer(points @ normal - unknown[1], normal))


def _matched(start: Array, pairs: list[tuple[MeasuredLine, MeasuredLine]]) -> Array:
    """Angle and offset that bring each line best upon the mirror image of the other.

    Distances count in standard errors, beyond three of them less than squared.
    """

    def gaps(unknown: Array) -> Array:
        found = []
        for line, other in pairs:
            some = slice(None, None, 1 + len(line.points) // MATCHED)
            image = _reflect(np.asarray(line.points)[some], unknown)
            _, near, along = closest_on_polyline(image, other.points, closed=other.closed)
            inside = np.ones(len(along), dtype=bool)
            if not other.closed:
                inside = (along > 0.0) & (along < arc_lengths(other.points)[-1])
            sigma = np.maximum(np.asarray(line.sigma)[some], 1e-6)
            found.append(((image - near) * inside[:, None] / sigma[:, None]).ravel())
        return np.concatenate(found)

    fitted = least_squares(gaps, start, x_scale=[0.01, 1.0], loss="soft_l1", f_scale=3.0)
    return np.asarray(fitted.x)


def _own_mirror(line: MeasuredLine, unknown: Array) -> bool:
    points = np.asarray(line.points)
    gap, _, _ = closest_on_polyline(_reflect(points, unknown), points, closed=line.closed)
    return bool(np.sqrt(np.mean(gap**2)) < 0.02 * np.ptp(points, axis=0).max())


def axle_centre(
    lines: Lines,
    names: tuple[str, ...],
    which: str,
    scale: float,
    marks: tuple[MeasuredPoint, ...] = (),
) -> tuple[Array, tuple[Finding, ...]]:
    """Mean centre of the circles through an axle's rims, and of its marked points, on the mat."""
    marked = {mark.name: np.asarray(mark.point) for mark in marks}
    if not names:
        raise JobError(
            f"No line gives the {which} axle.", "Name a wheel rim on it in the job's datum."
        )
    centres, doubts = [], []
    for name in names:
        if name in marked and name not in lines:
            centres.append(marked[name])
            continue
        line = _needed(lines, name, f"gives the {which} axle")
        if len(line.points) < 5:
            raise JobError(
                f"The rim '{name}' has only {len(line.points)} points.",
                "Trace the rim all round, in two pictures at least.",
            )
        centre, _, radius, rms = _circle(line)
        if rms > 0.1 * radius:
            raise JobError(
                f"'{name}' is no circle: it is off by {100 * rms / radius:.0f} % of its radius.",
                "Trace the wheel's rim itself, in pictures that see the wheel from its side.",
            )
        doubt = float(np.sqrt(2.0 * np.mean(np.asarray(line.sigma) ** 2)))
        if rms > max(3.0 * doubt, 0.01 * radius):
            doubts.append(_not_round(name, which, scale * rms, scale * radius))
        centres.append(centre)
    return np.mean(centres, axis=0), tuple(doubts)


def _circle(line: MeasuredLine) -> tuple[Array, Array, float, float]:
    try:
        return fit_circle(np.asarray(line.points))
    except ValueError as error:
        raise JobError(
            f"The points of the rim '{line.name}' lie on a straight line.",
            "Trace the wheel's rim in pictures that see the wheel from its side.",
        ) from error


def _not_round(name: str, which: str, rms: float, radius: float) -> Finding:
    return Finding(
        code="rim-not-round",
        where=name,
        message=f"'{name}' is off a circle of radius {radius:.0f} mm by {rms:.1f} mm rms, "
        f"so the {which} axle is in doubt.",
        remedy="Trace the rim again, or name the rim of another wheel on that axle.",
    )


def _needed(lines: Lines, name: str, what: str) -> MeasuredLine:
    if name not in lines:
        raise JobError(
            f"The line '{name}' {what}, but it was not measured.",
            "Trace it in two pictures at least, or name another line in the job's datum.",
        )
    return lines[name]


def rearward_of(lines: Lines, datum: Datum, normal: Array) -> Array:
    """Level unit vector in the centre plane that points to the rear of the vehicle."""
    front, rear = (_needed(lines, name, "tells front from rear") for name in datum.forward_of)
    rearward = np.cross(normal, UP)
    apart = float((rear.points.mean(axis=0) - front.points.mean(axis=0)) @ rearward)
    size = max(float(np.ptp(line.points, axis=0).max()) for line in lines.values())
    if abs(apart) < 0.01 * size:
        raise JobError(
            f"'{front.name}' and '{rear.name}' lie at the same station, so they do not tell "
            "which way the model faces.",
            "Name one line at the front and one at the rear in the job's datum.",
        )
    return np.asarray(rearward if apart > 0.0 else -rearward)
