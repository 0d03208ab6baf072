"""Whether the views agree: what each line says of a place by itself, beside what the other says.

Drawn together, lines agree to a millionth of a millimetre; what is told here is how far they were
apart before, which is what a trace that went astray shows by.
"""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.lines.sides import MIRROR, mirror_names
from buckwright.model.job import Reference
from buckwright.model.lines import Crossing, Line, LineSpec, PlacedLine
from buckwright.model.offsets import Disagreement

__all__ = ["view_agreement"]

Array = NDArray[np.float64]

QUANTITIES = ("station", "half-breadth", "height")
THIN = 0.25
"""Share of its greatest extent within which a line counts as lying in one plane."""
EVERY = 200.0
"""mm between the stations at which left and right are compared."""
OVERLAP = 1e-6


def view_agreement(reference: Reference, specs: tuple[LineSpec, ...]) -> tuple[Disagreement, ...]:
    """Every crossing, and both sides of every pair at even stations; the worst first.

    Crossings on the left and in the middle only: those on the right are their mirror images.
    """
    lines = {line.name: line for line in reference.reference.lines}
    before_all, now_all = reference.reference.crossings, reference.network.crossings
    # An answer kept by another version may hold them apart; then the reference tells alone.
    pairs = zip(before_all, now_all if len(now_all) == len(before_all) else before_all, strict=True)
    found = [
        _crossed(before, now, lines)
        for before, now in pairs
        if before.said is not None and before.point[1] <= OVERLAP
    ]
    placed = {line.name: line for line in reference.placed}
    for name, other in sorted(mirror_names(specs).items()):
        if name in placed and other in placed and name != other and name in lines:
            found += _sides(placed[name], placed[other], _shift_of(reference, name))
    return tuple(sorted(found, key=lambda one: -one.by))


def _crossed(before: Crossing, now: Crossing, lines: Mapping[str, Line]) -> Disagreement:
    first, second = (np.asarray(point) for point in before.said or (before.point, before.point))
    axis = int(np.argmax(np.abs(second - first)))
    shift = np.asarray(now.point) - np.asarray(before.point)
    pair = [lines[name] for name in before.lines]
    says = [_told(point + shift, axis) for point in (first, second)]
    return Disagreement(
        line=before.lines[0],
        other=before.lines[1],
        quantity=QUANTITIES[axis],
        views=(_view(pair[0], axis), _view(pair[1], axis)),
        says=(says[0], says[1]),
        by=float(np.linalg.norm(second - first)),
        doubt=float(np.hypot(pair[0].sigma, pair[1].sigma)),
        point=now.point,
    )


def _told(point: Array, axis: int) -> float:
    return float(abs(point[1]) if axis == 1 else point[axis])


def _view(line: Line, axis: int) -> str:
    """The view that a line's coordinate is read from."""
    extent = np.ptp(line.points(100), axis=0)
    flat = extent < THIN * extent.max()
    if flat[0]:
        return "section"
    if flat[1]:
        return "side elevation"
    if flat[2]:
        return "plan"
    return "plan" if axis == 1 else "side elevation"


def _shift_of(reference: Reference, name: str) -> tuple[Array, Array, Array]:
    """Points of a line before departures, (n, 3), after them, and (n,) the first's stations."""
    before, now = (net.line(name).points(400) for net in (reference.reference, reference.network))
    order = np.argsort(before[:, 0], kind="stable")
    return before[order], now[order], before[order, 0]


def _sides(
    line: PlacedLine, other: PlacedLine, shift: tuple[Array, Array, Array]
) -> list[Disagreement]:
    """Left against right, as measured, at even stations of a pair that runs fore and aft."""
    left, right = (line, other) if np.mean(np.asarray(line.points)[:, 1]) <= 0.0 else (other, line)
    if line is not left:
        return []
    both = [np.asarray(left.points), np.asarray(right.points) * MIRROR]
    if left.closed or not all(_fore_and_aft(points) for points in both):
        return []
    low = max(points[:, 0].min() for points in both)
    high = min(points[:, 0].max() for points in both)
    stations = EVERY * np.arange(np.ceil(low / EVERY), np.floor(high / EVERY) + 1.0)
    doubt = float(np.hypot(np.mean(left.sigma), np.mean(right.sigma)))
    before, now, along = shift
    found = []
    for station in stations:
        first, second = (_at(points, float(station)) for points in both)
        moved = _at_row(now - before, along, float(station))
        axis = 1 + int(np.argmax(np.abs(second - first)[1:]))
        says = [_told(point + moved, axis) for point in (first, second)]
        found.append(
            Disagreement(
                line=left.name,
                other=right.name,
                quantity=QUANTITIES[axis],
                views=("left side", "right side"),
                says=(says[0], says[1]),
                by=float(np.linalg.norm(second - first)),
                doubt=doubt,
                point=0.5 * (first + second) + moved,
            )
        )
    return found


def _fore_and_aft(points: Array) -> bool:
    step = np.diff(points[:, 0])
    return bool(np.all(step > 0.0) or np.all(step < 0.0))


def _at(points: Array, station: float) -> Array:
    ordered = points if points[0, 0] < points[-1, 0] else points[::-1]
    return _at_row(ordered, ordered[:, 0], station)


def _at_row(values: Array, along: Sequence[float] | Array, station: float) -> Array:
    return np.array([np.interp(station, along, values[:, axis]) for axis in range(3)])
