"""The example's true cameras, as if they had been solved without any doubt, and its traces."""

import json
from pathlib import Path

import numpy as np

from buckwright.files.mats import read_traces
from buckwright.model.pictures import Calibration, CameraGroup, Picture

WREN = Path(__file__).parents[1] / "examples" / "wren"
CAMERAS = json.loads((WREN / "truth_cameras.json").read_text(encoding="utf-8"))
TRACES = read_traces(WREN / "traces.json")


def true_calibration():
    lens = np.array(CAMERAS["distortion"])
    pictures = tuple(
        Picture(
            name=one["name"],
            size=tuple(one["size"]),
            rotation_vector=np.array(one["rotation_vector"]),
            translation=np.array(one["translation"]),
            focal=one["focal"],
            principal=tuple(one["principal"]),
            distortion=lens,
            residual_px=0.05,
            corners_used=100,
        )
        for one in CAMERAS["pictures"]
    )
    first = pictures[0]
    size = 9 * len(pictures) + 5
    return Calibration(
        pictures=pictures,
        groups=(CameraGroup(focal=first.focal, centre=first.principal, distortion=lens),),
        mat_points=np.array([point["mm"] for point in CAMERAS["mat_points"]]),
        residual_px=0.05,
        scale="bar",
        scale_sigma=1e-4,
        centre_sigma=np.zeros(len(pictures)),
        covariance=np.zeros(size * (size + 1) // 2),
        group_of=np.zeros(len(pictures), dtype=np.int64),
    )
