"""Departures: stretch zones that lengthen or widen the body and carry the rest along unchanged.

All zones are given on the reference, so that switching one off moves no other. Along each axis
x becomes x + sum of by_k * h((x - start_k) / (end_k - start_k)) with the smooth step
h(u) = u^3 (10 - 15 u + 6 u^2), which is twice continuously differentiable. A zone on y must lie
evenly about the centre plane, and is widened to both sides.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.remap import remap_coordinate
from buckwright.geometry.spline import curvature_extrema, spline_curve
from buckwright.model.finding import Finding
from buckwright.model.lines import Crossing, Departure, Line, LineNetwork

__all__ = ["apply_departures", "moved_along", "place_on_reference"]

Array = NDArray[np.float64]

AXES = ("x", "y", "z")

STEEPEST = 1.875
"""Greatest slope of the smooth step."""


def apply_departures(
    network: LineNetwork, departures: tuple[Departure, ...], *, rims: tuple[str, ...] = ()
) -> LineNetwork:
    """The network after all departures that are switched on; crossings stay crossings.

    Outside the zones lines are moved as a whole. Parameters: `rims` names lines that must stay
    circles; a zone through one is reported. Raises JobError for a zone without length, one that
    would fold the body over, or one on y that is not even about the centre plane.
    """
    active = tuple(departure for departure in departures if departure.on and departure.by != 0.0)
    for departure in active:
        _refuse(departure)
    doubts = [doubt for departure in active for doubt in _doubts(departure, network, rims)]
    lines, points = list(network.lines), [np.asarray(c.point) for c in network.crossings]
    for axis, name in enumerate(AXES):
        zones = tuple(departure for departure in active if departure.axis == name)
        if not zones:
            continue
        _refuse_folds(zones)
        lines = [_moved_line(line, axis, zones) for line in lines]
        points = [_moved_point(point, axis, zones) for point in points]
    crossings = tuple(
        Crossing(lines=c.lines, parameters=c.parameters, point=point, gap=c.gap)
        for c, point in zip(network.crossings, points, strict=True)
    )
    return LineNetwork(
        lines=tuple(lines), crossings=crossings, findings=(*network.findings, *doubts)
    )


def moved_along(at: Array, departures: tuple[Departure, ...]) -> Array:
    """Coordinates (n,) on one axis after the departures, all of which are on that axis."""
    moved = np.array(at, dtype=np.float64)
    for zone in departures:
        part = np.clip((at - zone.start) / (zone.end - zone.start), 0.0, 1.0)
        step = part**3 * (10.0 - 15.0 * part + 6.0 * part**2)
        moved = moved + zone.by * (step - 0.5 if zone.axis == "y" else step)
    return moved


def place_on_reference(axis: str, value: float, departures: tuple[Departure, ...]) -> float:
    """Where on the reference a coordinate of the departed body lies, to 1e-6 mm."""
    zones = tuple(zone for zone in departures if zone.on and zone.axis == axis)
    reach = 1.0 + sum(abs(zone.by) for zone in zones)
    low, high = value - reach, value + reach
    while high - low > 1e-7:
        middle = 0.5 * (low + high)
        if moved_along(np.array([middle]), zones)[0] < value:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def _moved_line(line: Line, axis: int, zones: tuple[Departure, ...]) -> Line:
    breaks = np.array([value for zone in zones for value in (zone.start, zone.end)])
    knots, control = remap_coordinate(
        line.curve(),
        axis,
        lambda at: moved_along(at, zones),
        breaks,
        _rigid(zones),
        closed=line.closed,
    )
    curve = spline_curve(knots, control, line.degree, closed=line.closed)
    return line.model_copy(
        update={
            "knots": knots,
            "control": np.asarray(curve.c),
            "curvature_extrema": curvature_extrema(curve, closed=line.closed),
        }
    )


def _rigid(zones: tuple[Departure, ...]) -> Callable[[Array], NDArray[np.bool_]]:
    def outside(at: Array) -> NDArray[np.bool_]:
        inside = np.zeros(len(at), dtype=bool)
        for zone in zones:
            inside |= (at > zone.start) & (at < zone.end)
        return ~inside

    return outside


def _moved_point(point: Array, axis: int, zones: tuple[Departure, ...]) -> Array:
    moved = point.copy()
    moved[axis] = moved_along(point[axis : axis + 1], zones)[0]
    return moved


def _refuse(departure: Departure) -> None:
    name = departure.name
    if not np.all(np.isfinite([departure.start, departure.end, departure.by])):
        raise JobError(
            f"The departure '{name}' has a number missing.", "Give its start, end and amount."
        )
    if departure.end <= departure.start:
        raise JobError(
            f"The departure '{name}' ends at {departure.end:.0f} mm, where it does not come "
            f"after its start at {departure.start:.0f} mm.",
            "Give the zone some length: start first, then end.",
        )
    if departure.axis == "y" and abs(departure.start + departure.end) > 1e-6:
        raise JobError(
            f"The departure '{name}' would make the two sides unequal.",
            f"Widen evenly about the centre plane: from -{departure.end:.0f} to "
            f"{departure.end:.0f} mm.",
        )


def _refuse_folds(zones: tuple[Departure, ...]) -> None:
    """Every place must stay in order along the axis."""
    edges = np.array([value for zone in zones for value in (zone.start, zone.end)])
    at = np.linspace(edges.min(), edges.max(), 4001)
    if np.all(np.diff(moved_along(at, zones)) > 0.0):
        return
    worst = min(zones, key=lambda zone: zone.by / (zone.end - zone.start))
    least = -STEEPEST * worst.by
    raise JobError(
        f"The departure '{worst.name}' takes {-worst.by:.0f} mm out of a zone of "
        f"{worst.end - worst.start:.0f} mm: the body would fold over.",
        f"Make the zone longer than {least:.0f} mm, or take out less.",
    )


def _doubts(
    departure: Departure, network: LineNetwork, rims: tuple[str, ...]
) -> tuple[Finding, ...]:
    found = []
    length = departure.end - departure.start
    if length < 3.0 * abs(departure.by):
        found.append(
            Finding(
                code="short-zone",
                where=departure.name,
                message=f"'{departure.name}' puts {departure.by:+.0f} mm into a zone of only "
                f"{length:.0f} mm, so lines will bend visibly there.",
                remedy=f"Let the zone be {3.0 * abs(departure.by):.0f} mm long at least.",
            )
        )
    axis = AXES.index(departure.axis)
    for line in network.lines:
        if line.name not in rims:
            continue
        along = line.points(200)[:, axis]
        if along.max() > departure.start and along.min() < departure.end:
            found.append(
                Finding(
                    code="zone-through-rim",
                    where=departure.name,
                    message=f"The zone of '{departure.name}' cuts through '{line.name}', which "
                    "will no longer be round.",
                    remedy="Move the zone between the wheels.",
                )
            )
    return tuple(found)
