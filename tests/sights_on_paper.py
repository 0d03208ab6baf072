"""A small shoot without any rendering: cameras round a mat, corners and traces with known noise."""

import cv2
import numpy as np
from scipy.ndimage import gaussian_filter1d
from scipy.spatial.transform import Rotation

from buckwright.model.pictures import Bar, Corners, Mat, Trace

SIZE = (4032, 3024)
FOCAL, PRINCIPAL = 3050.0, np.array([2022.0, 1502.0])
LENS = np.array([0.11, -0.28, 0.0006, -0.0004, 0.17])
MAT = Mat(squares=(19, 13), square_mm=30.0, marker_mm=22.0, dictionary="DICT_5X5_250")
STANDS = [(40 * k, 20, 600) for k in range(9)] + [(60 * k + 20, 48, 620) for k in range(6)]
MIDDLE = np.array([285.0, -195.0, 60.0])


def mat_corners(stretch=1.0):
    """(216, 3) inner corners in mm: x along the columns, y up the page, z out of it."""
    column, row = np.meshgrid(np.arange(1, 19), np.arange(1, 13))
    flat = np.column_stack([column.ravel(), -row.ravel()]) * 30.0 * stretch
    return np.column_stack([flat, np.zeros(len(flat))])


def pose(azimuth, height, distance):
    """(rotation vector, translation) of a camera aimed at the middle of the mat."""
    a, h = np.radians([azimuth, height])
    towards = np.array([np.cos(a) * np.cos(h), np.sin(a) * np.cos(h), np.sin(h)])
    forward = -towards
    right = np.cross(forward, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    turn = np.array([right, np.cross(forward, right), forward])
    return Rotation.from_matrix(turn).as_rotvec(), -turn @ (MIDDLE + distance * towards)


def seen(points, stand):
    """(n, 2) pixels by OpenCV's own projection."""
    matrix = np.array([[FOCAL, 0, PRINCIPAL[0]], [0, FOCAL, PRINCIPAL[1]], [0, 0, 1.0]])
    return cv2.projectPoints(np.asarray(points, float), *pose(*stand), matrix, LENS)[0][:, 0]


def shoot(noise=0.04, *, stands=STANDS, stretch=1.0, seed=1):
    """Corners of each picture, those outside it left out."""
    random = np.random.default_rng(seed)
    points = mat_corners(stretch)
    found = []
    for number, stand in enumerate(stands):
        px = seen(points, stand) + noise * random.normal(size=(len(points), 2))
        inside = np.all((px > 20) & (px < np.array(SIZE) - 20), axis=1)
        found.append(
            Corners(
                picture=f"p{number:02d}.jpg",
                ids=np.flatnonzero(inside),
                px=px[inside],
                size=SIZE,
            )
        )
    return found


def with_bar(stretch=1.0):
    """The mat with its long bar calipered."""
    return MAT.model_copy(update={"bars": (Bar(start=(1, 1), end=(18, 1), mm=510.0 * stretch),)})


def trace(name, points, *, stands=STANDS, wobble=1.0, seed=2, vertex=25.0):
    """Traces of a line in all pictures, with a wobble that forgets itself over about 60 px.

    `vertex` px lie between the points of a trace; on tight corners a hand sets them closer.
    """
    random = np.random.default_rng(seed)
    traces = []
    for number, stand in enumerate(stands):
        px = seen(points, stand)
        step = np.linalg.norm(np.diff(px, axis=0), axis=1).mean()
        hand = gaussian_filter1d(random.normal(size=px.shape), 30.0 / step, axis=0)
        px = px + wobble * hand / hand.std()
        traces.append(
            Trace(line=name, picture=f"p{number:02d}.jpg", px=px[:: max(1, int(vertex / step))])
        )
    return traces


def hoop(count=800):
    """An arch over the mat, 400 mm wide and 150 high, that leans and bows."""
    t = np.linspace(0.0, np.pi, count)
    return np.column_stack(
        [285.0 + 12.0 * np.sin(2 * t), -195.0 + 130.0 * np.cos(t), 20.0 + 120.0 * np.sin(t)]
    )
