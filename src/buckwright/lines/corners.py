"""Corners of a line found to the tenth of a millimetre from points that lie beside them."""

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar

from buckwright.lines.batten import Batten, lay_batten
from buckwright.lines.drafting import measured_along
from buckwright.lines.keeping import DEGREE, SAME, Kept

__all__ = ["find_corners"]

Array = NDArray[np.float64]

REACH = 2.0
"""Spacings of the points to either side within which a corner is looked for."""
TRIES = 12
FINE = 0.02
"""mm."""
WORTH = 12.0
"""Weighed square distance below which the points do not say where the corner is: it stays where it
was set. (Chi-square of two freedoms passes 12 once in four hundred lines.)"""


def find_corners(
    batten: Batten, sigma: Array, stiffness: Array, *, mirrored: float | None
) -> Batten:
    """The batten with each corner, one after the other, where points and stiffness are content.

    `mirrored` is the sum of the parameters of a place and of its mirror image, on a line that is
    its own; the corners of both halves move together then, and one in the middle stays there.
    Cost some twenty battens for each corner.
    """
    start, end = float(batten.knots[DEGREE]), float(batten.knots[-DEGREE - 1])
    reach = REACH * (end - start) / len(batten.points)
    kept = batten.kept
    for corner in (float(at) for at in batten.kept.corners):
        if mirrored is not None and corner > 0.5 * mirrored - SAME:
            continue
        low, high = _room(kept, corner, start, end)

        def energy(at: float, kept: Kept = kept, corner: float = corner) -> float:
            return _energy(batten, sigma, stiffness, _moved(kept, corner, at, mirrored))

        bounds = (max(low, corner - reach), min(high, corner + reach))
        found = minimize_scalar(
            energy, bounds=bounds, method="bounded", options={"maxiter": TRIES, "xatol": FINE}
        )
        if found.fun < energy(corner) - WORTH:
            kept = _moved(kept, corner, float(found.x), mirrored)
    return _laid(batten, sigma, kept)


def _moved(kept: Kept, corner: float, to: float, mirrored: float | None) -> Kept:
    moved = kept.with_corner(corner, to)
    return moved if mirrored is None else moved.with_corner(mirrored - corner, mirrored - to)


def _energy(batten: Batten, sigma: Array, stiffness: Array, kept: Kept) -> float:
    """With lengths measured again: where a corner was cut they are too short at first."""
    first = _laid(batten, sigma, kept)
    again, _ = measured_along(first, first.bend(stiffness), sigma, None, batten.count)
    control = again.bend(stiffness, again.along(again.bend(stiffness)))
    return again.misfit(control) + again.bending(control, stiffness)


def _laid(batten: Batten, sigma: Array, kept: Kept) -> Batten:
    return lay_batten(
        batten.points,
        sigma,
        batten.at,
        start=float(batten.knots[DEGREE]),
        end=float(batten.knots[-DEGREE - 1]),
        count=batten.count,
        closed=batten.closed,
        kept=kept,
    )


def _room(kept: Kept, corner: float, start: float, end: float) -> tuple[float, float]:
    """How far a corner may be moved: half-way to what lies next to it on either side."""
    others = np.concatenate([kept.corners, kept.straights.ravel(), [start, end]])
    others = others[np.isfinite(others) & (np.abs(others - corner) > SAME)]
    before, after = others[others < corner], others[others > corner]
    return 0.5 * (corner + before.max()), 0.5 * (corner + after.min())
