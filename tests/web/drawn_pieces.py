"""A drawing of a van's side, scanned in three pieces that lie askew, with what is true of each."""

from functools import cache
from io import BytesIO

import cv2
import numpy as np
from PIL import Image

SIZE = (2400, 900)
"""px of the whole drawing; a pixel of it is half a millimetre of paper."""
MARKS = {
    "crossing a": (830.0, 120.0),
    "crossing b": (860.0, 780.0),
    "crossing c": (770.0, 420.0),
    "crossing d": (1630.0, 140.0),
    "crossing e": (1650.0, 760.0),
    "crossing f": (1560.0, 450.0),
    "crossing g": (1600.0, 640.0),
}
WHEELS = ((420.0, 700.0), (1900.0, 700.0))
"""1480 px apart: 740 mm of paper for a wheelbase of 2220 mm, so a pixel is 1.5 mm."""
BELT = tuple((x, 330.0 + 0.02 * x) for x in np.linspace(250.0, 2150.0, 24))
PIECES = {
    "left.png": (0.0, 1.0, (0.0, 0.0)),
    "middle.png": (0.03, 1.0, (700.0, 0.0)),
    "right.png": (-0.02, 0.9, (1500.0, 0.0)),
}
"""Turn, scale and left edge of what each scan shows."""
PIECE_SIZE = (1020, 900)


def to_piece(name, points):
    """Pixels in the scan of places (n, 2) in the drawing."""
    turn, scale, corner = PIECES[name]
    c, s = scale * np.cos(turn), scale * np.sin(turn)
    return (np.asarray(points, dtype=float) - corner) @ np.array([[c, s], [-s, c]]) + [20.0, 15.0]


def shows(name, point):
    at = to_piece(name, [point])[0]
    return bool(np.all(at > 5.0) and np.all(at < np.array(PIECE_SIZE) - 6.0))


def whole_drawing():
    sheet = np.full((SIZE[1], SIZE[0], 3), 246, np.uint8)
    for x in range(50, SIZE[0], 100):
        cv2.line(sheet, (x, 0), (x, SIZE[1]), (225, 222, 210), 1)
    for y in range(50, SIZE[1], 100):
        cv2.line(sheet, (0, y), (SIZE[0], y), (225, 222, 210), 1)
    ink = (60, 50, 45)
    body = np.array([[230, 640], [250, 330], [620, 300], [760, 130], [2080, 110], [2170, 300],
                     [2190, 650]])  # fmt: skip
    cv2.polylines(sheet, [body], False, ink, 4, cv2.LINE_AA)
    cv2.polylines(sheet, [np.array(BELT).astype(np.int32)], False, ink, 3, cv2.LINE_AA)
    for x, y in WHEELS:
        for radius in (150, 100, 6):
            cv2.circle(sheet, (int(x), int(y)), radius, ink, 3, cv2.LINE_AA)
    for x, y in MARKS.values():
        cv2.line(sheet, (int(x) - 12, int(y)), (int(x) + 12, int(y)), (30, 30, 190), 2)
        cv2.line(sheet, (int(x), int(y) - 12), (int(x), int(y) + 12), (30, 30, 190), 2)
    return sheet


@cache
def piece_png(name):
    """The scan as the bytes of a PNG."""
    turn, scale, corner = PIECES[name]
    c, s = scale * np.cos(turn), scale * np.sin(turn)
    shift = np.array([20.0, 15.0]) - np.array([[c, -s], [s, c]]) @ corner
    matrix = np.array([[c, -s, shift[0]], [s, c, shift[1]]])
    seen = cv2.warpAffine(whole_drawing(), matrix, PIECE_SIZE, borderValue=(246, 246, 246))
    out = BytesIO()
    Image.fromarray(seen).convert("P", colors=32).save(out, "PNG", optimize=True)
    return out.getvalue()


def shared_marks():
    """Every mark with its pixel in each piece that shows it."""
    return {
        mark: {
            name: tuple(float(c) for c in to_piece(name, [at])[0])
            for name in PIECES
            if shows(name, at)
        }
        for mark, at in MARKS.items()
    }
