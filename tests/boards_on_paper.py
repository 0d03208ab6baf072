"""Bodies on paper for boards, and boards asked in space without the code that cut them."""

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.model.boards import Board
from buckwright.model.skin import Skin, SkinRegion
from skins_on_paper import grid_region

Array = NDArray[np.float64]


def dome(radius: float, spacing: float = 25.0) -> Skin:
    """The upper half of a ball, its ends at x cut off, open below."""

    def surface(v: Array, u: Array) -> Array:
        return radius * np.column_stack([np.sin(v), -np.cos(v) * np.cos(u), np.cos(v) * np.sin(u)])

    step = spacing / radius
    v = np.linspace(-1.2, 1.2, round(2.4 / step) + 1)
    u = np.linspace(0.0, np.pi, round(np.pi / step) + 1)
    return Skin(regions=(grid_region("dome", surface, v, u, outward=lambda p: p),))


def vault(radius: float, length: float, spacing: float = 25.0) -> Skin:
    """Half a pipe along x, open below."""

    def surface(x: Array, u: Array) -> Array:
        return np.column_stack([x, -radius * np.cos(u), radius * np.sin(u)])

    x = np.linspace(0.0, length, round(length / spacing) + 1)
    u = np.linspace(0.0, np.pi, round(np.pi * radius / spacing) + 1)
    outward = np.array([0.0, 1.0, 1.0])
    return Skin(regions=(grid_region("vault", surface, x, u, outward=lambda p: p * outward),))


def moved(skin: Skin, shift: Sequence[float]) -> Skin:
    """The same skin elsewhere."""
    regions: list[SkinRegion] = [
        region.model_copy(update={"vertices": region.vertices + np.array(shift)})
        for region in skin.regions
    ]
    return Skin(regions=tuple(regions))


def shape_of(board: Board) -> shapely.Polygon:
    return shapely.Polygon(board.outline, board.holes)


def inside(board: Board, points: Array) -> NDArray[np.bool_]:
    """Which points (n, 3) lie in the wood of a board, square through its thickness."""
    axis, u, v = board.plane_axes
    within = np.abs(points[:, axis] - board.at) <= 0.5 * board.thickness
    return within & shapely.contains_xy(shape_of(board), points[:, u], points[:, v])


def wood_in_common(first: Board, second: Board, step: float = 1.5) -> int:
    """How many points of a grid lie in both boards."""
    lows, highs = [], []
    for board in (first, second):
        axis, u, v = board.plane_axes
        low, high = np.zeros(3), np.zeros(3)
        low[axis], high[axis] = (board.at - 0.5 * board.thickness, board.at + 0.5 * board.thickness)
        for k, (a, b) in zip((u, v), np.array(shape_of(board).bounds).reshape(2, 2).T, strict=True):
            low[k], high[k] = a, b
        lows.append(low)
        highs.append(high)
    low, high = np.max(lows, axis=0), np.min(highs, axis=0)
    if np.any(high <= low):
        return 0
    # Not on a face: faces that touch are no clash.
    axes = [np.arange(a + 0.05, b, step) for a, b in zip(low, high, strict=True)]
    grid = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
    return int(np.count_nonzero(inside(first, grid) & inside(second, grid)))


def slot_at(board: Board, other: Board) -> tuple[float, float, float]:
    """Middle and width of the slot for another board, and its bottom, read off the outline.

    Measured 10 mm above the bottom, along the line on which the two boards stand.
    """
    slot = next(s for s in board.slots if s.other == other.name)
    out = np.array(slot.out)
    across = np.array([-out[1], out[0]])
    wood = shape_of(board)
    middle = np.array(slot.middle)
    probe = shapely.LineString([middle - 200.0 * out, middle + 200.0 * out])
    ends = shapely.get_coordinates(wood.boundary.intersection(probe)) @ out
    bottom = float(ends[np.argmin(np.abs(ends - middle @ out))])
    place = middle + (bottom - middle @ out + 10.0) * out
    ray = shapely.LineString([place - 40.0 * across, place + 40.0 * across])
    walls = shapely.get_coordinates(wood.boundary.intersection(ray)) @ across
    centre = float(place @ across)
    left, right = walls[walls < centre].max(), walls[walls > centre].min()
    sign = float(across.sum())
    return sign * 0.5 * (left + right), float(right - left), bottom * float(out.sum())
