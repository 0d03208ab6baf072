"""Departures: families of lines moved or scaled, then stretch zones that carry the rest along.

Everything is given on the reference, so that switching one off moves no other: families go
first, in their order, and zones then act on all at once. Along each axis
x becomes x + sum of by_k * h((x - start_k) / (end_k - start_k)) with the smooth step
h(u) = u^3 (10 - 15 u + 6 u^2), which is twice continuously differentiable. A zone on y must lie
evenly about the centre plane, and is widened to both sides.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.remap import remap_coordinate
from buckwright.geometry.spline import curvature_extrema, spline_curve
from buckwright.lines.families import move_families
from buckwright.lines.zones import plain_zones, stretches
from buckwright.model.finding import Finding
from buckwright.model.lines import Crossing, Departure, Line, LineNetwork

__all__ = [
    "Departed",
    "apply_departures",
    "depart",
    "moved_along",
    "place_on_reference",
    "rearward_shift",
]

Array = NDArray[np.float64]

AXES = ("x", "y", "z")

STEEPEST = 1.875
"""Greatest slope of the smooth step."""


@dataclass(frozen=True, eq=False, slots=True)
class Departed:
    """A network after its departures, and how it came there."""

    network: LineNetwork
    moved: LineNetwork
    """With its families moved, before zones."""
    zones: tuple[Departure, ...]
    """The plain stretch zones in force."""


def apply_departures(
    network: LineNetwork,
    departures: tuple[Departure, ...],
    *,
    rims: tuple[str, ...] = (),
    mirrors: Mapping[str, str] | None = None,
    firm: tuple[str, ...] = (),
) -> LineNetwork:
    """The network after all departures that are switched on; crossings stay crossings.

    See `depart`, of whose answer this is the network.
    """
    return depart(network, departures, rims=rims, mirrors=mirrors, firm=firm).network


def depart(
    network: LineNetwork,
    departures: tuple[Departure, ...],
    *,
    rims: tuple[str, ...] = (),
    mirrors: Mapping[str, str] | None = None,
    firm: tuple[str, ...] = (),
) -> Departed:
    """The network after all departures that are switched on; crossings stay crossings.

    Outside the zones lines are moved as a whole. Parameters: `rims` names lines that must stay
    circles; a zone through one is reported. `mirrors` names the other line of each pair, `firm`
    those that no family may take along.
    Raises JobError for a zone without length, one that would fold the body over, one on y that
    is not even about the centre plane, or a family that cannot go where it is sent.
    """
    for departure in stretches(departures):
        _refuse(departure)
    moved = move_families(network, departures, mirrors or {}, firm=firm)
    active = plain_zones(departures, moved)
    doubts = _doubts(departures, active, moved, rims)
    lines, points = list(moved.lines), [np.asarray(c.point) for c in moved.crossings]
    for axis, name in enumerate(AXES):
        zones = tuple(zone for zone in active if zone.axis == name)
        if not zones:
            continue
        _refuse_folds(zones)
        lines = [_moved_line(line, axis, zones) for line in lines]
        points = [_moved_point(point, axis, zones) for point in points]
    crossings = tuple(
        Crossing(lines=c.lines, parameters=c.parameters, point=point, gap=c.gap)
        for c, point in zip(moved.crossings, points, strict=True)
    )
    after = LineNetwork(
        lines=tuple(lines), crossings=crossings, findings=(*moved.findings, *doubts)
    )
    return Departed(after, moved, active)


def moved_along(at: Array, departures: tuple[Departure, ...]) -> Array:
    """Coordinates (n,) on one axis after the departures, all of which are on that axis."""
    moved = np.array(at, dtype=np.float64)
    for zone in departures:
        part = np.clip((at - zone.start) / (zone.end - zone.start), 0.0, 1.0)
        step = part**3 * (10.0 - 15.0 * part + 6.0 * part**2)
        moved = moved + zone.by * (step - 0.5 if zone.axis == "y" else step)
    return moved


def place_on_reference(axis: str, value: float, departures: tuple[Departure, ...]) -> float:
    """Where on the reference a coordinate of the departed body lies, to 1e-6 mm.

    Parameters: `departures` are the plain zones in force (see `plain_zones`); others are passed
    over.
    """
    zones = tuple(zone for zone in stretches(departures) if zone.axis == axis)
    reach = 1.0 + sum(abs(zone.by) for zone in zones)
    low, high = value - reach, value + reach
    while high - low > 1e-7:
        middle = 0.5 * (low + high)
        if moved_along(np.array([middle]), zones)[0] < value:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def rearward_shift(before: LineNetwork, after: LineNetwork, rims: tuple[str, ...]) -> float:
    """Mm by which these rims were moved rearward; 0 where none of them was traced."""
    moves = [
        float(np.mean(now.points(200)[:, 0] - line.points(200)[:, 0]))
        for line, now in zip(before.lines, after.lines, strict=True)
        if line.name in rims
    ]
    return float(np.mean(moves)) if moves else 0.0


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
    departures: tuple[Departure, ...],
    zones: tuple[Departure, ...],
    network: LineNetwork,
    rims: tuple[str, ...],
) -> tuple[Finding, ...]:
    found: list[Finding] = []
    for departure in stretches(departures):
        pieces = [zone for zone in zones if zone.name == departure.name]
        found += _short(departure, sum(zone.end - zone.start for zone in pieces))
        found += [
            doubt for line in network.lines if line.name in rims for doubt in _cut(line, pieces)
        ]
    return tuple(found)


def _short(departure: Departure, length: float) -> tuple[Finding, ...]:
    if length >= 3.0 * abs(departure.by):
        return ()
    doubt = Finding(
        code="short-zone",
        where=departure.name,
        message=f"'{departure.name}' puts {departure.by:+.0f} mm into a zone of only "
        f"{length:.0f} mm, so lines will bend visibly there.",
        remedy=f"Let the zone be {3.0 * abs(departure.by):.0f} mm long at least.",
    )
    return (doubt,)


def _cut(rim: Line, zones: list[Departure]) -> tuple[Finding, ...]:
    """A doubt if one of these zones, all of one departure, runs through the rim."""
    for zone in zones:
        along = rim.points(200)[:, AXES.index(zone.axis)]
        # A zone that was cut at the rim touches it to rounding.
        if along.max() > zone.start + 0.01 and along.min() < zone.end - 0.01:
            doubt = Finding(
                code="zone-through-rim",
                where=zone.name,
                message=f"The zone of '{zone.name}' cuts through '{rim.name}', which will no "
                "longer be round.",
                remedy="Keep it rigid in that zone, or move the zone between the wheels.",
            )
            return (doubt,)
    return ()
