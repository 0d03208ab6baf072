"""Wires that butt against another: those that end on it, and those cut where they would cross it.

The wire that goes through stays whole; the other one is made in pieces, or cut back.
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise, product

import numpy as np
from numpy.typing import NDArray

from buckwright.buck.meeting import CUT_RUN, near_stretches, room_beside, verdict_of_pair
from buckwright.buck.paths import Path
from buckwright.buck.rods import Rod, lay_rod

__all__ = ["cut_at_crossings", "cut_wires", "cuts_asked"]

Array = NDArray[np.float64]

BUTT_GAP = 0.1
"""mm left between an end face and the rod it butts against."""
LEAST_PIECE = 4.0
"""Diameters: a piece shorter than this is left out."""


def cuts_asked(paths: Sequence[Path]) -> frozenset[tuple[int, int]]:
    """Pairs (cut, through), by number, of wires that the job wants cut where they cross.

    Where each is to be cut at the other, the later stage is, then the later wire.
    """
    pairs = set()
    for i, path in enumerate(paths):
        for j, other in enumerate(paths):
            if path.spec is other.spec or not _is_cut_at(path, other):
                continue
            if _is_cut_at(other, path) and (path.spec.stage, i) < (other.spec.stage, j):
                continue
            pairs.add((i, j))
    return frozenset(pairs)


def _is_cut_at(path: Path, other: Path) -> bool:
    named = other.spec.name in path.spec.cut_at or other.name in path.spec.cut_at
    return path.spec.at_crossings == "cut" or named


def cut_at_crossings(
    rod: Rod, through: Sequence[Rod], *, sheet: float, diameter: float
) -> list[Rod]:
    """The pieces of a rod, in order along it, with a gap wherever it would run through others.

    A closed rod that is cut starts at its first cut.
    """
    gaps = sorted(gap for other in through for gap in _gaps(rod, other, diameter))
    if not gaps:
        return [rod]
    pieces = []
    for low, high in _between(gaps, rod.length, closed=rod.path.closed):
        if high - low < LEAST_PIECE * diameter:
            continue
        path = replace(rod.path.shortened(*_parameters(rod, low, high)), closed=False)
        pieces.append(lay_rod(path, rod.layer, sheet=sheet, diameter=diameter))
    return pieces


def _parameters(rod: Rod, low: float, high: float) -> tuple[float, float]:
    span = float(rod.at[-1] - rod.at[0])
    turns, rest = divmod(high, rod.length)
    if high <= rod.length:
        turns, rest = 0.0, high
    ends = np.interp([low, rest], rod.along, rod.at)
    return float(ends[0]), float(ends[1] + turns * span)


def _gaps(rod: Rod, other: Rod, diameter: float) -> list[tuple[float, float]]:
    """Lengths along the rod between which it has no room beside the other."""
    found = []
    for stretch in near_stretches(rod, other, reach=2.0 * diameter, diameter=diameter):
        tight = np.flatnonzero(stretch.room < BUTT_GAP)
        if not len(tight):
            continue
        for group in np.split(tight, np.flatnonzero(np.diff(tight) > 1) + 1):
            low, high = stretch.along[group[0]] - 1.0, stretch.along[group[-1]] + 1.0
            fine = np.clip(np.arange(low, high + 0.05, 0.05), 0.0, rod.length)
            _, room = room_beside(*rod.at_lengths(fine), other, diameter=diameter)
            inside = np.flatnonzero(room < BUTT_GAP)
            found.append((float(fine[inside[0]]), float(fine[inside[-1]])))
    return found


def _between(
    gaps: Sequence[tuple[float, float]], length: float, *, closed: bool
) -> list[tuple[float, float]]:
    """What the gaps leave; of a closed rod the last part runs on past its start."""
    merged: list[tuple[float, float]] = []
    for low, high in gaps:
        if merged and low <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(high, merged[-1][1]))
        else:
            merged.append((low, high))
    inner = [(a[1], b[0]) for a, b in pairwise(merged)]
    first, last = merged[0], merged[-1]
    if closed:
        # A gap over the start is seen from both its sides.
        return [*inner, (last[1], first[0] + length)]
    return [(0.0, first[0]), *inner, (last[1], length)]


def cut_wires(
    rods: Sequence[Rod],
    cuts: frozenset[tuple[int, int]],
    ending: Sequence[tuple[int, int]],
    *,
    sheet: float,
    diameter: float,
) -> list[Rod]:
    """The rods of wires 0 .. n - 1 in order, in pieces where they are cut, butts cut back.

    Parameters: pairs (cut, through); pairs that may end on each other. Earlier rods go through,
    later ones are cut back to butt against them; a rod that merely passes is never cut.
    """
    pieces = [[rod] for rod in rods]
    for i in sorted({i for i, _ in cuts}, key=lambda i: (rods[i].path.spec.stage, i)):
        through = [piece for k, j in sorted(cuts) if k == i for piece in pieces[j]]
        pieces[i] = cut_at_crossings(rods[i], through, sheet=sheet, diameter=diameter)
    for i, j in sorted(ending):
        for a, b in product(range(len(pieces[i])), range(len(pieces[j]))):
            pieces[i][a], pieces[j][b] = butted(
                pieces[i][a], pieces[j][b], sheet=sheet, diameter=diameter
            )
    return _renumbered([rod for group in pieces for rod in group])


def butted(first: Rod, second: Rod, *, sheet: float, diameter: float) -> tuple[Rod, Rod]:
    """Both rods, the one that ends on the other cut back to butt against it."""
    verdict = verdict_of_pair(first, second, diameter=diameter)
    if verdict == "cut second":
        return first, _cut_back(second, first, sheet=sheet, diameter=diameter)
    if verdict == "cut first":
        return _cut_back(first, second, sheet=sheet, diameter=diameter), second
    return first, second


def _cut_back(rod: Rod, other: Rod, *, sheet: float, diameter: float) -> Rod:
    run = min((CUT_RUN + 1.0) * diameter, 0.4 * rod.length)
    from_end = np.arange(0.0, run, 0.2)
    keep = []
    for along in (from_end, rod.length - from_end):
        at = np.interp(along, rod.along, rod.at)
        _, room = room_beside(*rod.at_lengths(along), other, diameter=diameter)
        tight = np.flatnonzero(room < BUTT_GAP)
        last = min(tight[-1] + 1, len(at) - 1) if len(tight) else 0
        keep.append(float(at[last]))
    return lay_rod(rod.path.shortened(*keep), rod.layer, sheet=sheet, diameter=diameter)


def _renumbered(rods: Sequence[Rod]) -> list[Rod]:
    """The rods with the pieces of each wire and side numbered in order."""
    keys = [(id(rod.path.spec), rod.path.side) for rod in rods]
    taken: dict[tuple[int, str], int] = {}
    found = []
    for rod, key in zip(rods, keys, strict=True):
        taken[key] = taken.get(key, 0) + 1
        path = rod.path.numbered(taken[key], keys.count(key))
        found.append(rod if path.name == rod.path.name else replace(rod, path=path))
    return found
