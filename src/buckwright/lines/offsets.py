"""The table of offsets: read off the lines, and held where somebody typed another figure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, PPoly

from buckwright.lines.departing import place_on_reference
from buckwright.lines.grips import NEAR
from buckwright.model.finding import Finding
from buckwright.model.lines import Departure, Line, LineNetwork, Pin, PlacedLine
from buckwright.model.offsets import Offset, OffsetRow

__all__ = ["HeldOffsets", "even_stations", "hold_offsets", "lines_of_offsets", "table_of_offsets"]

Array = NDArray[np.float64]

LEAST_SLOPE = 0.17
"""Sine of ten degrees: a line that runs more nearly along a station is not read off there."""
SAME = 0.05
"""mm: a figure within this of what the line has already asks for nothing."""
OUTLIER = 100.0
"""mm: a figure farther than this from its line is taken for a slip."""


@dataclass(frozen=True, eq=False, slots=True)
class HeldOffsets:
    """All pins after a table was read, how many of its figures they hold, and what was left out."""

    pins: tuple[Pin, ...]
    held: int
    same: int
    """Figures that the lines had already."""
    findings: tuple[Finding, ...]


def even_stations(network: LineNetwork, every: float) -> Array:
    """(n,) multiples of `every`, mm, over the whole length of the lines."""
    ends = [line.points(200)[:, 0] for line in network.lines]
    if not ends:
        return np.empty(0)
    low, high = min(x.min() for x in ends), max(x.max() for x in ends)
    return every * np.arange(np.ceil(low / every), np.floor(high / every) + 1.0)


def table_of_offsets(network: LineNetwork, stations: Array) -> tuple[Offset, ...]:
    """Every line at every station that it passes, left half of the body; exact on the curve.

    By line in the network's order, then by station, then along the line.
    """
    lefts = [line for line in network.lines if np.mean(line.points(60)[:, 1]) < NEAR]
    return tuple(
        Offset(
            line=line.name,
            station=float(station),
            half_breadth=float(abs(point[1])),
            height=float(point[2]),
            share=float(share),
        )
        for line in lefts
        for station in stations
        for share, point in _passes(line, float(station))
    )


def _passes(line: Line, station: float) -> list[tuple[float, Array]]:
    """Shares and points (3,) at which a line passes a station, on the left or in the middle."""
    curve = line.curve()
    along = BSpline(curve.t, np.ascontiguousarray(curve.c[:, 0]), curve.k)
    roots = np.asarray(PPoly.from_spline(along).solve(station, extrapolate=False))
    roots = np.unique(roots[np.isfinite(roots) & (roots >= 0.0) & (roots <= 1.0)].round(12))
    if line.closed and len(roots) > 1 and roots[0] < 1e-9 and roots[-1] > 1.0 - 1e-9:
        roots = roots[:-1]
    if not len(roots):
        return []
    points, run = np.asarray(curve(roots)), np.asarray(curve(roots, nu=1))
    steep = np.abs(run[:, 0]) > LEAST_SLOPE * np.linalg.norm(run, axis=1)
    left = points[:, 1] <= 1e-6
    return [(float(roots[k]), points[k]) for k in np.flatnonzero(steep & left)]


def hold_offsets(
    rows: Sequence[OffsetRow],
    network: LineNetwork,
    departures: tuple[Departure, ...],
    pins: tuple[Pin, ...],
    *,
    reason: str,
) -> HeldOffsets:
    """Pins that hold the figures of a table, beside those that there are.

    A figure that a line has already asks for nothing; one for a line or a station that is not
    there, or far from its line, is told with its row and left out, and the others stand.
    """
    kept, findings = list(pins), []
    held = same = 0
    seen: dict[tuple[str, float], int] = {}
    names = {line.name for line in network.lines}
    for row in rows:
        offset = _offset_of(row, network) if row.line in names else None
        share = -1.0 if offset is None else round(offset.share, 6)
        wrong = _wrong(row, names, offset, seen.setdefault((row.line, share), row.row))
        if wrong is not None or offset is None:
            findings += [wrong] if wrong is not None else []
            continue
        figures = _figures(row, offset)
        findings += [_outlier(row, what, asked, was) for what, asked, was in figures
                     if abs(asked - was) > OUTLIER]  # fmt: skip
        sure = [(what, asked, was) for what, asked, was in figures if abs(asked - was) <= OUTLIER]
        new = {what: asked for what, asked, was in sure if abs(asked - was) > SAME}
        held, same = held + len(new), same + len(sure) - len(new)
        if new:
            _hold(kept, row.line, offset, new, network, departures, reason)
    return HeldOffsets(tuple(kept), held, same, tuple(findings))


def _wrong(row: OffsetRow, names: set[str], offset: Offset | None, first: int) -> Finding | None:
    """Why a row says nothing; `first` is the row that spoke of this place before."""
    if row.line not in names:
        return _left_out(
            row, "unknown-line", "there is no such line", "Write the name as the table has it."
        )
    if offset is None:
        remedy = "Give a station that it passes, on its left half, at more than ten degrees."
        words = f"it does not pass station {row.station:.1f}"
        return _left_out(row, "no-such-station", words, remedy)
    if first != row.row:
        words = f"row {first} says where it passes station {row.station:.1f} already"
        return _left_out(row, "offset-twice", words, "Keep one of the two rows.")
    return None


def _offset_of(row: OffsetRow, network: LineNetwork) -> Offset | None:
    """The place that a row speaks of: where the line passes twice, the one nearest to it."""
    single = network.model_copy(update={"lines": (network.line(row.line),)})
    found = table_of_offsets(single, np.array([row.station]))
    near = {id(one): sum(abs(a - w) for _, a, w in _figures(row, one)) for one in found}
    return min(found, key=lambda one: near[id(one)], default=None)


def _figures(row: OffsetRow, offset: Offset) -> list[tuple[str, float, float]]:
    """What is asked, and what the line has."""
    both = (
        ("half-breadth", row.half_breadth, offset.half_breadth),
        ("height", row.height, offset.height),
    )
    return [(what, asked, was) for what, asked, was in both if asked is not None]


def _outlier(row: OffsetRow, what: str, asked: float, was: float) -> Finding:
    words = (
        f"its {what} at station {row.station:.1f} is {asked:.1f} where the line has {was:.1f}, "
        f"{abs(asked - was):.1f} mm apart"
    )
    remedy = "Check the figure and its unit; where it is meant, pull the line there by hand first."
    return _left_out(row, "outlier", words, remedy)


def _left_out(row: OffsetRow, code: str, words: str, remedy: str) -> Finding:
    message = f"Row {row.row} for '{row.line}' was left out: {words}."
    return Finding(code=code, where=row.line, message=message, remedy=remedy)


def _hold(
    pins: list[Pin],
    name: str,
    offset: Offset,
    new: Mapping[str, float],
    network: LineNetwork,
    departures: tuple[Departure, ...],
    reason: str,
) -> None:
    """The pin for these figures, or the one that is there already, changed in place."""
    side = 1.0 if float(network.line(name).curve()(offset.share)[1]) > 1e-6 else -1.0
    x = _on_reference("x", offset.station, departures)
    y = z = None
    if "half-breadth" in new:
        y = _on_reference("y", side * abs(new["half-breadth"]), departures)
    if "height" in new:
        z = _on_reference("z", new["height"], departures)
    curve = network.line(name).points(400)
    length = float(np.linalg.norm(np.diff(curve, axis=0), axis=1).sum())
    for number, pin in enumerate(pins):
        if pin.line == name and abs(pin.share - offset.share) * length < NEAR:
            _, old_y, old_z = pin.point
            point = (x, old_y if y is None else y, old_z if z is None else z)
            pins[number] = pin.model_copy(update={"point": point, "reason": reason or pin.reason})
            return
    pins.append(Pin(line=name, share=offset.share, point=(x, y, z), reason=reason))


def _on_reference(axis: str, value: float, departures: tuple[Departure, ...]) -> float:
    """Where the figure lies before departures; the very figure where none is on that axis."""
    zones = tuple(zone for zone in departures if zone.on and zone.axis == axis)
    return place_on_reference(axis, value, zones) if zones else value


def lines_of_offsets(rows: Sequence[OffsetRow], *, sigma: float) -> tuple[PlacedLine, ...]:
    """Lines through a table that gives both figures, left half, in order of their first rows.

    Rows with an empty cell say nothing of where the line is, and are passed over. `sigma`, mm, is
    how sure the figures are.
    """
    points: dict[str, list[tuple[float, float, float]]] = {}
    for row in rows:
        if row.half_breadth is not None and row.height is not None:
            places = points.setdefault(row.line, [])
            places.append((row.station, -abs(row.half_breadth), row.height))
    return tuple(
        PlacedLine(
            name=name,
            points=np.array(sorted(places)),
            sigma=np.full(len(places), sigma),
            closed=False,
        )
        for name, places in points.items()
    )
