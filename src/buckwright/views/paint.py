"""A view as it is looked at: squared, to scale, with a scale bar, its lines and their bands."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.homography import apply_homography
from buckwright.model.views import SquaredView, ViewCurve, ViewSpec
from buckwright.views.square import matrix_of

__all__ = ["Board", "board_of", "draw_curves", "squared_picture"]

Array = NDArray[np.float64]
Colours = NDArray[np.uint8]

_MOST = 12.0
"""A board is not larger than so many times what was clicked: pictures taken askew run on."""
_BAND, _LINE, _READ, _INK = (250, 190, 60), (215, 35, 25), (30, 110, 200), (20, 20, 20)
_STEPS = (1.0, 2.0, 5.0)


class Board(NamedTuple):
    """Where a squared picture lies: mm right and up, and how many of them make a pixel."""

    left: float
    top: float
    mm_per_px: float
    columns: int
    rows: int

    @property
    def from_plane(self) -> Array:
        """(3, 3) mm right and up to pixels of the board."""
        k = 1.0 / self.mm_per_px
        return np.array([[k, 0.0, -k * self.left], [0.0, -k, k * self.top], [0.0, 0.0, 1.0]])


def board_of(view: ViewSpec, squared: SquaredView, *, longest: int = 1600) -> Board:
    """The board that holds all pictures of the view, its longer side `longest` pixels."""
    boxes = []
    for picture in view.pictures:
        matrix = matrix_of(view, squared, picture.source.name)
        columns, rows = picture.source.size
        frame = np.array([[0, 0], [columns, 0], [columns, rows], [0, rows]], dtype=np.float64)
        depth = frame @ matrix[2, :2] + matrix[2, 2]
        if np.ptp(np.sign(depth)) == 0.0:
            boxes.append(apply_homography(matrix, frame))
        if len(picture.corners):
            boxes.append(apply_homography(matrix, picture.corners))
    every = np.vstack(boxes)
    low, high = every.min(axis=0), every.max(axis=0)
    known = [p.corners for p in view.pictures if len(p.corners)]
    if known:
        matrix = matrix_of(view, squared, view.pictures[0].source.name)
        at = apply_homography(matrix, known[0])
        middle, reach = at.mean(axis=0), _MOST * float(np.ptp(at, axis=0).max())
        low, high = np.maximum(low, middle - reach), np.minimum(high, middle + reach)
    size = float((high - low).max()) / longest
    columns, rows = np.maximum(np.ceil((high - low) / size - 1e-6).astype(int), 2).tolist()
    return Board(float(low[0]), float(high[1]), size, columns, rows)


def squared_picture(
    view: ViewSpec, squared: SquaredView, board: Board, pictures: Mapping[str, Colours]
) -> Colours:
    """(rows, columns, 3) red, green and blue; later pieces lie over earlier ones.

    Parameters: pictures, by name, (rows, columns, 3) as stored. What no picture shows is white.
    """
    shown: Colours = np.full((board.rows, board.columns, 3), 255, np.uint8)
    for name, colours in pictures.items():
        matrix = board.from_plane @ matrix_of(view, squared, name)
        size = (board.columns, board.rows)
        # Its own edge goes on beyond it, or a dark seam would run along every joint.
        piece = cv2.warpPerspective(
            colours, matrix, size, flags=cv2.INTER_AREA, borderMode=cv2.BORDER_REPLICATE
        )
        there = cv2.warpPerspective(np.full(colours.shape[:2], 255, np.uint8), matrix, size)
        shown[there > 127] = piece[there > 127]
    return shown


def draw_curves(shown: Colours, board: Board, curves: Sequence[ViewCurve]) -> Colours:
    """The picture with each line where it is, its band, where the plane shows it; a scale bar."""
    over = shown.copy()
    for curve in curves:
        ring = np.vstack([curve.near, curve.far[::-1]])
        cv2.fillPoly(over, [_fixed(board, ring)], _BAND, cv2.LINE_AA, shift=4)
    drawn: Colours = np.asarray(cv2.addWeighted(over, 0.55, shown, 0.45, 0.0), dtype=np.uint8)
    thick = max(1, round(max(board.columns, board.rows) / 800))
    for curve in curves:
        for points, ink in ((curve.read, _READ), (curve.points, _LINE)):
            course = [_fixed(board, points)]
            cv2.polylines(drawn, course, curve.closed, ink, thick, cv2.LINE_AA, shift=4)
    _scale_bar(drawn, board)
    return drawn


def _fixed(board: Board, points: Array) -> NDArray[np.int32]:
    px = np.clip(apply_homography(board.from_plane, points), -30_000, 30_000)
    return np.round(16.0 * px).astype(np.int32)


def _scale_bar(drawn: Colours, board: Board) -> None:
    """A round length of a tenth to a quarter of the width, lower left."""
    width = board.columns * board.mm_per_px
    power = 10.0 ** np.floor(np.log10(width / 10.0))
    length = max(step * power for step in _STEPS if step * power <= width / 4.0)
    end, high = round(length / board.mm_per_px), max(6, board.rows // 120)
    x, y = max(8, board.columns // 60), board.rows - 3 * high
    size = high / 14.0 + 0.3
    text = f"{length / 1000.0:g} m" if length >= 1000.0 else f"{length:g} mm"
    (_, tall), _ = cv2.getTextSize(text, cv2.FONT_HERSHEY_SIMPLEX, size, 1)
    box = ((x - 5, y - tall - 12), (x + end + 5, y + high + 5))
    cv2.rectangle(drawn, *box, (255, 255, 255), cv2.FILLED)
    cv2.rectangle(drawn, (x, y), (x + end, y + high), _INK, 1)
    cv2.rectangle(drawn, (x, y), (x + end // 2, y + high), _INK, cv2.FILLED)
    place = (x, y - 6)
    cv2.putText(drawn, text, place, cv2.FONT_HERSHEY_SIMPLEX, size, _INK, 1, cv2.LINE_AA)
