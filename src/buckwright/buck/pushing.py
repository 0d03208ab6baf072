"""How hard a straight rod pushes at the places that hold it in a curve.

A rod that stays elastic is a continuous beam whose supports are moved: between them it takes the
shape of least bending energy, integral of E I |x''|^2 / 2 over its length, which is the natural
cubic spline through the supports in the length along the rod; a support gives the jump of E I x'''.
That is Euler's beam equation for each coordinate, with I = pi d^4 / 64. It holds while neighbouring
supports turn the rod little between them; a rod of 6 mm at its elastic limit, held every 300 mm,
turns by 0.2 rad.

Reference: Timoshenko, 'Strength of Materials', Part I, chapter on continuous beams; the spline as
a beam: Holladay, 'A smoothest curve approximation', Mathematical Tables and Other Aids to
Computation 11 (1957).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from buckwright.tables.steel import YOUNG_MODULUS

__all__ = ["SprungShape", "rod_stiffness", "spring_rod"]

Array = NDArray[np.float64]


def rod_stiffness(diameter: float) -> float:
    """E I of a round steel rod, N mm^2; `diameter` in mm."""
    if not diameter > 0.0:
        message = "a rod has a diameter above 0"
        raise ValueError(message)
    return YOUNG_MODULUS * np.pi * diameter**4 / 64.0


@dataclass(frozen=True, eq=False, slots=True)
class SprungShape:
    """`forces` (m, 3) N with which the rod pushes its supports; `at` (m,) where they are."""

    at: Array
    forces: Array
    _curve: CubicSpline | None
    _points: Array

    def points(self, at: Array) -> Array:
        """(n, 3) the rod's axis at lengths (n,) along it; straight beyond the first and last."""
        ends = np.clip(at, self.at[0], self.at[-1])
        if self._curve is None:
            share = (at - self.at[0]) / (self.at[-1] - self.at[0])
            return np.asarray(self._points[0] + share[:, None] * np.diff(self._points, axis=0)[0])
        return np.asarray(self._curve(ends) + (at - ends)[:, None] * self._curve(ends, 1))


def spring_rod(at: Array, points: Array, *, diameter: float, around: float = 0.0) -> SprungShape:
    """The shape and the pushes of a straight rod that is held at points (m, 3).

    Parameters: lengths `at` (m,) along the rod, ascending; `around` is the whole length of a rod
    whose ends are joined, 0 for an open one. Two supports hold a straight rod and feel nothing.
    Raises ValueError for fewer than two supports, or two in one place.
    """
    if len(at) < 2 or np.any(np.diff(at) <= 0.0) or (around and at[-1] - at[0] >= around):
        message = "a sprung rod needs two supports at least, in ascending order"
        raise ValueError(message)
    if around:
        curve = CubicSpline(
            np.append(at, at[0] + around), np.vstack([points, points[:1]]), bc_type="periodic"
        )
        third = 6.0 * curve.c[0]
        jump = third - np.roll(third, 1, axis=0)
    elif len(at) == 2:
        return SprungShape(at, np.zeros((2, 3)), None, points)
    else:
        curve = CubicSpline(at, points, bc_type="natural")
        third = np.vstack([np.zeros((1, 3)), 6.0 * curve.c[0], np.zeros((1, 3))])
        jump = np.diff(third, axis=0)
    # What the supports do to the rod is E I times the jump; the rod does the opposite to them.
    return SprungShape(at, -rod_stiffness(diameter) * jump, curve, points)
