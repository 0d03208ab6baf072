"""The example 'Wren': its truth is one shape, and its pictures, traces and survey show that one."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from lens import DISTORTION, SIZE, cameras
from make_pictures import AIM
from outlines import OUTLINE, points_on_model
from paper import BAR_ENDS, MARKER_MM, SQUARE_MM, SQUARES, STRETCH, bar_length, inner_corners
from PIL import Image
from scipy.spatial import cKDTree
from scipy.spatial.transform import Rotation
from shape import (
    FRONT_WING,
    REAR_WING,
    SQUARENESS,
    belt_height,
    half_breadth,
    rear_station,
    screen_station,
    upper_height,
)
from studio import TAPE_LINES, Placing, Studio, picture
from survey import DENTS, measured, normals
from tracing import WOBBLE_PX
from truelines import line_points, lines

from buckwright.files.jobfolder import read_job_folder
from buckwright.geometry.polyline import closest_on_polyline
from buckwright.model.job import Job

HERE = Path(__file__).parents[2] / "examples" / "wren"
CURVES = lines()


def points_of(name: str, step: float = 5.0) -> np.ndarray:
    curve, closed = CURVES[name]
    return line_points(curve, closed=closed, step=step)


def off_body(points: np.ndarray) -> np.ndarray:
    """How far points miss the body's equation: (y/B)^2 + f^2 - k (y/B)^2 f^2 = 1 above the belt."""
    x, y, z = points.T
    f, q = (z - belt_height(x)) / upper_height(x), (y / half_breadth(x)) ** 2
    above = q + f**2 - SQUARENESS * q * f**2 - 1.0
    below = np.sqrt(q) - (1.0 - 0.5 * (1.0 - SQUARENESS) * f**2 - 0.01 * f**4)
    return np.where(f >= -1e-12, above, below)


def read(name: str) -> Any:
    return json.loads((HERE / name).read_text(encoding="utf-8"))


# The shape


@pytest.mark.parametrize(
    "name",
    ["roof centre line", "middle section", "screen edge", "rear edge"]
    + [
        f"{n} {s}"
        for n in ("belt", "sill", "cantrail", "door", "window")
        for s in ("left", "right")
    ],
)
def test_body_lines_lie_on_the_body(name: str) -> None:
    assert np.abs(off_body(points_of(name))).max() < 1e-9


def test_edges_lie_on_both_their_surfaces() -> None:
    for name in ("screen edge", "screen base"):
        points = points_of(name)
        assert np.abs(points[:, 0] - screen_station(points[:, 2])).max() < 1e-9
    for name in ("rear edge", "rear sill", "rear centre line"):
        points = points_of(name)
        assert np.abs(points[:, 0] - rear_station(points[:, 1], points[:, 2])).max() < 1e-9


@pytest.mark.parametrize(
    ("line", "other"),
    [
        ("roof centre line", "screen edge"),
        ("roof centre line", "rear edge"),
        ("rear centre line", "rear edge"),
        ("rear centre line", "rear sill"),
        ("scuttle centre line", "scuttle front"),
        ("scuttle centre line", "screen base"),
        *((f"{line} {side}", end) for side in ("left", "right") for line, end in (
            ("belt", "scuttle front"), ("belt", "rear edge"), ("sill", "scuttle front"),
            ("sill", "rear edge"), ("cantrail", "screen edge"), ("cantrail", "rear edge"),
        )),
    ],
)  # fmt: skip
def test_lines_end_on_the_lines_they_run_to(line: str, other: str) -> None:
    ends = CURVES[line][0](np.array([0.0, 1.0]))
    gap, _, _ = closest_on_polyline(ends, CURVES[other][0](np.linspace(0.0, 1.0, 4001)))
    # Chords of a millimetre lie less than two thousandths inside the tightest bend.
    assert gap.min() < 0.002


def test_belt_screen_edge_and_screen_base_share_a_point() -> None:
    for end in (0.0, 1.0):
        edge = CURVES["screen edge"][0](np.array([end]))
        assert np.abs(edge - CURVES["screen base"][0](np.array([end]))).max() < 1e-7
        assert edge[0, 2] == pytest.approx(float(belt_height(edge[0, 0])), abs=1e-9)


