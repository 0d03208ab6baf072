"""Figures of a table that do not lie on the line their neighbours make.

A place is held against the cubic through its two neighbours on either side. One is a slip where it
is far off and leaving it out heals its neighbours; at a corner of the line it does not, so corners
stay.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.polyline import arc_lengths, closest_on_polyline

__all__ = ["Slip", "find_slips"]

Array = NDArray[np.float64]

BEYOND = 6.0
"""Standard errors, or ordinary gaps of the line where those are larger, that make a slip."""
TOGETHER = 3
"""Places within which two slips are looked for together."""
LEAST = 6
"""Places that a line needs before any of them can be told from the others."""
END_SHARE = 0.5
"""Share of the step by which an end must be off: a curve may well turn in its last step."""
SAMPLES = 33


@dataclass(frozen=True, eq=False, slots=True)
class Slip:
    """A place off its line."""

    at: int
    by: float
    """mm."""
    expected: Array
    """(3,) the nearest place of the line that its neighbours make."""


def find_slips(points: Array, sigma: float, *, closed: bool = False) -> tuple[Slip, ...]:
    """Places (n, 3) in order along a line that are slips, worst first.

    `sigma`: mm, standard error of a figure, more than nothing.
    """
    kept = list(range(len(points)))
    found: list[Slip] = []
    while len(kept) >= LEAST:
        gaps = [_gap(points[kept], k, sigma, closed) for k in range(len(kept))]
        limit = BEYOND * max(1.0, float(np.median([gap for gap, _ in gaps])))
        far = sorted(
            (k for k, (gap, _) in enumerate(gaps) if gap > limit), key=lambda k: -gaps[k][0]
        )
        # Two slips side by side hide each other: they are tried together.
        pairs = [(a, b) for a in far for b in far if a < b <= a + TOGETHER]
        tried = [*((k,) for k in far), *pairs]
        slip = next((k for k in tried if _heals(points[kept], k, sigma, limit, far, closed)), None)
        if slip is None:
            break
        found += _taken(points, kept, slip, sigma, closed)
        kept = [k for place, k in enumerate(kept) if place not in slip]
    return tuple(sorted(found, key=lambda one: -one.by))


def _taken(
    points: Array, kept: list[int], slip: tuple[int, ...], sigma: float, closed: bool
) -> list[Slip]:
    """The slips at these places of the kept ones, held against what is left of them."""
    found = []
    for place in slip:
        others = [k for at, k in enumerate(kept) if at == place or at not in slip]
        _, expected = _gap(points[others], others.index(kept[place]), sigma, closed)
        by = float(np.linalg.norm(points[kept[place]] - expected))
        found.append(Slip(kept[place], by, expected))
    return found


def _heals(
    points: Array, out: tuple[int, ...], sigma: float, limit: float, far: list[int], closed: bool
) -> bool:
    """Whether the neighbours lie on the line once these places are left out."""
    count = len(points)
    left = [k for k in range(count) if k not in out]
    around = {at + k for at in out for k in range(-2, 3)}
    around = {k % count for k in around} if closed else around
    # Another slip farther off is taken in its own turn, and so is what it spoils.
    others = {k for k in far if min(abs(k - at) for at in out) > 2}
    rest = points[left]
    return all(
        _gap(rest, place, sigma, closed)[0] <= limit
        for place, k in enumerate(left)
        if k in around and k not in others
    )


def _gap(points: Array, at: int, sigma: float, closed: bool) -> tuple[float, Array]:
    """Standard errors between a place and the curve through its neighbours, and where on it."""
    count = len(points)
    if closed:
        near = [(at + k) % count for k in (-2, -1, 1, 2)]
    else:
        first = int(np.clip(at - 2, 0, max(count - 5, 0)))
        near = [k for k in range(first, min(first + 5, count)) if k != at]
        # Beyond its end a cubic runs wild: the three next places are followed there.
        near = near[:3] if at == 0 else near[-3:] if at == count - 1 else near
    base = points[near]
    along = arc_lengths(base)
    if along[-1] <= 0.0:
        return 0.0, points[at]
    ahead = along[-1] / (len(near) - 1)
    low = -1.5 * ahead if at == 0 and not closed else 0.0
    high = along[-1] + (1.5 * ahead if at == count - 1 and not closed else 0.0)
    run = np.linspace(low, high, SAMPLES)
    weights = _lagrange(along, run)
    gap, place, where = closest_on_polyline(points[at][None], weights @ base)
    share = np.interp(where[0], arc_lengths(weights @ base), run)
    if at in (0, count - 1) and not closed and gap[0] < END_SHARE * ahead:
        return 0.0, place[0]
    spread = np.sqrt(1.0 + float(np.sum(_lagrange(along, np.array([share])) ** 2)))
    return float(gap[0] / (sigma * spread)), place[0]


def _lagrange(knots: Array, at: Array) -> Array:
    """(m, n) weights of the polynomial through n values; doubled knots carry next to nothing."""
    weights = np.ones((len(at), len(knots)))
    for i, own in enumerate(knots):
        for j, other in enumerate(knots):
            if i != j:
                apart = own - other
                weights[:, i] *= (at - other) / (apart if abs(apart) > 1e-9 else 1e-9)
    return weights
