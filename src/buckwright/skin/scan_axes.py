"""Bringing a scan into vehicle axes by named points that are known in both."""

import re
from collections.abc import Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.rigid import fit_rigid
from buckwright.model.scans import NamedPair, ScanAxes

__all__ = ["axes_from_pairs", "told_pair"]

Array = NDArray[np.float64]

LEAST = 3
APART = 3.0
"""Standard errors that a point may be off."""
THIN = 0.02
"""Share of the points' own length that they must reach across it."""
UNITS = {25.4: "in inches", 10.0: "in cm", 1000.0: "in metres", 304.8: "in feet"}
NUMBER = r"[-+]?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?"
THREE = rf"\s*({NUMBER})[ ,;]+({NUMBER})[ ,;]+({NUMBER})\s*"
PAIR = re.compile(rf"(?P<name>[^=]+)={THREE}(?:->{THREE})?")
MOST_NAME = 60


def told_pair(text: str, known: dict[str, tuple[float, float, float]]) -> NamedPair:
    """A point as written: 'door hinge = 12.1 33 4 -> 420 -655 601'.

    First in the axes and unit of the scan, then in vehicle axes, mm; the second may be left out
    for a name in `known`, points that the pictures give. Raises JobError for what says no pair.
    """
    found = PAIR.fullmatch(text.strip())
    if found is None or len(found["name"].strip()) > MOST_NAME:
        raise JobError(
            f"'{text[:80]}' says no point in two frames.",
            "Write it like 'door hinge = 12.1 33 4 -> 420 -655 601'.",
        )
    name = found["name"].strip()
    figures = [None if figure is None else float(figure) for figure in found.groups()[1:]]
    own = tuple(figure for figure in figures[:3] if figure is not None)
    vehicle = tuple(figure for figure in figures[3:] if figure is not None) or known.get(name, ())
    if len(vehicle) != 3:
        raise JobError(
            f"The pictures give no point '{name}'.",
            "Type where it lies in vehicle axes too, after '->'.",
        )
    return NamedPair(name=name, scan=(own[0], own[1], own[2]), vehicle=vehicle)


def axes_from_pairs(
    name: str, pairs: Sequence[NamedPair], *, unit: float, sigma: float
) -> ScanAxes:
    """The turn and shift of the scan of this name; points that the others contradict left out.

    `unit`: mm of one unit of the scan, `sigma`: mm, how sure a point is. Raises JobError for fewer
    than three points, points on one line, another unit, a mirrored scan, and points that
    contradict each other so that it cannot be told which is wrong.
    """
    names = [pair.name for pair in pairs]
    if len(set(names)) < len(names):
        raise JobError(f"The scan '{name}' has a point twice.", "Type each point once.")
    own = unit * np.array([pair.scan for pair in pairs]).reshape(-1, 3)
    vehicle = np.array([pair.vehicle for pair in pairs]).reshape(-1, 3)
    if len(pairs) < LEAST:
        raise JobError(
            f"{len(pairs)} points do not say how the scan '{name}' lies.", "Type three at least."
        )
    _refuse_thin(name, own)
    _refuse_unit(name, own, vehicle)
    kept = _agreeing(name, names, own, vehicle, APART * sigma)
    rotation, translation = fit_rigid(own[kept], vehicle[kept])
    off = np.linalg.norm(own @ rotation.T + translation - vehicle, axis=1)
    return ScanAxes(
        rotation=rotation,
        translation=translation,
        by="points",
        names=tuple(names),
        off=off,
        left_out=tuple(one for k, one in enumerate(names) if k not in kept),
    )


def _refuse_thin(name: str, points: Array) -> None:
    size = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    if size[1] <= THIN * float(size[0]):
        raise JobError(
            f"The points of the scan '{name}' lie on one line, so it may turn about that.",
            "Take one that lies well off the line.",
        )


def _refuse_unit(name: str, own: Array, vehicle: Array) -> None:
    first, second = (
        np.array([np.linalg.norm(p[a] - p[b]) for a, b in combinations(range(len(p)), 2)])
        for p in (own, vehicle)
    )
    ratio = float(np.median(second / np.maximum(first, 1e-12)))
    for factor, words in UNITS.items():
        if abs(ratio / factor - 1.0) < 0.05:
            raise JobError(
                f"The points of the scan '{name}' lie {ratio:.3g} times nearer to each other than "
                f"in the vehicle: it seems to be {words}.",
                "Say the unit of the file.",
            )


def _agreeing(
    name: str, names: Sequence[str], own: Array, vehicle: Array, limit: float
) -> list[int]:
    """Numbers of the points that agree; the fewest are left out that need be."""
    count = len(own)
    # Three points must be left over, and of three nothing can be told but that they differ.
    for out in range(min(count - LEAST, count // 3) + 1):
        tried = [[k for k in range(count) if k not in some]
                 for some in combinations(range(count), out)]  # fmt: skip
        worst = [_worst(own[kept], vehicle[kept]) for kept in tried]
        fit = [kept for kept, far in zip(tried, worst, strict=True) if far <= limit]
        if len(fit) == 1 or (fit and out == 0):
            return fit[0]
        if fit:
            break
    mirrored = _worst(own * [1.0, 1.0, -1.0], vehicle)
    if mirrored <= limit:
        raise JobError(
            f"The scan '{name}' is mirrored: its points fit with one axis turned round.",
            "Export it with right-handed axes, or swap the points' sides.",
        )
    worst_pair = _worst_pair(names, own, vehicle)
    raise JobError(
        f"The points of the scan '{name}' contradict each other: {worst_pair}.",
        "Measure them again, or type more points: then it is known which is wrong.",
    )


def _worst(own: Array, vehicle: Array) -> float:
    try:
        rotation, translation = fit_rigid(own, vehicle)
    except ValueError:
        return float("inf")
    return float(np.linalg.norm(own @ rotation.T + translation - vehicle, axis=1).max())


def _worst_pair(names: Sequence[str], own: Array, vehicle: Array) -> str:
    """The distance that differs most, in words."""
    pairs = list(combinations(range(len(own)), 2))
    far = [(np.linalg.norm(own[a] - own[b]), np.linalg.norm(vehicle[a] - vehicle[b]))
           for a, b in pairs]  # fmt: skip
    k = int(np.argmax([abs(one - two) for one, two in far]))
    a, b = pairs[k]
    return (
        f"from '{names[a]}' to '{names[b]}' it is {far[k][0]:.1f} mm in the scan and "
        f"{far[k][1]:.1f} mm in the vehicle"
    )
