"""In-plane strain of a triangle mesh against another shape of it, and isotropic energies of it.

A map from a mesh in space to the plane is linear on each triangle. Its 2 x 2 matrix F is written
in four numbers: `turn` (E, H) and `skew` (P, G), with

    F = [[E + P, G - H], [G + H, E - P]].

Their lengths Q = |turn| and R = |skew| give the singular values s1 = Q + R and s2 = Q - R, which
is negative on a flipped triangle. In these four numbers the second derivative of any isotropic
energy splits into one 2 x 2 block and two single values, which makes it cheap to keep it
positive. The same splitting in other words: Smith, de Goes and Kim, 'Analytic eigensystems for
isotropic distortion energies', ACM Transactions on Graphics 38 (2019), doi:10.1145/3241041.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "Measure",
    "Stretch",
    "greatest_measure",
    "hencky_measure",
    "limited_measure",
    "map_matrices",
    "normal_measure",
    "shape_gradients",
    "stretch_of",
    "symmetric_measure",
]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

Measure = Callable[[Array, Array], tuple[Array, Array, Array, Array, Array, Array]]
"""Energy density g of principal log strains (e1, e2): g, g1, g2, g11, g12, g22, each (m,)."""


def shape_gradients(vertices: Array, triangles: Index) -> tuple[Array, Array]:
    """Areas (m,) and gradients (m, 3, 2) of the corners' hat functions, each triangle in a frame
    of its own: x along the first side, counter-clockwise.

    The vertices are (n, 3) or (n, 2). Raises ValueError for a triangle without area.
    """
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    u, v = b - a, c - a
    length = np.linalg.norm(u, axis=1)
    x = np.einsum("ij,ij->i", u, v) / np.where(length > 0.0, length, 1.0)
    y = np.sqrt(np.maximum(np.einsum("ij,ij->i", v, v) - x * x, 0.0))
    if np.any(length <= 0.0) or np.any(y <= 1e-12 * length):
        message = "a triangle has no area"
        raise ValueError(message)
    second = np.stack([1.0 / length, -x / (length * y)], axis=1)
    third = np.stack([np.zeros_like(y), 1.0 / y], axis=1)
    return 0.5 * length * y, np.stack([-second - third, second, third], axis=1)


def map_matrices(gradients: Array) -> Array:
    """(m, 4, 6) from a triangle's plane corners (x0, y0, x1, y1, x2, y2) to (E, H, P, G)."""
    matrix = np.zeros((len(gradients), 4, 6))
    gx, gy = 0.5 * gradients[:, :, 0], 0.5 * gradients[:, :, 1]
    matrix[:, 0, 0::2], matrix[:, 0, 1::2] = gx, gy
    matrix[:, 1, 0::2], matrix[:, 1, 1::2] = -gy, gx
    matrix[:, 2, 0::2], matrix[:, 2, 1::2] = gx, -gy
    matrix[:, 3, 0::2], matrix[:, 3, 1::2] = gy, gx
    return matrix


@dataclass(frozen=True, eq=False, slots=True)
class Stretch:
    """How a map stretches each triangle.

    Attributes: turn (m, 2), skew (m, 2) as in the module's docstring; major, minor (m,) singular
    values, the minor one negative where the triangle is flipped.
    """

    turn: Array
    skew: Array
    major: Array
    minor: Array

    def logs(self) -> tuple[Array, Array]:
        """Principal log strains of the map, larger first; no triangle may be flipped."""
        return np.log(self.major), np.log(self.minor)

    def major_angle(self) -> Array:
        """(m,) direction in the plane into which the map stretches most, rad."""
        return np.asarray(
            0.5
            * (
                np.arctan2(self.turn[:, 1], self.turn[:, 0])
                + np.arctan2(self.skew[:, 1], self.skew[:, 0])
            )
        )


def stretch_of(flat: Array, triangles: Index, matrices: Array) -> Stretch:
    """Stretch of the map to `flat` (n, 2), from `map_matrices` of the shape it maps from."""
    corners = flat[triangles].reshape(-1, 6, 1)
    parts = (matrices @ corners)[:, :, 0]
    turn, skew = parts[:, :2], parts[:, 2:]
    q, r = np.hypot(turn[:, 0], turn[:, 1]), np.hypot(skew[:, 0], skew[:, 1])
    return Stretch(turn, skew, q + r, q - r)