def test_the_body_keeps_its_curvature_across_the_belt() -> None:
    side = points_of("middle section", 1.0)
    side = side[: len(side) // 3]
    slope = np.gradient(side[:, 1], side[:, 2])
    bend = np.gradient(slope, side[:, 2])
    at_belt = np.abs(side[:, 2] - belt_height(np.float64(1470.0))) < 25.0
    assert np.ptp(bend[at_belt]) < 0.1 * np.abs(bend[at_belt]).mean()


def test_wing_lines_lie_on_their_wings_and_end_on_their_edges() -> None:
    for name, wing in (("front wing", FRONT_WING), ("rear wing", REAR_WING)):
        edge = points_of(f"{name} edge", 0.2)
        for end in ("crown", "section"):
            ends = CURVES[f"{name} {end}"][0](np.array([0.0, 1.0]))
            assert cKDTree(edge).query(ends)[0].max() < 0.11
        local = edge - np.array([wing.axle_x, wing.centre_y, 330.0])
        u = np.arctan2(local[:, 2], local[:, 0])
        v = np.arcsin(local[:, 1] / wing.tube)
        assert np.abs(wing.point(u, v) - edge).max() < 1e-9


def test_right_lines_mirror_left_lines() -> None:
    for name in (n for n in CURVES if n.endswith(" left") and "rim" not in n):
        other = points_of(name.replace(" left", " right"))
        assert np.array_equal(points_of(name) * [1.0, -1.0, 1.0], other)


def test_the_written_truth_is_the_shape() -> None:
    written = read("truth.json")["lines"]
    assert written.keys() == CURVES.keys()
    for name, line in written.items():
        assert line["closed"] == CURVES[name][1]
        assert np.abs(np.array(line["points"]) - points_of(name, 10.0)).max() < 1e-4


# The pictures


def true_camera(name: str) -> dict[str, Any]:
    return next(p for p in read("truth_cameras.json")["pictures"] if p["name"] == name)


def seen_by(camera: dict[str, Any], points: np.ndarray) -> np.ndarray:
    """Pixels as OpenCV computes them."""
    (u, v), f = camera["principal"], camera["focal"]
    matrix = np.array([[f, 0.0, u], [0.0, f, v], [0.0, 0.0, 1.0]])
    px, _ = cv2.projectPoints(
        points,
        np.array(camera["rotation_vector"]),
        np.array(camera["translation"]),
        matrix,
        np.array(read("truth_cameras.json")["distortion"]),
    )
    return px[:, 0]


def test_there_are_sixteen_pictures_of_a_phones_size() -> None:
    paths = sorted((HERE / "pictures").glob("*.jpg"))
    assert len(paths) == 16
    assert sum(path.stat().st_size for path in paths) < 30e6
    for path in paths:
        with Image.open(path) as image:
            assert image.size == SIZE
            assert 0x0112 not in image.getexif(), "no picture needs turning"


def test_pictures_are_taken_from_two_heights_and_above_two_of_them_rolled() -> None:
    height, rolled = [], 0
    for stand in read("truth_cameras.json")["pictures"]:
        turn = Rotation.from_rotvec(stand["rotation_vector"]).as_matrix()
        height.append(np.degrees(np.arcsin(-turn[2, 2])))
        rolled += abs(turn[0, 2]) > 0.5
    assert sum(h < 25 for h in height) >= 6
    assert sum(40 < h < 55 for h in height) >= 5
    assert sum(h > 80 for h in height) == 1
    assert rolled == 2


def test_the_lens_is_opencvs_and_its_inverse_is_exact() -> None:
    random = np.random.default_rng(3)
    points = random.uniform([0.0, -390.0, 0.0], [570.0, 0.0, 190.0], (500, 3))
    for camera in cameras(AIM):
        px = camera.project(points)
        assert np.abs(seen_by(true_camera(camera.name), points) - px).max() < 1e-6
        reach = np.linalg.norm(points - camera.centre, axis=1)[:, None]
        assert np.abs(camera.centre + reach * camera.rays(px) - points).max() < 1e-6


def test_the_bar_tells_the_stretch_of_the_print() -> None:
    (c0, r0), (c1, r1) = BAR_ENDS
    nominal = SQUARE_MM * np.hypot(c1 - c0, r1 - r0)
    assert bar_length() / nominal == pytest.approx(STRETCH[0], abs=1e-4)
    mat = read("mat.json")
    assert mat["bars"] == [{"from": [1, 1], "to": [18, 1], "mm": bar_length()}]
    assert np.abs(inner_corners()[:, 2]).max() < 0.35


@pytest.mark.slow
def test_corners_of_the_mat_are_found_where_they_were_printed() -> None:
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_250)
    board = cv2.aruco.CharucoBoard(SQUARES, SQUARE_MM, MARKER_MM, dictionary)
    settings = cv2.aruco.CharucoParameters()
    settings.checkMarkers = False
    detector, misses = cv2.aruco.CharucoDetector(board, settings), []
    for stand in read("truth_cameras.json")["pictures"]:
        grey = cv2.imread(str(HERE / "pictures" / stand["name"]), cv2.IMREAD_GRAYSCALE)
        px, ids, _, _ = detector.detectBoard(grey)
        assert len(ids) >= 20, stand["name"]
        misses.append(px.reshape(-1, 2) - seen_by(stand, inner_corners()[ids.ravel()]))
    every = np.vstack(misses)
    near = every[np.linalg.norm(every, axis=1) < 1.0]
    assert len(near) > 0.97 * len(every), "few corners are lost at the model's outline"
    # A mix-up of half a pixel between picture and truth would show here and nowhere else.
    assert np.abs(near.mean(axis=0)).max() < 0.03
    assert np.median(np.abs(near), axis=0).max() < 0.06


