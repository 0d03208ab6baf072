"""Small photographs of a mat, drawn through a plane map: for tests of what may be wrong."""

import io
from functools import cache

import cv2
import numpy as np
from PIL import Image
from scipy.spatial.transform import Rotation

from buckwright.geometry.board import coded_board
from buckwright.model.mats import printed_mat

MAT = printed_mat("A4")
WIDTH, HEIGHT = 800, 600
FOCAL = 750.0
STANDS = tuple((45 * k, 32, 430) for k in range(4))
STANDS += tuple((90 * k + 20, 60, 430) for k in range(4))
_DOTS = 4


@cache
def paper(mat=MAT, first=0, legacy=False):
    """The printed page, grey, with a white edge of 20 mm."""
    board = coded_board(
        mat.squares,
        square=mat.square_mm,
        marker=mat.marker_mm,
        dictionary=mat.dictionary,
        first=first,
    )
    board.setLegacyPattern(legacy)
    size = tuple(int(side * mat.square_mm * _DOTS) for side in mat.squares)
    page = board.generateImage(size)
    return cv2.copyMakeBorder(page, *[20 * _DOTS] * 4, cv2.BORDER_CONSTANT, value=255)


def camera(azimuth, height, distance, *, mat=MAT, roll=0.0):
    """(3, 3) turn and (3,) shift of a camera aimed at the middle of the mat."""
    a, h = np.radians([azimuth, height])
    towards = np.array([np.cos(a) * np.cos(h), np.sin(a) * np.cos(h), np.sin(h)])
    right = np.cross(-towards, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    turn = np.array([right, np.cross(-towards, right), -towards])
    turn = Rotation.from_euler("z", roll, degrees=True).as_matrix() @ turn
    middle = 0.5 * mat.square_mm * np.array([mat.squares[0], -mat.squares[1], 0.0])
    return turn, -turn @ (middle + distance * towards)


def picture(stand=STANDS[0], *, page=None, mat=MAT, zoom=1.0, size=(WIDTH, HEIGHT), roll=0.0):
    """Grey values of the page as a camera sees it, on a grey bench."""
    page = paper(mat) if page is None else page
    turn, shift = camera(*stand, mat=mat, roll=roll)
    lens = np.array([[FOCAL * zoom, 0, size[0] / 2], [0, FOCAL * zoom, size[1] / 2], [0, 0, 1]])
    # Dots of the page, centres at integers, to mm of the mat; then through the camera.
    to_mm = np.array(
        [[1 / _DOTS, 0, 0.5 / _DOTS - 20], [0, -1 / _DOTS, 20 - 0.5 / _DOTS], [0, 0, 1]]
    )
    plane = lens @ np.column_stack([turn[:, 0], turn[:, 1], shift]) @ to_mm
    grey = np.full(size[::-1], 110, np.uint8)
    seen = cv2.warpPerspective(page, plane, size, flags=cv2.INTER_AREA, borderValue=110)
    where = cv2.warpPerspective(np.full_like(page, 255), plane, size)
    grey = np.where(where > 127, seen, grey)
    return cv2.GaussianBlur(np.clip(grey * 0.8 + 25, 0, 255).astype(np.uint8), (0, 0), 0.8)


def saved(grey, kind="JPEG", *, mode="RGB", **choices):
    """The bytes of a file that holds these grey values."""
    out = io.BytesIO()
    Image.fromarray(grey).convert(mode).save(out, kind, **choices)
    return out.getvalue()


def tags(*, model="Pocket 7", focal=4.2, way_up=1, size=None, zoom=None):
    """EXIF as a phone writes it."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x0112] = "Maker", model, way_up
    more = exif.get_ifd(0x8769)
    more[0x920A] = focal
    if zoom:
        more[0xA404] = zoom
    if size:
        more[0xA002], more[0xA003] = size
    return exif.tobytes()


@cache
def shoot(stands=STANDS, mat=MAT):
    """(name, bytes) of a picture from each stand."""
    return [(f"p{k}.jpg", saved(picture(s, mat=mat), quality=92)) for k, s in enumerate(stands)]
