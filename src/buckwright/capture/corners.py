"""Finding the mat's inner corners in a picture, and testing that the finder has no bias."""

from functools import cache
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.capture.sharpness import blur_at, too_blurred
from buckwright.capture.unseen import other_arrangement, well_arranged, why_not_seen
from buckwright.errors import JobError
from buckwright.geometry.board import coded_board, inner_corners
from buckwright.model.pictures import Corners, Mat

__all__ = ["check_corner_bias", "check_finder", "find_corners"]

LEAST_CORNERS = 8
"""Fewer do not hold a camera."""
LEAST_OF_A_CARD = 4
"""Fewer of one card say little, and may be a stray."""
_MOST_BIAS = 0.1


def find_corners(grey: NDArray[np.uint8], mat: Mat, *, picture: str, camera: str = "") -> Corners:
    """Inner corners of the mat in a grey picture (rows, columns), to a few hundredths of a pixel.

    `camera` is kept with them: it tells pictures of one size by two cameras apart.
    The library's own check of the board is off: it throws away whole pictures in which the
    model hides much of the mat. Wrong corners, mostly at the model's outline, are left in for
    `calibrate` to reject. Raises JobError where the mat is not seen, is another, or too blurred.
    """
    px, ids, half = _seen_boards(grey, mat)
    rows, columns = grey.shape
    if len(ids) < LEAST_CORNERS or _in_a_row(px):
        raise why_not_seen(grey, mat, picture=picture, found=len(ids))
    corners = Corners(
        picture=picture,
        ids=ids,
        px=_refined(grey, px, half),
        size=(columns, rows),
        camera=camera,
    )
    if not well_arranged(corners, mat):
        raise other_arrangement(picture)
    blur, allowed = blur_at(grey, corners, mat)
    if blur > allowed:
        raise too_blurred(picture, blur)
    return corners.model_copy(update={"blur_px": blur})


def _seen_boards(
    grey: NDArray[np.uint8], mat: Mat
) -> tuple[NDArray[np.float64], NDArray[np.int64], NDArray[np.int64]]:
    """(n, 2) px, (n,) ids in rising order, and (n,) half windows for their refinement."""
    parts = [(np.zeros((0, 2)), np.zeros(0, np.int64), np.zeros(0, np.int64))]
    marks = _marks(grey, mat) if mat.cards > 1 else None
    for card in range(mat.cards):
        given: tuple[Any, ...] = ()
        if marks is not None:
            mine = [k for k, number in enumerate(marks[1]) if number // mat.marks_each == card]
            if len(mine) < 2:
                continue
            given = (None, None, [marks[0][k] for k in mine], marks[1][mine].reshape(-1, 1))
        px, ids, _, _ = _detector(mat, card).detectBoard(grey, *given)
        if ids is None or len(ids) < LEAST_OF_A_CARD:
            continue
        flat = np.asarray(px, np.float64).reshape(-1, 2)
        order = np.argsort(np.asarray(ids).ravel())
        numbers = np.asarray(ids, np.int64).ravel()[order] + card * mat.corners_each
        parts.append((flat[order], numbers, _windows(flat[order], mat)))
    return (
        np.concatenate([part[0] for part in parts]),
        np.concatenate([part[1] for part in parts]),
        np.concatenate([part[2] for part in parts]),
    )


def _marks(grey: NDArray[np.uint8], mat: Mat) -> tuple[list[Any], NDArray[np.int32]]:
    """All markers of the dictionary in a picture: their corners, and their numbers (n,)."""
    book = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, mat.dictionary))
    found, numbers, _ = cv2.aruco.ArucoDetector(book).detectMarkers(grey)
    flat = np.zeros(0, np.int32) if numbers is None else np.asarray(numbers, np.int32).ravel()
    return list(found), flat


def _detector(mat: Mat, card: int) -> cv2.aruco.CharucoDetector:
    board = coded_board(
        mat.squares,
        square=mat.square_mm,
        marker=mat.marker_mm,
        dictionary=mat.dictionary,
        first=card * mat.marks_each,
    )
    choices = cv2.aruco.CharucoParameters()
    choices.checkMarkers = False
    choices.minMarkers = 2
    return cv2.aruco.CharucoDetector(board, choices)