def test_the_whole_model_is_in_every_picture() -> None:
    on_mat = Placing.on_mat().to_mat(np.vstack([points_of(name, 20.0) for name in CURVES]))
    for camera in cameras(AIM):
        px = camera.project(on_mat)
        assert px.min() > 5.0
        assert np.all(px.max(axis=0) < np.array(SIZE) - 6.0)


# The traces


def trace_errors() -> dict[str, list[np.ndarray]]:
    """For each line the distance, in px, of the vertices of each of its traces from the truth."""
    place = read("truth_cameras.json")["model_on_mat"]
    stands = {p["name"]: p for p in read("truth_cameras.json")["pictures"]}
    turn, shift = np.array(place["rotation"]), np.array(place["translation"])
    errors: dict[str, list[np.ndarray]] = {}
    for name, traces in read("traces.json")["traces"].items():
        if name not in CURVES:
            continue
        on_mat = place["scale"] * points_of(name, 0.8) @ turn.T + shift
        for trace in traces:
            true = cKDTree(seen_by(stands[trace["picture"]], on_mat))
            errors.setdefault(name, []).append(true.query(np.array(trace["px"]))[0])
    return errors


def test_traces_reproject_on_the_true_lines_within_the_wobble_of_a_hand() -> None:
    every = np.concatenate([gap for gaps in trace_errors().values() for gap in gaps])
    assert np.sqrt(np.mean(every**2)) == pytest.approx(WOBBLE_PX, abs=0.12)
    assert every.max() < 5.0 * WOBBLE_PX


def test_every_line_of_the_job_is_traced_in_four_pictures_or_more() -> None:
    traces = read("traces.json")["traces"]
    lines_of_job = {line["name"] for line in read("job.json")["lines"]}
    assert traces.keys() == lines_of_job | {OUTLINE} | points_on_model().keys()
    for name in lines_of_job:
        assert len({piece["picture"] for piece in traces[name]}) >= 4, name


def test_traces_are_long_enough_and_inside_their_pictures() -> None:
    for pieces in read("traces.json")["traces"].values():
        for piece in pieces:
            px = np.array(piece["px"])
            assert px.min() > 0.0
            assert np.all(px.max(axis=0) < np.array(SIZE) - 1.0)
            if piece.get("kind") == "point":
                continue
            assert np.linalg.norm(np.diff(px, axis=0), axis=1).sum() > 50.0


# The survey


