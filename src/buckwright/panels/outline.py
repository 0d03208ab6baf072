"""How a blank lies on the sheet, and the outline to cut."""

import numpy as np
import shapely
from numpy.typing import NDArray

__all__ = ["allowed_outline", "lay_along", "overlaps", "smallest_box"]

Array = NDArray[np.float64]


def lay_along(flat: Array, rim: NDArray[np.int64], vertices: Array) -> Array:
    """The flat shape (n, 2) turned to lie along x in its smallest box, near the origin.

    Of the two ways to lie so, the one is taken whose right end is rearward on the vehicle
    (`vertices` (n, 3)), or upper where the panel stands across the vehicle.
    """
    box = shapely.Polygon(flat[rim]).minimum_rotated_rectangle
    corners = np.asarray(box.exterior.coords)[:4]
    sides = np.diff(corners[:3], axis=0)
    along = sides[int(np.argmax(np.linalg.norm(sides, axis=1)))]
    along = along / np.linalg.norm(along)
    turn = np.array([[along[0], along[1]], [-along[1], along[0]]])
    laid = flat @ turn.T
    right = laid[:, 0] - laid[:, 0].mean()
    slopes = (vertices - vertices.mean(axis=0)).T @ right / (right @ right)
    way = slopes[0] if abs(slopes[0]) > 0.3 else slopes[int(np.argmax(np.abs(slopes)))]
    if way < 0.0:
        laid = -laid
    return np.asarray(laid - laid.min(axis=0))


def allowed_outline(net: Array, allowance: float) -> Array:
    """The net outline (k, 2), counter-clockwise, with metal added all round: (l, 2).

    Corners stay sharp to twice the allowance and are cut off beyond. Where the widened outline
    would close a notch, the notch is filled. Raises ValueError for a negative allowance.
    """
    if allowance < 0.0:
        message = "an allowance cannot be negative"
        raise ValueError(message)
    if allowance == 0.0:
        return net
    whole = shapely.make_valid(shapely.Polygon(net))
    wide = whole.buffer(allowance, join_style="mitre", mitre_limit=2.0)
    pieces = [part for part in shapely.get_parts(wide) if part.geom_type == "Polygon"]
    largest = max(pieces, key=lambda part: float(part.area))
    ring = shapely.geometry.polygon.orient(shapely.Polygon(largest.exterior)).exterior
    return np.asarray(ring.coords)[:-1]


def overlaps(net: Array) -> bool:
    """Whether the outline crosses itself, so that one piece of sheet cannot give it."""
    return not shapely.Polygon(net).is_valid


def smallest_box(outline: Array) -> tuple[float, float]:
    """Short and long side of the smallest box round the outline."""
    corners = np.asarray(shapely.Polygon(outline).minimum_rotated_rectangle.exterior.coords)
    first, second = np.linalg.norm(np.diff(corners[:3], axis=0), axis=1)
    return float(min(first, second)), float(max(first, second))
