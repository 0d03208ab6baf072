"""Real photographs with a published calibration, and OpenCV's own solvers on ideal data.

The photographs are those of Debian's package `opencv-doc` (Apache-2.0 and BSD): a flat chessboard
seen by one camera, 9 x 6 corners of 25 mm, and one coded board. Where the package is missing these
tests are not collected; in CI that fails.
"""

import os
from pathlib import Path

import cv2
import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from buckwright.capture import calibrate, check_corner_bias, find_corners
from buckwright.geometry.camera import camera_centre, project, undistort
from buckwright.model.pictures import Calibration, Corners, Mat
from sights_on_paper import FOCAL, LENS, MAT, PRINCIPAL, STANDS, mat_corners, pose, seen, shoot

DOC = Path("/usr/share/doc/opencv-doc")
CODED = DOC / "opencv4" / "html" / "choriginal.jpg"
LEFT = sorted((DOC / "examples" / "data").glob("left[01]*.jpg"))
RIGHT = sorted((DOC / "examples" / "data").glob("right[01]*.jpg"))
HERE = CODED.is_file() and len(LEFT) == len(RIGHT) == 13
CHESS = Mat(squares=(10, 7), square_mm=25.0, marker_mm=15.0, dictionary="DICT_5X5_250")


def test_in_ci_the_real_photographs_are_there() -> None:
    assert HERE or os.environ.get("CI", "").lower() != "true"


if HERE:

    def test_every_corner_of_a_real_coded_board_is_found() -> None:
        # 5 x 7 squares of 40 mm, marks of 20 mm: 24 inner corners. Measured with OpenCV: pose to
        # 0.216 +- 0.05 px rms with the camera of the tutorial beside it.
        mat = Mat(squares=(5, 7), square_mm=40.0, marker_mm=20.0, dictionary="DICT_6X6_250")
        grey = cv2.imread(str(CODED), cv2.IMREAD_GRAYSCALE)
        corners = find_corners(grey, mat, picture=CODED.name)
        assert corners.ids.tolist() == list(range(24))
        file = cv2.FileStorage(
            str(DOC / "examples" / "aruco" / "tutorial_camera_charuco.yml"), cv2.FILE_STORAGE_READ
        )
        matrix, lens = file.getNode("camera_matrix").mat(), file.getNode("distortion_coefficients")
        column, row = corners.ids % 4, corners.ids // 4
        points = np.column_stack([column, row, 0 * row]).astype(float) * 40.0
        px = np.array(corners.px)
        _, turn, shift = cv2.solvePnP(points, px, matrix, lens.mat())
        again = cv2.projectPoints(points, turn, shift, matrix, lens.mat())[0][:, 0]
        assert np.sqrt(np.mean((again - px) ** 2)) == pytest.approx(0.216 / np.sqrt(2.0), abs=0.08)

    def chessboard(path: Path) -> Corners:
        """The 54 corners of the chessboard in one photograph, row by row."""
        criteria = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 60, 1e-4)
        grey = cv2.imread(str(path), cv2.IMREAD_GRAYSCALE)
        _, px = cv2.findChessboardCorners(grey, (9, 6))
        px = cv2.cornerSubPix(grey, px, (5, 5), (-1, -1), criteria).reshape(-1, 2)
        return Corners(
            picture=path.name,
            ids=np.arange(54),
            px=px if px[0, 0] < px[8, 0] else px[::-1],
            size=grey.shape[::-1],
        )

    @pytest.fixture(scope="module")
    def left() -> Calibration:
        return calibrate([chessboard(path) for path in LEFT], CHESS)

    def test_the_focal_length_of_a_real_camera_is_the_published_one(left: Calibration) -> None:
        # left_intrinsics.yml of the package says 535.9; OpenCV on the same 13 photographs 532.8.
        focal = float(np.median([picture.focal for picture in left.pictures]))
        assert focal == pytest.approx(534.0, rel=0.01)
        assert left.residual_px < 0.25

    def test_two_real_cameras_stand_as_far_apart_as_opencvs_stereo_calibration_says(
        left: Calibration,
    ) -> None:
        # Measured with OpenCV's stereoCalibrate on the 13 pairs: 83.2 mm.
        right = calibrate([chessboard(path) for path in RIGHT], CHESS)
        apart = [
            np.linalg.norm(
                camera_centre(one.rotation_vector, one.translation)
                - camera_centre(two.rotation_vector, two.translation)
            )
            for one, two in zip(left.pictures, right.pictures, strict=True)
        ]
        assert float(np.median(apart)) == pytest.approx(83.2, abs=0.3)


def test_projection_and_its_inverse_agree_with_opencv() -> None:
    points = np.random.default_rng(3).uniform([0, -390, 0], [570, 0, 200], (200, 3))
    matrix = np.array([[FOCAL, 0, PRINCIPAL[0]], [0, FOCAL, PRINCIPAL[1]], [0, 0, 1.0]])
    for stand in STANDS[::4]:
        turn, shift = pose(*stand)
        ours = project(points, turn=turn, shift=shift, focal=FOCAL, principal=PRINCIPAL, lens=LENS)
        np.testing.assert_allclose(ours, seen(points, stand), atol=1e-6)
        straight = cv2.undistortPoints(
            ours.reshape(-1, 1, 2), matrix, LENS, None, None, None,
        ).reshape(-1, 2)  # fmt: skip
        np.testing.assert_allclose(undistort((ours - PRINCIPAL) / FOCAL, LENS), straight, atol=2e-5)


def test_poses_agree_with_solvepnp_on_ideal_corners() -> None:
    corners = shoot(noise=0.0)
    calibration = calibrate(corners, MAT)
    matrix = np.array([[FOCAL, 0, PRINCIPAL[0]], [0, FOCAL, PRINCIPAL[1]], [0, 0, 1.0]])
    for found, picture in zip(corners, calibration.pictures, strict=True):
        points = mat_corners()[found.ids]
        _, turn, shift = cv2.solvePnP(points, np.array(found.px), matrix, LENS)
        theirs = camera_centre(turn.ravel(), shift.ravel())
        ours = camera_centre(picture.rotation_vector, picture.translation)
        assert np.linalg.norm(ours - theirs) < 0.02
        gap = Rotation.from_rotvec(turn.ravel()).inv() * Rotation.from_rotvec(
            np.array(picture.rotation_vector)
        )
        assert gap.magnitude() < 2e-5


def test_the_finder_has_no_half_pixel_bias() -> None:
    # OpenCV before 4.14 put board corners half a pixel off (opencv issue 25539).
    assert np.abs(check_corner_bias(MAT)).max() < 0.03
