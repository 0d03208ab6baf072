"""Where the ends of a closed wire meet, and where a wire longer than the bars is spliced.

Both want a place where the rod runs nearly straight and no tack is near. At a splice two parts
meet end to end; a stub of the same rod on the inner side laps each by eight diameters.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.buck.rods import Rod, lay_rod
from buckwright.model.buck import BuckSpec, Piece, Splice, Tack, Wire

__all__ = ["closed_at_good_places", "part_lengths", "rod_pieces", "splices_of"]

Array = NDArray[np.float64]

OVERLAP = 8.0
"""Diameters of each part that the stub is welded to."""
CLEAR = 2.0
"""Diameters between the stub and the nearest tack."""
STEP = 10.0
"""mm between the places that are looked at."""
TACK_COST = 10.0
"""A tack under the stub weighs like a bend that stretches the rod's outside by 10 %."""


def closed_at_good_places(
    rods: Sequence[Rod], tacks: Sequence[Tack], *, sheet: float, diameter: float
) -> tuple[list[Rod], tuple[Tack, ...]]:
    """The rods, closed ones starting where their ends are best joined, and tacks to match."""
    moved: dict[str, float] = {}
    found = []
    for rod in rods:
        if not rod.path.closed:
            found.append(rod)
            continue
        places = np.arange(0.0, rod.length, STEP)
        start = float(places[int(np.argmin(_costs(rod, tacks, places, diameter)))])
        moved[rod.path.name] = start
        first = float(np.interp(start, rod.along, rod.at))
        path = rod.path.shortened(first, first + float(rod.at[-1] - rod.at[0]))
        found.append(lay_rod(path, rod.layer, sheet=sheet, diameter=diameter))
    lengths = {rod.path.name: rod.length for rod in rods}
    return found, tuple(_shifted(tack, moved, lengths) for tack in tacks)


def _shifted(tack: Tack, moved: dict[str, float], lengths: dict[str, float]) -> Tack:
    first, second = (
        (at - moved[name]) % lengths[name] if name in moved else at
        for name, at in zip(tack.wires, tack.at, strict=True)
    )
    return tack.model_copy(update={"at": (first, second)})


def _costs(rod: Rod, tacks: Sequence[Tack], places: Array, diameter: float) -> Array:
    """What joining the rod at each place (n,) costs: percent of stretch, and nearness of tacks."""
    strain = 50.0 * diameter / _radii(rod, places, OVERLAP * diameter)
    near = (OVERLAP + CLEAR) * diameter
    short = np.clip(1.0 - _tack_gaps(rod, tacks, places) / near, 0.0, 1.0)
    # Rounded, so that a wire and its mirror image are joined alike.
    return np.asarray(np.round(strain + TACK_COST * short, 4))


def _radii(rod: Rod, places: Array, reach: float) -> Array:
    """Least bend radius (n,) within `reach` of each place."""
    offsets = np.linspace(-reach, reach, 5)
    at = places[:, None] + offsets
    at = np.mod(at, rod.length) if rod.path.closed else at.clip(0.0, rod.length)
    _, ways = rod.at_lengths(at.ravel())
    ways = ways.reshape(len(places), -1, 3)
    sine = 0.5 * np.linalg.norm(np.diff(ways, axis=1), axis=2)
    turn = 2.0 * np.arcsin(sine.clip(0.0, 1.0)).max(axis=1)
    return np.asarray(0.5 * reach / np.maximum(turn, 1e-9))


def _tack_gaps(rod: Rod, tacks: Sequence[Tack], places: Array) -> Array:
    """Lengths along the rod (n,), mm, from each place to the nearest tack."""
    marks = [
        at
        for tack in tacks
        for name, at in zip(tack.wires, tack.at, strict=True)
        if name == rod.path.name
    ]
    if not marks:
        return np.full(len(places), rod.length)
    gaps = np.abs(places[:, None] - np.array(marks))
    if rod.path.closed:
        gaps = np.minimum(gaps, rod.length - gaps)
    return np.asarray(gaps.min(axis=1))


def splices_of(rod: Rod, tacks: Sequence[Tack], spec: BuckSpec) -> tuple[Splice, ...]:
    """Splices of a rod that is longer than the longest bar, in order; none if it is not.

    The fewest parts; of all ways to make those, the one with the least bends and tacks under
    the stubs.
    """
    bar = max(spec.bar_lengths, default=0.0)
    least = 4.0 * OVERLAP * spec.rod_diameter
    # Bars too short to be lapped sensibly are left to the cutting plan.
    if rod.length + 2.0 * spec.end_allowance <= bar or bar - spec.end_allowance < 2.5 * least:
        return ()
    places = np.arange(least, rod.length - least, STEP)
    costs = _costs(rod, tacks, places, spec.rod_diameter)
    chosen = _cheapest(places, costs, rod.length, bar, spec.end_allowance, least)
    radii = _radii(rod, places[chosen], OVERLAP * spec.rod_diameter)
    gaps = _tack_gaps(rod, tacks, places[chosen])
    overlap = OVERLAP * spec.rod_diameter
    return tuple(
        Splice(
            at=float(at),
            overlap=overlap,
            stub_length=2.0 * overlap,
            radius=float(radius),
            tack_gap=float(gap),
        )
        for at, radius, gap in zip(places[chosen], radii, gaps, strict=True)
    )


def _cheapest(
    places: Array, costs: Array, length: float, bar: float, allowance: float, least: float
) -> list[int]:
    """Numbers of the places to splice at: shortest path from end to end, by rounds of parts."""
    reach = [np.where(places + allowance <= bar, costs, np.inf)]
    before: list[NDArray[np.int64]] = []
    gap = places[None, :] - places[:, None]
    step = np.where((gap >= least) & (gap <= bar), 0.0, np.inf)
    last = length - places + allowance <= bar
    while not np.isfinite(reach[-1][last]).any():
        through = reach[-1][:, None] + step
        best = np.argmin(through, axis=0)
        before.append(best)
        reach.append(through[best, np.arange(len(places))] + costs)
    chosen = [int(np.argmin(np.where(last, reach[-1], np.inf)))]
    for best in reversed(before):
        chosen.append(int(best[chosen[-1]]))
    return chosen[::-1]


def part_lengths(
    length: float, splices: Sequence[Splice], *, allowance: float
) -> tuple[float, ...]:
    """What to cut for each part, mm: the outer ends have the allowance, splices are cut square."""
    if not splices:
        return ()
    ends = np.array([0.0, *(splice.at for splice in splices), length])
    parts = np.diff(ends)
    parts[[0, -1]] += allowance
    return tuple(float(part) for part in parts)


def rod_pieces(wire: Wire) -> tuple[Piece, ...]:
    """What to cut from bars for a wire: itself, or its parts and the stubs over its splices."""
    if not wire.parts:
        return (Piece(name=wire.name, length=wire.cut_length),)
    parts = [Piece(name=f"{wire.name} part {k}", length=p) for k, p in enumerate(wire.parts, 1)]
    stubs = [
        Piece(name=f"{wire.name} stub {k}", length=s.stub_length)
        for k, s in enumerate(wire.splices, 1)
    ]
    return (*parts, *stubs)