def _windows(px: NDArray[np.float64], mat: Mat) -> NDArray[np.int64]:
    """(n,) half sides of windows round the corners of a board that no marker reaches into."""
    nearest, _ = cKDTree(px).query(px, k=2)
    white = 0.5 * (mat.square_mm - mat.marker_mm) / mat.square_mm
    half = np.clip(np.floor(0.8 * white * nearest[:, 1]), 2, 24)
    return np.asarray(half, dtype=np.int64)


def _refined(
    grey: NDArray[np.uint8], px: NDArray[np.float64], half: NDArray[np.int64]
) -> NDArray[np.float64]:
    """The corners once more to full precision, in windows of `half` px to each side.

    The detector's own windows are square but sized by the distance to the nearest marker's
    corner, which lies on their diagonal: in small pictures that costs 0.2 px.
    """
    refined = px.copy()
    for size in np.unique(half):
        chosen = half == size
        start = px[chosen].astype(np.float32).reshape(-1, 1, 2)
        window = (int(size), int(size))
        sharp = cv2.cornerSubPix(grey, start, window, (-1, -1), (3, 50, 1e-3))
        refined[chosen] = sharp.reshape(-1, 2)
    return refined


def _in_a_row(px: NDArray[np.float64]) -> bool:
    """Whether the points lie on one straight line, or nearly."""
    spread = np.linalg.svd(px - px.mean(axis=0), compute_uv=False)
    return bool(spread[1] < 0.02 * spread[0])


@cache
def check_finder() -> None:
    """The half-pixel self-test on a small drawn board; once, before the first pictures are read.

    Raises JobError where the picture library of this machine puts corners aside.
    """
    small = Mat(squares=(7, 5), square_mm=30.0, marker_mm=22.0, dictionary="DICT_5X5_250")
    bias = check_corner_bias(small)
    if bias > _MOST_BIAS:
        raise JobError(
            f"The picture library of this machine (OpenCV {cv2.__version__}) finds the mat's "
            f"corners {bias:.2f} px beside where they are.",
            "Install buckwright again with the libraries that it asks for: OpenCV 4.14 or later.",
        )


def check_corner_bias(mat: Mat) -> float:
    """Mean offset in px (both axes, the larger) of corners found on a drawn picture of the mat.

    The picture is drawn from a known plane map and supersampled, so that the true corners are
    known. Libraries before 4.14 put every corner half a pixel too far right and down; that
    shows in no residual, only here.
    """
    grey, true = _drawn_mat(mat)
    found = find_corners(grey, mat, picture="drawn mat")
    gap = found.px - true[found.ids]
    near = np.linalg.norm(gap, axis=1) < 2.0
    return float(np.abs(gap[near].mean(axis=0)).max())


def _drawn_mat(mat: Mat) -> tuple[NDArray[np.uint8], NDArray[np.float64]]:
    """A picture of the whole mat, seen at a slant, and the pixels of its inner corners."""
    side, width, over = 48, 1600, 4
    columns, rows = mat.squares
    scale = side / mat.square_mm
    board = coded_board(
        mat.squares, square=1.0, marker=mat.marker_mm / mat.square_mm, dictionary=mat.dictionary
    )
    sheet = board.generateImage((columns * side, rows * side), marginSize=0, borderBits=1)
    height = int(width * rows / columns)
    across, down = columns * side, rows * side
    # Corners of the sheet, in edge coordinates, go to these places of the picture.
    corners = np.array([[0, 0], [across, 0], [across, down], [0, down]], np.float32)
    places = np.array(
        [[0.18, 0.12], [0.83, 0.17], [0.94, 0.86], [0.07, 0.9]], np.float32
    ) * np.array([width, height], np.float32)
    plane = cv2.getPerspectiveTransform(corners, places)
    # Pixel centres at integers: shift by half a pixel on both sides, and supersample.
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])
    finer = np.diag([over, over, 1.0])
    pixel_map = np.linalg.inv(half) @ finer @ plane @ half
    large = cv2.warpPerspective(
        sheet, pixel_map, (width * over, height * over), flags=cv2.INTER_LINEAR, borderValue=255
    )
    blurred = cv2.GaussianBlur(large, (0, 0), 0.7 * over)
    grey = cv2.resize(blurred, (width, height), interpolation=cv2.INTER_AREA)
    flat = inner_corners(mat.squares, mat.square_mm)[:, :2] * np.array([scale, -scale])
    true = cv2.perspectiveTransform(flat[None].astype(np.float64), plane)[0] - 0.5
    return np.asarray(grey, dtype=np.uint8), np.asarray(true, dtype=np.float64)
