"""A view as a whole: its pictures squared, pieced together, put to scale and into axes."""

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.homography import apply_homography
from buckwright.model.finding import Finding
from buckwright.model.views import Pick, SquaredView, ViewSpec
from buckwright.views.piecing import Pieced, join_pieces
from buckwright.views.placing import Placed, place_view
from buckwright.views.squaring import Squared, middle_of, square_picture
from buckwright.views.standing import Stand, stand_of

__all__ = ["matrix_of", "square_view"]

Array = NDArray[np.float64]

_ROUGH = 0.005
"""Share of the view's size beyond which what is left over is told."""
_SQUARE_ON = 3.0


def square_view(view: ViewSpec) -> SquaredView:
    """The view in vehicle axes.

    Raises JobError for corners that make no quadrilateral, for pieces that do not hang together,
    for a length of nothing, and where nothing gives the scale.
    """
    _check_pictures(view)
    squared = [square_picture(picture) for picture in view.pictures]
    pieced = join_pieces(view.pictures, tuple(one.matrix for one in squared))
    matrices = dict(zip((p.source.name for p in view.pictures), pieced.matrices, strict=True))
    picks = [known.pick for known in view.known]
    if view.length is not None:
        picks += [view.length.first, view.length.second]
    at = {(pick.picture, *pick.px): _at(matrices, pick, view) for pick in picks}
    true = len(view.pictures[0].corners_at) > 0
    placed = place_view(view, at, true=true)
    whole = tuple(placed.matrix @ matrix for matrix in pieced.matrices)
    first = view.pictures[0]
    middle = middle_of(first)
    stand = _stand(view, whole[0])
    px = middle + np.array([[-0.5, 0.0], [0.5, 0.0]])
    ends = apply_homography(whole[0], px)
    size = float(np.hypot(placed.matrix[0, 0], placed.matrix[1, 0]))
    misses, told = _misses(view, squared, pieced, placed, size)
    residual = float(np.sqrt(np.mean(np.square(misses)))) if len(misses) else 0.0
    worst = told[int(np.abs(misses).argmax())] if len(misses) and residual > 1e-9 else ""
    return SquaredView(
        name=view.name,
        seen_from=view.seen_from,
        to_plane=tuple((matrix / np.linalg.norm(matrix)).ravel() for matrix in whole),
        distance=stand.distance,
        distance_sigma=stand.sigma,
        foot=stand.foot,
        plane=view.plane,
        mm_per_px=float(np.linalg.norm(ends[1] - ends[0])),
        residual=residual,
        worst=worst,
        findings=_doubts(view, placed, stand, residual, worst, _size(view, whole)),
    )


def matrix_of(view: ViewSpec, squared: SquaredView, picture: str) -> Array:
    """(3, 3) pixels of that picture to mm right and up."""
    for one, matrix in zip(view.pictures, squared.to_plane, strict=True):
        if one.source.name == picture:
            return np.asarray(matrix.reshape(3, 3))
    raise _no_picture(view, picture)


def _no_picture(view: ViewSpec, picture: str) -> JobError:
    return JobError(
        f"The view '{view.name}' has no picture {picture}.", "Name one of its own pictures."
    )


def _check_pictures(view: ViewSpec) -> None:
    names = [picture.source.name for picture in view.pictures]
    if not names:
        raise JobError(f"The view '{view.name}' has no picture.", "Give it one.")
    if len(set(names)) < len(names):
        raise JobError(f"The view '{view.name}' holds one picture twice.", "Take one out.")
    if len(names) > 1 and not view.drawing:
        raise JobError(
            f"The view '{view.name}' has several pictures, but is no drawing.",
            "Make a view of each picture; only a flat drawing can be pieced together.",
        )


def _at(matrices: dict[str, Array], pick: Pick, view: ViewSpec) -> Array:
    if pick.picture not in matrices:
        raise _no_picture(view, pick.picture)
    return np.asarray(apply_homography(matrices[pick.picture], np.array([pick.px]))[0])


def _stand(view: ViewSpec, matrix: Array) -> Stand:
    first = view.pictures[0]
    middle = middle_of(first)
    if view.drawing:
        right, up = apply_homography(matrix, middle[None])[0]
        return Stand(0.0, 0.0, (float(right), float(up)))
    corners = first.corners
    longest = float(max(first.source.size))
    return stand_of(matrix, corners, middle, longest=longest, asked=view.distance)


def _misses(
    view: ViewSpec, squared: list[Squared], pieced: Pieced, placed: Placed, size: float
) -> tuple[Array, list[str]]:
    """Everything left over, mm, with what it is."""
    misses: list[float] = []
    told: list[str] = []
    for picture, one in zip(view.pictures, squared, strict=True):
        if len(one.misses) > 4:
            misses += [size * float(miss) for miss in one.misses]
            told += [f"corner {k} of {picture.source.name}" for k in range(1, len(one.misses) + 1)]
    misses += [size * float(miss) for miss in pieced.misses]
    told += [f"the shared mark '{name}'" for name in pieced.names]
    misses += [float(miss) for miss in placed.misses]
    return np.array(misses), told + list(placed.told)


def _size(view: ViewSpec, whole: tuple[Array, ...]) -> float:
    """How large, mm, is what the first picture shows."""
    picture = view.pictures[0]
    px = picture.corners if len(picture.corners) else _frame(picture.source.size)
    return float(np.linalg.norm(np.ptp(apply_homography(whole[0], px), axis=0)))


def _frame(size: tuple[int, int]) -> Array:
    columns, rows = size
    return np.array([[0.0, 0.0], [columns, 0.0], [columns, rows], [0.0, rows]])


def _doubts(
    view: ViewSpec, placed: Placed, stand: Stand, residual: float, worst: str, size: float
) -> tuple[Finding, ...]:
    found = []
    if not placed.anchored:
        message = "No place in it is known, so that it is to scale, but not in vehicle axes."
        found.append(("view-not-placed", message, "Click a place and type where it is."))
    if not view.drawing and stand.distance == 0.0:
        message = "How far away the camera stood is not known, so that no parallax can be told."
        remedy = "Pace it out or tape it, from the camera to the plane of scale, and type it."
        found.append(("distance-unknown", message, remedy))
    if residual > _ROUGH * size:
        message = f"What it is squared and scaled by disagrees by {residual:.1f} mm, most {worst}."
        found.append(("view-disagrees", message, "Click it again, or change its figure."))
    if not view.drawing and stand.distance > 0.0 and stand.distance < _SQUARE_ON * size / 2.0:
        message = f"The camera stood only {stand.distance / 1000.0:.1f} m away."
        found.append(("camera-near", message, "Go farther away and zoom in: parallax falls."))
    return tuple(
        Finding(code=code, where=view.name, message=message, remedy=remedy)
        for code, message, remedy in found
    )
