"""Outlines of a body in pictures whose cameras are known: how far a place lies inside each."""

from collections.abc import Sequence
from typing import NamedTuple

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.ndimage import map_coordinates

from buckwright.errors import JobError
from buckwright.geometry.camera import project, rotation_matrix
from buckwright.model.pictures import Calibration, Picture, Trace

__all__ = [
    "Drawn",
    "Outline",
    "drawn_out",
    "inside_by",
    "outline_of_mask",
    "outlines_of_traces",
    "outside_by",
]

Array = NDArray[np.float64]

_LONGEST = 1600
"""px of the longer side of the masks that the grid is held to."""
_LEAST_AREA = 25.0
"""px^2 below which an outline goes round nothing."""
_UNSEEN = 1e6
_EDGE = 0.002
"""Share of a picture that near its edge an outline may go on beyond it."""


class Outline(NamedTuple):
    """What a camera sees of the body."""

    picture: Picture
    area: shapely.Geometry


def outlines_of_traces(traces: Sequence[Trace], calibration: Calibration) -> tuple[Outline, ...]:
    """Of every placed picture all its closed outlines together.

    Raises JobError for an outline that goes round nothing.
    """
    found: dict[str, list[shapely.Geometry]] = {}
    placed = {picture.name: picture for picture in calibration.pictures}
    for trace in traces:
        if trace.kind == "silhouette" and trace.closed and trace.picture in placed:
            found.setdefault(trace.picture, []).append(_area(trace.px, trace.picture))
    return tuple(Outline(placed[name], shapely.union_all(areas)) for name, areas in found.items())


def outline_of_mask(mask: NDArray[np.bool_], picture: Picture) -> Outline:
    """The outline of what is true in a mask (rows, columns) of the size of the picture.

    Raises JobError for a mask of another size, and for one of nothing.
    """
    columns, rows = picture.size
    if mask.shape != (rows, columns):
        raise JobError(
            f"The mask of {picture.name} has {mask.shape[1]} x {mask.shape[0]} pixels, the picture "
            f"{columns} x {rows}.",
            "Make the mask from the picture itself.",
        )
    grown = cv2.resize(mask.astype(np.uint8), None, fx=2, fy=2, interpolation=cv2.INTER_NEAREST)
    rings, _ = cv2.findContours(grown, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    # A contour runs through the middles of the outermost pixels of a picture twice as large.
    areas = [
        shapely.Polygon(ring[:, 0] / 2.0 - 0.25).buffer(0.25) for ring in rings if len(ring) > 3
    ]
    whole = shapely.union_all(areas)
    if whole.area < _LEAST_AREA:
        raise _nothing(picture.name)
    return Outline(picture, whole)


def _area(px: Array, name: str) -> shapely.Geometry:
    area = shapely.make_valid(shapely.Polygon(px)) if len(px) > 2 else shapely.Polygon()
    if area.area < _LEAST_AREA:
        raise _nothing(name)
    return area


def _nothing(name: str) -> JobError:
    return JobError(f"The outline in {name} goes round nothing.", "Trace it round the whole body.")


def _seen(points: Array, picture: Picture) -> tuple[Array, Array]:
    """(n, 2) pixels, and (n,) mm that a pixel stands for there; not finite behind the camera."""
    depth = (rotation_matrix(picture.rotation_vector) @ points.T)[2] + picture.translation[2]
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        px = project(
            points,
            turn=picture.rotation_vector,
            shift=picture.translation,
            focal=np.array(picture.focal),
            principal=np.array(picture.principal),
            lens=picture.distortion,
        )
    px[depth <= 0.0] = np.nan
    return px, depth / picture.focal


class Drawn(NamedTuple):
    """An outline drawn out, so that many places are held to it at once."""

    picture: Picture
    field: NDArray[np.float32]
    """px inside the outline, of a picture reduced by `factor`."""
    factor: float
    whole: bool
    """Whether all of it lies within the picture: then beyond the picture is outside the body."""


def inside_by(points: Array, drawn: Drawn) -> Array:
    """(n,) mm that each point lies inside the outline, negative outside it, to a pixel or so.

    Where the camera does not look it says nothing, and the answer is very large; beyond a picture
    that shows the whole outline there is no body.
    """
    px, size = _seen(points, drawn.picture)
    field, factor = drawn.field, drawn.factor
    at = np.asarray(factor * (px + 0.5) - 0.5, dtype=np.float32)
    rows, columns = field.shape
    inside = np.all(np.isfinite(at), axis=1)
    if not drawn.whole:
        inside[inside] = _within(at[inside], columns, rows)
    found = np.full(len(points), _UNSEEN)
    u, v = at[inside].T
    read = map_coordinates(field, (v, u), order=1, mode="nearest")
    found[inside] = read / factor * size[inside]
    return found


def drawn_out(outline: Outline) -> Drawn:
    """The signed distance to an outline at every pixel of its picture, which may be reduced."""
    columns, rows = outline.picture.size
    factor = min(1.0, _LONGEST / max(columns, rows))
    mask = np.zeros((round(rows * factor), round(columns * factor)), np.uint8)
    for polygon in shapely.get_parts(outline.area):
        if polygon.geom_type != "Polygon":
            continue
        rings = [polygon.exterior, *polygon.interiors]
        courses = [
            np.round(16.0 * (factor * (np.array(ring.coords) + 0.5) - 0.5)).astype(np.int32)
            for ring in rings
        ]
        cv2.fillPoly(mask, courses, 1, shift=4)
    if not mask.any():
        raise _nothing(outline.picture.name)
    within = cv2.distanceTransform(mask, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    without = cv2.distanceTransform(1 - mask, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    # The outline runs half a pixel before the middle of the next.
    signed = np.where(mask > 0, within - 0.5, 0.5 - without)
    field = np.asarray(signed, dtype=np.float32)
    return Drawn(outline.picture, field, factor, _is_whole(outline))


def _within(at: NDArray[np.floating], columns: int, rows: int) -> NDArray[np.bool_]:
    return np.asarray(np.all((at >= -0.5) & (at <= [columns - 0.5, rows - 0.5]), axis=1))


def _is_whole(outline: Outline) -> bool:
    (left, top, right, bottom), (columns, rows) = outline.area.bounds, outline.picture.size
    edge = _EDGE * max(columns, rows)
    return bool(min(left, top, columns - right, rows - bottom) > edge)


def outside_by(points: Array, outline: Outline) -> Array:
    """(n,) mm that each point lies outside the outline, exactly; 0 inside or not looked at."""
    px, size = _seen(points, outline.picture)
    looked = np.all(np.isfinite(px), axis=1)
    if not _is_whole(outline):
        looked[looked] = _within(px[looked], *outline.picture.size)
    found = np.zeros(len(points))
    found[looked] = shapely.distance(shapely.points(px[looked]), outline.area) * size[looked]
    return found
