"""Photographs of the invented van: drawn lines over a drawn mat, with the cameras known."""

from hashlib import sha256
from io import BytesIO

import numpy as np
from PIL import Image, ImageDraw
from scipy.spatial.transform import Rotation

from buckwright.geometry.camera import project
from buckwright.model.finding import Finding
from buckwright.model.pictures import (
    Calibration,
    CameraGroup,
    MeasuredLine,
    Picture,
    PictureSource,
    Trace,
)
from web.invented_shape import SCALE, true_lines

FOCAL, SIZE = 900.0, (960, 720)


def cameras():
    """Six cameras round the mat, as OpenCV would have them."""
    for place, turn in enumerate(np.linspace(0.2, 0.2 + 2 * np.pi, 6, endpoint=False)):
        height = 420.0 if place % 2 else 620.0
        centre = np.array([290 + 700 * np.cos(turn), -200 + 700 * np.sin(turn), height])
        forward = np.array([290.0, -200.0, 80.0]) - centre
        forward /= np.linalg.norm(forward)
        right = np.cross(forward, [0.0, 0.0, 1.0])
        right /= np.linalg.norm(right)
        yield (
            f"view {place + 1:02d}.jpg",
            np.stack([right, np.cross(forward, right), forward]),
            centre,
        )


def _in_mat(points):
    return points / SCALE + np.array([120.0, -200.0, 0.0])


def make_pictures():
    """Sources with their bytes, traces, and the calibration."""
    principal = (SIZE[0] / 2 - 0.5, SIZE[1] / 2 - 0.5)
    sources, blobs, traces, solved = [], [], [], []
    for name, turn, centre in cameras():
        pose = {
            "rotation_vector": Rotation.from_matrix(turn).as_rotvec(),
            "translation": -turn @ centre,
        }
        solved.append(
            Picture(
                name=name,
                size=SIZE,
                focal=FOCAL,
                principal=principal,
                distortion=np.zeros(5),
                residual_px=0.28 + 0.01 * len(solved),
                corners_used=180,
                **pose,
            )
        )

        def to_px(points, pose=pose):
            return project(
                points,
                turn=pose["rotation_vector"],
                shift=pose["translation"],
                focal=np.array(FOCAL),
                principal=np.array(principal),
                lens=np.zeros(5),
            )

        image = Image.new("RGB", SIZE, (196, 190, 178))
        draw = ImageDraw.Draw(image)
        for column in range(19):
            for row in range(13):
                square = np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]], dtype=float)
                corners = (square + np.array([column, -row - 1, 0])) * 30.0
                shade = (40, 40, 44) if (column + row) % 2 else (236, 234, 228)
                draw.polygon([tuple(p) for p in to_px(corners)], fill=shade)
        for line, points in true_lines().items():
            px = to_px(_in_mat(points))
            draw.line([tuple(p) for p in px], fill=(120, 60, 40), width=3)
            traces.append(Trace(line=line, picture=name, px=px))
        out = BytesIO()
        image.save(out, "JPEG", quality=80)
        blobs.append(out.getvalue())
        sources.append(
            PictureSource(name=name, sha256=sha256(out.getvalue()).hexdigest(), size=SIZE)
        )
    calibration = Calibration(
        pictures=tuple(solved),
        groups=(CameraGroup(focal=FOCAL, centre=principal, distortion=np.zeros(5)),),
        mat_points=np.array(
            [[30.0 * column, -30.0 * row, 0.0] for row in range(1, 13) for column in range(1, 19)]
        ),
        residual_px=0.31,
        scale="bar",
        scale_sigma=0.00012,
        centre_sigma=np.full(len(solved), 0.031),
        findings=(
            Finding(
                code="few-heights",
                where="view 04.jpg",
                message="All pictures were taken between 420 mm and 620 mm above the mat.",
                remedy="Take two from above and two close to the mat.",
            ),
        ),
    )
    return tuple(sources), tuple(blobs), tuple(traces), calibration


def make_measured():
    return tuple(
        MeasuredLine(
            name=name,
            points=_in_mat(points),
            sigma=np.full(len(points), 0.09),
            closed=False,
            pictures=("view 01.jpg", "view 02.jpg", "view 03.jpg"),
            residual_px=0.7,
            conditioning=np.ones(len(points)),
        )
        for name, points in true_lines().items()
    )
