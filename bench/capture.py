"""Calibration of 16 pictures beside OpenCV's calibrateCamera on the same corners.

Simulated: a stretched, wavy mat, a lens that moves, one bar measured 0.05 mm wrong. 'rigid' is the
rms of 171 points of the body after the best turn and shift, 'scale' how much too long lengths
are. Then the time to find the corners of a 12-megapixel photograph of the example.
"""

import sys
from pathlib import Path
from time import perf_counter, process_time

import cv2
import numpy as np
from numpy.typing import NDArray

from buckwright.capture import calibrate, find_corners
from buckwright.files.mats import read_mat
from buckwright.files.photographs import read_picture
from buckwright.model.pictures import Calibration, Corners, Picture

# The shoots are those of the tests.
sys.path.append(str(Path(__file__).parents[1] / "tests"))
from faulty_shoots import body, faulty_shoot, measured, rigid_and_scale
from sights_on_paper import mat_corners

Array = NDArray[np.float64]
ROOT = Path(__file__).parents[1]
SEEDS = 12


def main() -> None:
    rows: dict[str, list[list[float]]] = {"ours": [], "OpenCV calibrateCamera": []}
    for seed in range(SEEDS):
        corners, mat, shown = faulty_shoot(seed)
        for name, run in (
            ("ours", lambda c=corners, m=mat: calibrate(c, m)),
            ("OpenCV calibrateCamera", lambda c=corners: by_opencv(c)),
        ):
            wall, cpu = perf_counter(), process_time()
            cameras = run()
            times = [perf_counter() - wall, process_time() - cpu]
            rows[name].append([*times, *rigid_and_scale(measured(cameras, shown), body())])
    print(f"{SEEDS} shoots of 16 pictures; rms of the errors, mean of the times")
    print("{:<26}{:>8}{:>8}{:>12}{:>14}".format("", "wall s", "CPU s", "rigid mm", "scale o/oo"))
    mean = {name: np.mean(values, axis=0) for name, values in rows.items()}
    for name, values in rows.items():
        rms = np.sqrt(np.mean(np.square(values), axis=0))
        wall, cpu = mean[name][:2]
        print(f"{name:<26}{wall:>8.2f}{cpu:>8.2f}{rms[2]:>12.4f}{rms[3]:>14.3f}")
    ratio = mean["ours"][1] / mean["OpenCV calibrateCamera"][1]
    print(f"CPU ratio {ratio:.1f}")
    corners_of_a_photograph()


def by_opencv(corners: list[Corners]) -> Calibration:
    """Plain calibration on the mat as drawn, as our own facts."""
    points = [mat_corners()[c.ids].astype(np.float32) for c in corners]
    px = [c.px.astype(np.float32) for c in corners]
    size = corners[0].size
    _, matrix, lens, turns, shifts = cv2.calibrateCamera(
        points, px, size, np.eye(3), np.zeros(5), flags=cv2.CALIB_FIX_ASPECT_RATIO
    )
    pictures = tuple(
        Picture(
            name=c.picture,
            size=size,
            rotation_vector=np.ravel(turn),
            translation=np.ravel(shift),
            focal=float(matrix[0, 0]),
            principal=(float(matrix[0, 2]), float(matrix[1, 2])),
            distortion=np.ravel(lens)[:5],
            residual_px=0.0,
            corners_used=len(c.ids),
        )
        for c, turn, shift in zip(corners, turns, shifts, strict=True)
    )
    return Calibration(
        pictures=pictures,
        groups=(),
        mat_points=mat_corners(),
        residual_px=0.0,
        scale="not measured",
        scale_sigma=0.003,
        centre_sigma=np.zeros(len(pictures)),
    )


def corners_of_a_photograph() -> None:
    mat = read_mat(ROOT / "examples/wren/mat.json")
    _, grey = read_picture(ROOT / "examples/wren/pictures/wren_01.jpg")
    wall, cpu = perf_counter(), process_time()
    corners = find_corners(grey, mat, picture="wren_01.jpg")
    wall, cpu = perf_counter() - wall, process_time() - cpu
    print(
        f"\n{len(corners.ids)} corners of a 12-megapixel photograph: {wall:.2f} s, CPU {cpu:.2f} s"
    )


if __name__ == "__main__":
    main()
