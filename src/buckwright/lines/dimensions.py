"""Dimensions on the reference, what each departure adds to them, and what they are now."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import BSpline, PPoly

from buckwright.errors import JobError
from buckwright.geometry.spline import curve_length
from buckwright.lines.departing import Departed, depart, moved_along, rearward_shift
from buckwright.model.lines import Departure, Dimension, DimensionSpec, Line, LineNetwork

__all__ = ["Measured", "dimension_table"]

OVERALL = (
    ("length over all", "L103", 0),
    ("width over all", "W103", 1),
    ("height over all", "", 2),
)
"""Words, the name in SAE J1100 (from memory), axis."""

SAMPLES = 400


@dataclass(frozen=True, eq=False, slots=True)
class Measured:
    """What dimensions are taken from."""

    reference: LineNetwork
    wheelbase: float
    """mm on the reference."""
    rear: tuple[str, ...]
    """Rims of the rear axle."""
    mirrors: Mapping[str, str]
    body: tuple[str, ...]
    """Lines of the body, datum lines left out."""


def dimension_table(
    measured: Measured, departures: tuple[Departure, ...], specs: tuple[DimensionSpec, ...]
) -> tuple[Dimension, ...]:
    """Wheelbase, dimensions over all, and those that the job watches.

    Each departure that is on is added in its turn. A watched height follows the point of the
    line that passes the station on the reference, wherever departures take it.
    Raises JobError for a dimension of a line that is not there or does not pass its station.
    """
    active = tuple(departure for departure in departures if departure.on)
    stages = [
        depart(measured.reference, active[:count], mirrors=measured.mirrors)
        for count in range(len(active) + 1)
    ]
    # Where tables alone gave the lines it may not be known.
    rows: list[tuple[str, str, list[float]]] = []
    if measured.wheelbase > 0.0:
        rows.append(("wheelbase", "L101", [_wheelbase(measured, stage) for stage in stages]))
    for name, code, axis in OVERALL:
        rows.append((name, code, [_over_all(measured, stage.network, axis) for stage in stages]))
    for spec in specs:
        take = _taker(measured.reference, spec)
        rows.append((spec.name, "", [take(stage.network) for stage in stages]))
    return tuple(
        Dimension(
            name=name,
            code=code,
            reference=values[0],
            steps=tuple((np.diff(values).round(6) + 0.0).tolist()),
            now=values[-1],
        )
        for name, code, values in rows
    )


def _wheelbase(measured: Measured, stage: Departed) -> float:
    shift = rearward_shift(measured.reference, stage.moved, measured.rear)
    lengthening = tuple(zone for zone in stage.zones if zone.axis == "x")
    front, rear = moved_along(np.array([0.0, measured.wheelbase + shift]), lengthening)
    return float(rear - front)


def _over_all(measured: Measured, network: LineNetwork, axis: int) -> float:
    """mm; height is counted from the ground."""
    lines = [line for line in network.lines if line.name in measured.body]
    along = np.concatenate([line.points(SAMPLES)[:, axis] for line in lines])
    return float(along.max() if axis == 2 else np.ptp(along))


def _taker(reference: LineNetwork, spec: DimensionSpec) -> Callable[[LineNetwork], float]:
    line = _line(reference, spec)
    if spec.of == "length":
        return lambda network: curve_length(network.line(spec.line).curve())
    if spec.of.startswith("extent"):
        axis = "xyz".index(spec.of[-1])
        return lambda network: float(np.ptp(network.line(spec.line).points(SAMPLES)[:, axis]))
    at = _passing(line, spec)
    axis = 2 if spec.of == "height" else 1
    return lambda network: abs(float(network.line(spec.line).curve()(at)[axis]))


def _line(network: LineNetwork, spec: DimensionSpec) -> Line:
    try:
        return network.line(spec.line)
    except KeyError:
        raise JobError(
            f"The dimension '{spec.name}' is of '{spec.line}', but there is no such line.",
            "Drop it, or give it another line.",
        ) from None


def _passing(line: Line, spec: DimensionSpec) -> float:
    """Parameter where the line passes the station; the first, if it does so twice."""
    curve = line.curve()
    x = BSpline(curve.t, np.ascontiguousarray(curve.c[:, 0]), curve.k, extrapolate=False)
    roots = PPoly.from_spline(x).solve(spec.at, extrapolate=False)
    roots = roots[np.isfinite(roots)]
    if not len(roots):
        raise JobError(
            f"'{spec.line}' does not pass station {spec.at:.0f}, where '{spec.name}' is taken.",
            "Give a station that the line passes.",
        )
    return float(roots.min())
