"""Lines at full size brought back to the model and drawn into a photograph."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.camera import distort, rotation_matrix
from buckwright.model.lines import Line, Placement
from buckwright.model.pictures import Picture
from buckwright.model.sections import LineOnPicture

__all__ = ["line_on_picture", "lines_on_picture", "picture_points"]

Array = NDArray[np.float64]

COUNT = 241
BESIDE = 0.05
"""Of the longer side: so far outside the frame a line is still drawn and seen to run out."""
LENS = 1.3
"""The lens model is trusted to so many times the farthest corner's distance from the middle."""
LEAST_DEPTH = 1.0
"""mm before the camera."""


def picture_points(points: Array, placement: Placement, picture: Picture) -> tuple[Array, Array]:
    """(n, 2) px of points (n, 3) of the reference at full size, and (n,) whether they are seen.

    Full size is brought back to millimetres of the mat by the placement, and from there through
    the camera with its lens. A point behind the camera, or far outside the frame, is not seen; its
    px are then without meaning.
    """
    mat = np.asarray(points) @ np.asarray(placement.rotation) / placement.scale + placement.origin
    local = mat @ rotation_matrix(picture.rotation_vector).T + picture.translation
    before = local[:, 2] > LEAST_DEPTH
    flat = local[:, :2] / np.where(before, local[:, 2], 1.0)[:, None]
    px = picture.focal * distort(flat, picture.distortion) + np.array(picture.principal)
    size = np.array(picture.size, dtype=np.float64)
    reach = LENS * _farthest(picture, size)
    beside = BESIDE * size.max()
    inside = np.all((px > -beside) & (px < size - 1.0 + beside), axis=1)
    return px, before & inside & (np.linalg.norm(flat, axis=1) < reach)


def _farthest(picture: Picture, size: Array) -> float:
    corners = np.array([[0.0, 0.0], [size[0], 0.0], [0.0, size[1]], size])
    return float(np.linalg.norm(corners - picture.principal, axis=1).max() / picture.focal)


def line_on_picture(line: Line, placement: Placement, picture: Picture) -> LineOnPicture:
    """The line as this camera sees it; without pieces where it does not."""
    px, seen = picture_points(line.points(COUNT), placement, picture)
    cuts = np.flatnonzero(np.diff(seen)) + 1
    runs = np.split(np.arange(len(px)), cuts)
    kept = tuple(px[run] for run in runs if seen[run[0]] and len(run) > 1)
    return LineOnPicture(name=line.name, pieces=kept)


def lines_on_picture(
    lines: Sequence[Line], placement: Placement, picture: Picture
) -> tuple[LineOnPicture, ...]:
    """Those of the lines that this camera sees."""
    found = (line_on_picture(line, placement, picture) for line in lines)
    return tuple(one for one in found if one.pieces)
