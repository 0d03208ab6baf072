"""One picture squared: pixels to a plane seen square on, still in a scale of its own."""

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.homography import (
    apply_homography,
    fit_homography,
    proportions_of_rectangle,
)
from buckwright.model.views import ViewPicture

__all__ = ["Squared", "middle_of", "square_picture"]

Array = NDArray[np.float64]

_NEAREST_PX = 4.0
"""Corners closer than this are one place clicked twice."""
_UNIT = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
_SURE = 0.1
"""Proportions that change by more than this share with a corner moved by a pixel say nothing."""


class Squared(NamedTuple):
    """A picture's plane."""

    matrix: Array
    """(3, 3) pixels to the plane, right and up."""
    misses: Array
    """(n,) how far each corner lies from its place, in the plane's unit."""
    has_perspective: bool
    """Whether it was squared by corners: then it tells from where it was taken."""


def middle_of(picture: ViewPicture) -> Array:
    """(2,) px in the middle of the picture, where its camera looks."""
    return (np.array(picture.source.size, dtype=np.float64) - 1.0) / 2.0


def square_picture(picture: ViewPicture) -> Squared:
    """The plane that the corners of a picture lie in; without corners, the picture as it is.

    Raises JobError for corners in one place or one line, that cross, that go round the other
    way, and for a rectangle whose proportions the picture does not tell.
    """
    corners = picture.corners
    if len(corners) == 0:
        return Squared(_upright(picture.source.turned), np.zeros(0), has_perspective=False)
    name = picture.source.name
    _check_corners(corners, name)
    at = picture.corners_at
    if len(at) == 0:
        at = _rectangle(picture)
    if len(at) != len(corners):
        raise JobError(
            f"{name} has {len(corners)} corners clicked, but {len(at)} places for them.",
            "Give one place for each corner.",
        )
    try:
        matrix = fit_homography(corners, at)
        back = fit_homography(at, corners)
    except ValueError:
        raise _no_quadrilateral(name) from None
    _check_sense(matrix, corners, name)
    if not np.all(np.isfinite(apply_homography(back, at))):
        raise _no_quadrilateral(name)
    misses = np.linalg.norm(apply_homography(matrix, corners) - at, axis=1)
    return Squared(matrix, misses, has_perspective=True)


def _upright(turned: int) -> Array:
    """Pixels to right and up of the picture turned clockwise by so many quarters."""
    quarter = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])
    flip = np.diag([1.0, -1.0, 1.0])
    return np.asarray(flip @ np.linalg.matrix_power(quarter, turned % 4))


def _no_quadrilateral(name: str) -> JobError:
    return JobError(
        f"The corners of {name} do not make a quadrilateral.",
        "Click four corners round about from the lower left, no three of them in one line.",
    )


def _check_corners(corners: Array, name: str) -> None:
    if len(corners) < 4:
        raise JobError(
            f"{name} has only {len(corners)} corners to square it by.", "Four are needed."
        )
    gaps = np.linalg.norm(corners[:, None] - corners[None, :], axis=2)
    gaps[np.diag_indices(len(corners))] = np.inf
    if gaps.min() < _NEAREST_PX:
        first, second = sorted(np.unravel_index(int(gaps.argmin()), gaps.shape))
        raise JobError(
            f"Corners {first + 1} and {second + 1} of {name} lie in one place.",
            "Take one of them away, or click it where it belongs.",
        )
    if len(corners) == 4 and not shapely.Polygon(corners).is_valid:
        raise _no_quadrilateral(name)
    if shapely.MultiPoint(corners).convex_hull.area < _NEAREST_PX * gaps[gaps < np.inf].max():
        raise _no_quadrilateral(name)
    if len(corners) == 4 and shapely.MultiPoint(corners).convex_hull.geom_type == "Polygon":
        ring = shapely.MultiPoint(corners).convex_hull.exterior.coords
        if len(ring) != 5:
            raise _no_quadrilateral(name)


def _check_sense(matrix: Array, corners: Array, name: str) -> None:
    """The picture's down is the plane's up, and no corner lies behind the camera."""
    depth = corners @ matrix[2, :2] + matrix[2, 2]
    if np.ptp(np.sign(depth)) != 0.0:
        raise _no_quadrilateral(name)
    if np.linalg.det(matrix) * float(depth[0]) ** 3 > 0.0:
        raise JobError(
            f"The corners of {name} go round the wrong way: it would show mirrored.",
            "Name them round about from the lower left, anticlockwise as the picture shows them.",
        )


def _rectangle(picture: ViewPicture) -> Array:
    """Corners of a rectangle of width 1 whose height the vanishing points tell."""
    corners, name = picture.corners, picture.source.name
    if len(corners) != 4:
        raise JobError(f"{name} has more than four corners, and no places.", "Give their places.")
    told = _proportions(corners, middle_of(picture), name)
    nudged = [
        _proportions(corners + step, middle_of(picture), name)
        for step in np.eye(8).reshape(8, 4, 2)
    ]
    spread = float(np.sqrt(np.sum((np.array(nudged) / told - 1.0) ** 2)))
    if not np.isfinite(spread) or spread > _SURE:
        raise JobError(
            f"{name} does not tell the proportions of its rectangle: it was taken too square on.",
            "Type the width and height of the rectangle.",
        )
    return _UNIT * [1.0, told]


def _proportions(corners: Array, middle: Array, name: str) -> float:
    try:
        return proportions_of_rectangle(fit_homography(_UNIT, corners), middle)
    except ValueError:
        raise _no_quadrilateral(name) from None
