"""Pieces, plates and where the pieces lie; and the check that they keep apart."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

__all__ = ["Clearance", "Nested", "Piece", "Placed", "Plate", "PlateFill", "clearance", "turned"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """An outline (n, 2), closed and simple, and the angles (rad) it may be turned by.

    Small pieces may lie in `holes` (n, 2) of a larger one.
    """

    outline: Array
    turns: tuple[float, ...] = (0.0,)
    holes: tuple[Array, ...] = ()


@dataclass(frozen=True, slots=True)
class Plate:
    """A rectangle, length along x and width along y; how many there are, None without end.

    `worth` weighs plates without end against each other: a price, or the area.
    """

    size: tuple[float, float]
    count: int | None = None
    worth: float = 1.0


@dataclass(frozen=True, slots=True)
class Placed:
    """A piece by its number, turned by `turn` about the origin and then shifted."""

    piece: int
    turn: float
    shift: tuple[float, float]

    def outline(self, pieces: Sequence[Piece]) -> Array:
        """(n, 2) where it lies on its plate, the plate's lower left corner at the origin."""
        return np.asarray(turned(pieces[self.piece].outline, self.turn) + np.array(self.shift))

    def holes(self, pieces: Sequence[Piece]) -> tuple[Array, ...]:
        """Its holes (n, 2) there."""
        shift = np.array(self.shift)
        return tuple(turned(hole, self.turn) + shift for hole in pieces[self.piece].holes)


@dataclass(frozen=True, slots=True)
class PlateFill:
    """A plate by the number of its kind, and what lies on it."""

    plate: int
    placed: tuple[Placed, ...]


@dataclass(frozen=True, slots=True)
class Nested:
    """Plates in the order in which they are filled, and pieces that no plate holds."""

    fills: tuple[PlateFill, ...]
    left_over: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Clearance:
    """What a layout keeps: mm between pieces and from the edge, mm^2 that lie double."""

    gap: float
    margin: float
    overlap: float


def turned(outline: Array, angle: float) -> Array:
    """The outline (n, 2) turned counter-clockwise about the origin."""
    cosine, sine = np.cos(angle), np.sin(angle)
    return np.asarray(outline @ np.array([[cosine, sine], [-sine, cosine]]))


def clearance(
    placed: Sequence[Placed], pieces: Sequence[Piece], size: tuple[float, float]
) -> Clearance:
    """Least gap, least margin and area lying double of what is placed on one plate.

    Worked out on the polygons themselves. The gap of a single piece is infinite; the margin is
    negative where a piece hangs over the edge.
    """
    outlines = [one.outline(pieces) for one in placed]
    shapes = np.array(
        [shapely.Polygon(o, one.holes(pieces)) for o, one in zip(outlines, placed, strict=True)]
    )
    points = np.vstack(outlines)
    margin = float(min(points.min(), (np.array(size) - points).min()))
    first, second = np.triu_indices(len(shapes), k=1)
    if not len(first):
        return Clearance(np.inf, margin, 0.0)
    gaps = shapely.distance(shapes[first], shapes[second])
    close = gaps <= 0.0
    overlap = shapely.area(shapely.intersection(shapes[first[close]], shapes[second[close]]))
    return Clearance(float(gaps.min()), margin, float(overlap.sum()))
