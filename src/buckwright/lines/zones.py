"""Stretch zones cut where lines must stay as they are: what is left of a zone takes all of it."""

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.model.lines import Departure, LineNetwork

__all__ = ["plain_zones", "stretches"]

Array = NDArray[np.float64]

AXES = ("x", "y", "z")

LEAST_PIECE = 1.0
"""mm: shorter pieces between two rigid ranges are left alone."""


def stretches(departures: tuple[Departure, ...]) -> tuple[Departure, ...]:
    """The stretch zones among the departures that are switched on and change something."""
    return tuple(departure for departure in departures if departure.stretches)


def plain_zones(departures: tuple[Departure, ...], network: LineNetwork) -> tuple[Departure, ...]:
    """The zones in force, none with rigid lines: each cut to what its rigid lines leave.

    A slice of the body in which a rigid line lies moves as a whole, so wheel arches stay round;
    the pieces that are left share the growth by their length. As every piece ends with slope one
    and no bend, the whole stays twice continuously differentiable.
    Raises JobError where a rigid line is not known, or nothing is left to stretch.
    """
    return tuple(piece for zone in stretches(departures) for piece in _pieces(zone, network))


def _pieces(zone: Departure, network: LineNetwork) -> tuple[Departure, ...]:
    if not zone.rigid:
        return (zone,)
    cuts = _rigid_ranges(zone, network)
    edges = [zone.start, *(edge for cut in cuts for edge in cut), zone.end]
    free = [(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a > LEAST_PIECE]
    total = sum(b - a for a, b in free)
    if not free:
        raise JobError(
            f"Nothing is left of the zone of '{zone.name}': lines that must stay rigid fill it.",
            "Make the zone longer, or keep fewer lines rigid.",
        )
    return tuple(
        zone.model_copy(update={"start": a, "end": b, "by": zone.by * (b - a) / total, "rigid": ()})
        for a, b in free
    )


def _rigid_ranges(zone: Departure, network: LineNetwork) -> list[tuple[float, float]]:
    """Ranges inside the zone that rigid lines take, in order, joined where they overlap."""
    axis = AXES.index(zone.axis)
    found: list[tuple[float, float]] = []
    for name in zone.rigid:
        along = _line_points(zone, name, network)[:, axis]
        low, high = float(along.min()), float(along.max())
        found.append((low, high))
        if zone.axis == "y":
            found.append((-high, -low))
    joined: list[tuple[float, float]] = []
    for low, high in sorted(found):
        low, high = max(low, zone.start), min(high, zone.end)
        if high <= low:
            continue
        if joined and low <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    return joined


def _line_points(zone: Departure, name: str, network: LineNetwork) -> Array:
    try:
        return network.line(name).points(400)
    except KeyError:
        raise JobError(
            f"'{zone.name}' keeps '{name}' rigid, but there is no such line.",
            "Choose a line of the job.",
        ) from None
