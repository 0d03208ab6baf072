"""Sixteen pictures with everything wrong at once, simulated, and points measured through them.

The mat was printed 0.3 % too wide and 0.1 % too high and waves by half a millimetre; focus and
stabiliser move the lens from picture to picture by up to 0.2 % and 3 px; corners are off by
0.1 px; the model hides the middle of the mat. One bar was measured, 0.05 mm wrong.
"""

import cv2
import numpy as np
from scipy.spatial.transform import Rotation

from buckwright.geometry.camera import camera_centre, rotation_matrix, undistort
from buckwright.model.pictures import Bar, Corners
from sights_on_paper import FOCAL, LENS, MAT, PRINCIPAL, SIZE, mat_corners, pose

STANDS = [(40 * k, 20, 600) for k in range(9)] + [(60 * k + 20, 48, 620) for k in range(6)]
STANDS += [(10, 86, 650)]


def body():
    """(171, 3) points of a model that stands on the mat."""
    along = np.linspace(0.0, 1.0, 19)
    rows = [
        np.column_stack(
            [
                285.0 + 180.0 * (2.0 * along - 1.0),
                np.full(19, -195.0 + y),
                20.0 + 100.0 * np.sin(np.pi * along),
            ]
        )
        for y in np.linspace(-60.0, 60.0, 9)
    ]
    return np.vstack(rows)


def faulty_shoot(seed):
    """Corners, the mat with its bar, and where each picture truly shows the body (16, 171, 2)."""
    random = np.random.default_rng(seed)
    phase = random.uniform(0.0, 6.28)
    points = mat_corners() * [1.003, 1.001, 1.0]
    wave = 0.5 * np.sin(points[:, 0] / 78.0 + phase) * np.cos(points[:, 1] / 66.0)
    points = points + wave[:, None] * [0.0, 0.0, 1.0]
    hidden = (np.abs(points[:, 0] - 285.0) < 200.0) & (np.abs(points[:, 1] + 195.0) < 70.0)
    corners, shown = [], []
    for number, stand in enumerate(STANDS):
        focal = FOCAL * (1.0 + 0.002 * random.uniform(-1.0, 1.0))
        middle = PRINCIPAL + 3.0 * random.uniform(-1.0, 1.0, 2)
        lens = np.array([[focal, 0, middle[0]], [0, focal, middle[1]], [0, 0, 1.0]])
        px = cv2.projectPoints(points, *pose(*stand), lens, LENS)[0][:, 0]
        px = px + 0.1 * random.normal(size=px.shape)
        inside = np.all((px > 20) & (px < np.array(SIZE) - 20), axis=1) & ~hidden
        name = f"p{number:02d}.jpg"
        corners.append(Corners(picture=name, ids=np.flatnonzero(inside), px=px[inside], size=SIZE))
        shown.append(cv2.projectPoints(body(), *pose(*stand), lens, LENS)[0][:, 0])
    wrong = 0.05 * (-1.0) ** seed
    long = float(np.linalg.norm(points[17] - points[0])) + wrong
    mat = MAT.model_copy(update={"bars": (Bar(start=(1, 1), end=(18, 1), mm=long),)})
    return corners, mat, np.array(shown)


def measured(calibration, shown):
    """(n, 3) where the rays of all pictures meet best."""
    normal, right = np.zeros((shown.shape[1], 3, 3)), np.zeros((shown.shape[1], 3))
    for picture, px in zip(calibration.pictures, shown, strict=True):
        flat = undistort((px - np.array(picture.principal)) / picture.focal, picture.distortion)
        ray = np.column_stack([flat, np.ones(len(flat))]) @ rotation_matrix(picture.rotation_vector)
        ray /= np.linalg.norm(ray, axis=1, keepdims=True)
        across = np.eye(3) - ray[:, :, None] * ray[:, None, :]
        normal += across
        right += across @ camera_centre(picture.rotation_vector, picture.translation)
    return np.linalg.solve(normal, right[:, :, None])[:, :, 0]


def rigid_and_scale(found, true):
    """rms mm after the best turn and shift, and how much too long lengths are, per mille."""
    a, b = found - found.mean(axis=0), true - true.mean(axis=0)
    turn, _ = Rotation.align_vectors(b, a)
    gap = turn.apply(a) - b
    grown = float(np.sum(turn.apply(a) * b) / np.sum(b * b))
    return float(np.sqrt(np.mean(np.sum(gap**2, axis=1)))), 1e3 * (grown - 1.0)