def hencky_measure(e1: Array, e2: Array) -> tuple[Array, Array, Array, Array, Array, Array]:
    """e1^2 + e2^2 + e1 e2: three quarters of the square of the effective strain of a sheet.

    Up to the metal's own factor it is the work of stretching an isotropic sheet that keeps its
    volume (von Mises, straight path): Hill, 'The mathematical theory of plasticity' (1950).
    """
    two, one = np.full_like(e1, 2.0), np.ones_like(e1)
    return e1 * e1 + e2 * e2 + e1 * e2, 2.0 * e1 + e2, e1 + 2.0 * e2, two, one, two


def normal_measure(ratio: float) -> Measure:
    """Three quarters of the square of Hill's effective strain, `hencky_measure` for ratio 1.

    `ratio` (above 0) is that of the strain across a strip pulled in the plane to the strain
    through its thickness, the same whichever way the strip lies: Hill's theory of 1948 in plane
    stress with normal anisotropy,

        3/4 (1 + r)^2 / (1 + 2 r) (e1^2 + e2^2 + 2 r / (1 + r) e1 e2).

    The larger r, the more a change of area costs beside a change of shape. Hill, 'A theory of the
    yielding and plastic flow of anisotropic metals', Proc. Roy. Soc. A 193 (1948),
    doi:10.1098/rspa.1948.0045. Raises ValueError for a ratio that is not above 0.
    """
    if not ratio > 0.0:
        message = "the ratio of strains must be above 0"
        raise ValueError(message)
    if ratio == 1.0:
        return hencky_measure
    whole = 0.75 * (1.0 + ratio) ** 2 / (1.0 + 2.0 * ratio)
    both = 2.0 * ratio / (1.0 + ratio)

    def measure(e1: Array, e2: Array) -> tuple[Array, Array, Array, Array, Array, Array]:
        value = e1 * e1 + e2 * e2 + both * e1 * e2
        two, cross = np.full_like(e1, 2.0 * whole), np.full_like(e1, both * whole)
        by1, by2 = 2.0 * e1 + both * e2, both * e1 + 2.0 * e2
        return whole * value, whole * by1, whole * by2, two, cross, two

    return measure


def limited_measure(measure: Measure, sense: float, slack: float, height: float) -> Measure:
    """The measure with a wall that no strain passes: sense * e stays below the slack.

    The wall is -height log(1 - sense e / slack) for both directions, infinite beyond.
    """

    def limited(e1: Array, e2: Array) -> tuple[Array, Array, Array, Array, Array, Array]:
        value, d1, d2, d11, d12, d22 = measure(e1, e2)
        left1, left2 = slack - sense * e1, slack - sense * e2
        inside = (left1 > 0.0) & (left2 > 0.0)
        room1, room2 = np.where(inside, left1, 1.0), np.where(inside, left2, 1.0)
        wall = -height * (np.log(room1 / slack) + np.log(room2 / slack))
        return (
            np.where(inside, value + wall, np.inf),
            d1 + sense * height / room1,
            d2 + sense * height / room2,
            d11 + height / room1**2,
            d12,
            d22 + height / room2**2,
        )

    return limited


def symmetric_measure(e1: Array, e2: Array) -> tuple[Array, Array, Array, Array, Array, Array]:
    """The symmetric Dirichlet energy s^2 + 1/s^2 - 2 of both directions, steep far from rest.

    Smith and Schaefer, 'Bijective parameterization with free boundaries', ACM Transactions on
    Graphics 34 (2015), doi:10.1145/2766947.
    """
    c1, c2, s1, s2 = np.cosh(2 * e1), np.cosh(2 * e2), np.sinh(2 * e1), np.sinh(2 * e2)
    value = 2.0 * (c1 + c2) - 4.0
    return value, 4.0 * s1, 4.0 * s2, 8.0 * c1, np.zeros_like(e1), 8.0 * c2


def greatest_measure(power: float, scale: float) -> Measure:
    """The power norm sum |e / scale|^power of both directions, plus a thousandth of Hencky's.

    The larger the even power, the more only the greatest strain counts.
    """

    def measure(e1: Array, e2: Array) -> tuple[Array, Array, Array, Array, Array, Array]:
        value, d1, d2, d11, d12, d22 = (1e-3 / scale**2 * part for part in hencky_measure(e1, e2))
        u, v = e1 / scale, e2 / scale
        first, second = power / scale, power * (power - 1.0) / scale**2
        return (
            value + u**power + v**power,
            d1 + first * u ** (power - 1.0),
            d2 + first * v ** (power - 1.0),
            d11 + second * u ** (power - 2.0),
            d12,
            d22 + second * v ** (power - 2.0),
        )

    return measure