def test_the_survey_is_the_wing_with_its_dents() -> None:
    points = np.loadtxt(HERE / "survey_front_wing.csv", delimiter=",", skiprows=5)
    truth = read("truth_survey.json")
    again, lift = measured()
    assert np.abs(points - again).max() < 1e-3
    home = (points - np.array(truth["translation"])) @ np.array(truth["rotation"])
    local = home - np.array([FRONT_WING.axle_x, FRONT_WING.centre_y, 330.0])
    # The nearest place of the wing, by the angles of the point and two steps of descent.
    u = np.arctan2(local[:, 2], local[:, 0])
    v = np.arcsin(np.clip(local[:, 1] / FRONT_WING.tube, -1.0, 1.0))
    for _ in range(8):
        gap = home - FRONT_WING.point(u, v)
        along = (FRONT_WING.point(u + 1e-4, v) - FRONT_WING.point(u - 1e-4, v)) / 2e-4
        across = (FRONT_WING.point(u, v + 1e-4) - FRONT_WING.point(u, v - 1e-4)) / 2e-4
        u = u + np.einsum("nd,nd->n", gap, along) / np.einsum("nd,nd->n", along, along)
        v = v + np.einsum("nd,nd->n", gap, across) / np.einsum("nd,nd->n", across, across)
    height = np.einsum("nd,nd->n", home - FRONT_WING.point(u, v), normals(u, v))
    assert np.std(height - lift) == pytest.approx(truth["sigma_mm"], rel=0.1)
    for dent, told in zip(DENTS, truth["dents"], strict=True):
        near = np.linalg.norm(home - np.array(told["centre"]), axis=1) < 0.2 * dent.width
        assert near.sum() >= 3
        assert np.median(height[near]) / told["height"] > 0.6


# The scripts


def test_the_script_says_what_it_does() -> None:
    run = subprocess.run(
        [sys.executable, str(HERE / "make_pictures.py"), "--help"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert "--only" in run.stdout


@pytest.mark.slow
def test_a_crop_rendered_again_is_the_same_and_shows_tape_where_it_should() -> None:
    placing = Placing.on_mat()
    studio, camera = Studio(placing, directions=6), cameras(AIM)[5]
    crossing = placing.to_mat(CURVES["belt left"][0](np.array([0.55])))
    u, v = np.round(camera.project(crossing)[0]).astype(int)
    window = (u - 40, v - 30, u + 40, v + 30)
    first = picture(studio, camera, noise_seed=9, window=window)
    assert np.array_equal(first, picture(studio, camera, noise_seed=9, window=window))
    assert first.shape == (60, 80, 3)
    middle = first[30, 40].astype(float).mean()
    assert middle < 0.6 * np.median(first), "dark tape on light paint"
    whole = cv2.imread(str(HERE / "pictures" / camera.name))[v - 30 : v + 30, u - 40 : u + 40]
    dark = first.mean(axis=2) < 0.6 * np.median(first)
    dark_there = whole.mean(axis=2) < 0.6 * np.median(whole)
    assert np.mean(dark == dark_there) > 0.97


# The job


def test_the_job_is_whole_and_its_names_agree() -> None:
    job = Job.model_validate_json((HERE / "job.json").read_text(encoding="utf-8"))
    names = {line.name for line in job.lines}
    regions = {region.name for region in job.regions}
    assert names == CURVES.keys()
    for line in job.lines:
        assert line.closed == CURVES[line.name][1]
        assert (line.mark == "tape") == (line.name in TAPE_LINES)
        assert line.mirror is None or line.mirror in names
    for region in job.regions:
        assert {*region.boundary, *region.inner, *region.holes} <= names
    assert job.buck is not None
    for wire in job.buck.wires:
        assert wire.region in regions
        assert (wire.line in names) != (wire.plane is not None)
    assert {panel.region for panel in job.panels} | {g.region for g in job.gauges} <= regions
    assert job.plan is not None
    present = {name for session in job.plan.sessions for name in session.present}
    assert present == {person.name for person in job.plan.crew}
    assert [(d.axis, d.by) for d in job.departures] == [("x", 60.0)]


def test_the_folder_reads_as_a_job_with_everything_in_it() -> None:
    job, originals = read_job_folder(HERE)
    assert len(job.pictures) == len(originals) == 16
    assert len(job.surveys) == 1
    assert len(job.surveys[0].points) == 620
    assert job.mat is not None
    assert {trace.picture for trace in job.traces} == {p.name for p in job.pictures}


def test_distortion_is_written_in_opencvs_order() -> None:
    assert read("truth_cameras.json")["distortion"] == DISTORTION.tolist()
