"""Pictures of tags with published corners and poses: our camera, and where pixels are counted from.

The pictures are those of Debian's package `visp-images-data` (GPL-2, for tests only): five tags
drawn by a simulator at known poses, its camera of 700 px aimed at the middle of 640 x 480. Where
the package is missing these tests are not collected; in CI that fails.
"""

import os
from pathlib import Path

import cv2
import numpy as np
import pytest

from buckwright.geometry.camera import camera_centre, project, rotation_vector

DATA = Path("/usr/share/visp-images-data/ViSP-images/AprilTag/benchmark/640x480")
HERE = (DATA / "corners_tag36_11.txt").is_file()
FOCAL = 700.0
SIDES = (0.2, 0.2, 0.2, 0.1, 0.1)
"""m, of the five tags: read off the published corners and poses."""


def test_in_ci_the_tags_are_there() -> None:
    assert HERE or os.environ.get("CI", "").lower() != "true"


def published() -> np.ndarray:
    """(5, 4, 2) px, counted from the corner of the first pixel."""
    rows = (DATA / "corners_tag36_11.txt").read_text().split()
    return np.array(rows, float).reshape(5, 9)[:, 1:].reshape(5, 4, 2)


if HERE:

    @pytest.mark.parametrize("tag", range(5))
    def test_a_published_pose_puts_a_tag_on_its_published_corners(tag: int) -> None:
        pose = np.loadtxt(DATA / f"cMo_{tag}.txt")
        half = 0.5 * SIDES[tag]
        square = np.array([[-half, -half, 0], [half, -half, 0], [half, half, 0], [-half, half, 0]])
        ours = project(
            square,
            turn=rotation_vector(pose[:3, :3]),
            shift=pose[:3, 3],
            focal=np.array(FOCAL),
            principal=np.array([320.0, 240.0]),
            lens=np.zeros(5),
        )
        np.testing.assert_allclose(ours, published()[tag], atol=0.5)
        centre = camera_centre(rotation_vector(pose[:3, :3]), pose[:3, 3])
        np.testing.assert_allclose(centre, np.linalg.inv(pose)[:3, 3], atol=1e-6)

    def test_our_pixels_are_counted_from_their_centres() -> None:
        # The publisher counts from the corner of the first pixel: half a pixel more than we do.
        grey = cv2.imread(str(DATA / "tag36_11_640x480.png"), cv2.IMREAD_GRAYSCALE)
        book = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
        choices = cv2.aruco.DetectorParameters()
        choices.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
        found, numbers, _ = cv2.aruco.ArucoDetector(book, choices).detectMarkers(grey)
        assert sorted(numbers.ravel().tolist()) == [0, 1, 2, 3, 4]
        gaps = []
        for number, corners in zip(numbers.ravel(), found, strict=True):
            true = published()[number] - 0.5
            apart = np.linalg.norm(corners[0][:, None] - true[None], axis=2)
            gaps.append(corners[0] - true[apart.argmin(axis=1)])
        bias = np.mean(np.concatenate(gaps), axis=0)
        assert np.abs(bias).max() < 0.1
