"""The printed mat as it truly lies: stretched by the printer, slightly wavy.

Mat frame: origin at the top-left outer corner of the board, x to the right along the columns,
y up the page (so row r lies at about -30 r), z up out of the paper; true millimetres.
The nominal board is what the library draws; the printer stretched it and the paper is not flat.
"""

import json
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = [
    "BAR_ENDS",
    "MARGIN",
    "SQUARES",
    "SQUARE_MM",
    "STRETCH",
    "bar_length",
    "inner_corners",
    "mat_json",
    "nominal_to_true",
    "paper_grey",
    "true_to_nominal",
    "wave",
]

Array = NDArray[np.float64]

SQUARES = (19, 13)
SQUARE_MM, MARKER_MM = 30.0, 22.0
DICTIONARY = "DICT_5X5_250"
STRETCH = np.array([1.0026, 1.0024])
WAVE_MM = 0.3
MARGIN = 15.0
"""White paper round the board, mm."""
BAR_ENDS = ((1, 1), (18, 1))
CALIPER_ERROR = 0.02
"""mm by which the calipered bar is wrong."""


def nominal_to_true(page: Array) -> Array:
    """Points (n, 3) of the mat frame from nominal (right, down) millimetres (n, 2)."""
    flat = page * STRETCH * np.array([1.0, -1.0])
    return np.column_stack([flat, wave(flat)])


def true_to_nominal(flat: Array) -> Array:
    """Nominal (right, down) millimetres (n, 2) from x, y of the mat frame (n, 2)."""
    return flat / (STRETCH * np.array([1.0, -1.0]))


def wave(flat: Array) -> Array:
    """Height (n,) of the paper at x, y of the mat frame (n, 2)."""
    return _bumps(flat) - _tilted(flat) @ _level()


def _bumps(flat: Array) -> Array:
    x, y = flat[:, 0], flat[:, 1]
    return WAVE_MM * np.sin(x / 78.0 + 0.6) * np.cos(y / 66.0 + 0.3)


def _tilted(flat: Array) -> Array:
    return np.column_stack([np.ones(len(flat)), flat])


def _level() -> Array:
    """The plane that the bumps would have on the whole; taken off, so that z = 0 is the ground."""
    flat = _nominal_corners() * STRETCH * np.array([1.0, -1.0])
    return np.linalg.lstsq(_tilted(flat), _bumps(flat), rcond=None)[0]


def _nominal_corners() -> Array:
    columns, rows = np.meshgrid(np.arange(1, SQUARES[0]), np.arange(1, SQUARES[1]))
    return np.column_stack([columns.ravel(), rows.ravel()]) * SQUARE_MM


def inner_corners() -> Array:
    """True inner corners, row-major from the top left, (216, 3)."""
    return nominal_to_true(_nominal_corners())


def bar_length() -> float:
    """The bar between `BAR_ENDS` as a caliper read it, mm."""
    ends = nominal_to_true(np.array(BAR_ENDS) * SQUARE_MM)
    return round(float(np.linalg.norm(ends[1] - ends[0])) + CALIPER_ERROR, 2)


def mat_json() -> str:
    """The text of `mat.json`."""
    start, end = BAR_ENDS
    content = {
        "squares": list(SQUARES),
        "square_mm": SQUARE_MM,
        "marker_mm": MARKER_MM,
        "dictionary": DICTIONARY,
        "bars": [{"from": list(start), "to": list(end), "mm": bar_length()}],
    }
    return json.dumps(content, indent=2) + "\n"


def write_mat(folder: Path) -> None:
    """Write `mat.json` into the folder."""
    (folder / "mat.json").write_text(mat_json(), encoding="utf-8")


def _board() -> cv2.aruco.CharucoBoard:
    dictionary = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, DICTIONARY))
    return cv2.aruco.CharucoBoard(SQUARES, SQUARE_MM, MARKER_MM, dictionary)


def paper_grey(page: Array) -> Array:
    """Reflectance (n,) of the print at nominal (right, down) millimetres (n, 2): exact edges.

    1 is white paper, 0 black ink; off the board the paper is white.
    """
    board = _board()
    cell = np.floor(page / SQUARE_MM).astype(np.int64)
    on_board = np.all((cell >= 0) & (cell < np.array(SQUARES)), axis=1)
    cell = np.where(on_board[:, None], cell, 0)
    white = np.where((cell.sum(axis=1)) % 2 == 1, 1.0, 0.0)
    bits, has_marker = _marker_bits(board)
    margin = 0.5 * (SQUARE_MM - MARKER_MM)
    inside = page - cell * SQUARE_MM - margin
    in_marker = np.all((inside >= 0.0) & (inside < MARKER_MM), axis=1)
    in_marker &= has_marker[cell[:, 1], cell[:, 0]]
    module = np.clip(np.floor(inside / (MARKER_MM / 7.0)).astype(np.int64), 0, 6)
    ink = bits[cell[:, 1], cell[:, 0], module[:, 1], module[:, 0]]
    return np.where(on_board, np.where(in_marker, ink, white), 1.0)


def _marker_bits(board: cv2.aruco.CharucoBoard) -> tuple[Array, NDArray[np.bool_]]:
    """For each cell (row, column) the 7 x 7 modules of its marker, and whether it has one."""
    bits = np.ones((SQUARES[1], SQUARES[0], 7, 7))
    has = np.zeros((SQUARES[1], SQUARES[0]), dtype=bool)
    for corners, number in zip(board.getObjPoints(), board.getIds().ravel(), strict=True):
        column, row = np.floor(np.asarray(corners)[:, :2].mean(axis=0) / SQUARE_MM).astype(int)
        picture = cv2.aruco.generateImageMarker(board.getDictionary(), int(number), 7)
        bits[row, column] = picture / 255.0
        has[row, column] = True
    return bits, has
