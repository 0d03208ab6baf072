"""Scans in axes of their own, brought into those of the vehicle."""

from pathlib import Path

import numpy as np
import pytest
import trimesh
from scipy.spatial.transform import Rotation

from buckwright.cli import main
from buckwright.errors import JobError
from buckwright.flow.scan_places import axes_findings, placed_by
from buckwright.geometry.rigid import fit_rigid
from buckwright.model.job import Job, Products
from buckwright.model.scans import NamedPair, ScanSource
from buckwright.skin.scan_axes import axes_from_pairs, told_pair
from buckwright.store import JobFile
from meshes_on_paper import sphere_cap

PLACES = np.array(
    [[420.0, -655, 601], [1500, -640, 330], [1480, 620, 990], [800, 30, 1600], [2900, -300, 700]]
)
TURN = Rotation.from_rotvec([0.4, -1.1, 2.0]).as_matrix()
SHIFT = np.array([350.0, -90.0, 1200.0])


def in_scan(points: np.ndarray) -> np.ndarray:
    return (points - SHIFT) @ TURN


def pairs_of(own: np.ndarray, vehicle: np.ndarray = PLACES) -> list[NamedPair]:
    return [
        NamedPair(name=f"point {k}", scan=tuple(a), vehicle=tuple(b))
        for k, (a, b) in enumerate(zip(own, vehicle, strict=False))
    ]


def test_turn_and_shift_are_those_of_scipy() -> None:
    """Source of the values: scipy.spatial.transform.Rotation.align_vectors, about the middles."""
    rng = np.random.default_rng(4)
    for count in (3, 4, 12):
        own = 500.0 * rng.normal(size=(count, 3))
        vehicle = own @ TURN.T + SHIFT + rng.normal(size=(count, 3))
        rotation, translation = fit_rigid(own, vehicle)
        other, _ = Rotation.align_vectors(vehicle - vehicle.mean(axis=0), own - own.mean(axis=0))
        np.testing.assert_allclose(rotation, other.as_matrix(), atol=1e-9)
        np.testing.assert_allclose(
            translation, vehicle.mean(axis=0) - rotation @ own.mean(axis=0), atol=1e-9
        )
    with pytest.raises(ValueError, match="three points"):
        fit_rigid(own[:2], vehicle[:2])
    with pytest.raises(ValueError, match="one line"):
        fit_rigid(np.outer([1.0, 2.0, 5.0], [1.0, 2.0, 3.0]), PLACES[:3])


def test_three_points_bring_a_scan_in_inches_to_its_place() -> None:
    axes = axes_from_pairs("lid", pairs_of(in_scan(PLACES)[:3] / 25.4), unit=25.4, sigma=1.0)
    np.testing.assert_allclose(axes.rotation, TURN, atol=1e-9)
    np.testing.assert_allclose(axes.translation, SHIFT, atol=1e-6)
    assert axes.left_out == ()


@pytest.mark.parametrize("wrong", range(5))
def test_the_one_wrong_point_of_five_is_named_and_left_out(wrong: int) -> None:
    own = in_scan(PLACES)
    own[wrong] += [0.0, 25.0, -10.0]
    axes = axes_from_pairs("lid", pairs_of(own), unit=1.0, sigma=1.0)
    assert axes.left_out == (f"point {wrong}",)
    assert axes.off[wrong] == pytest.approx(np.hypot(25.0, 10.0), abs=1e-6)
    np.testing.assert_allclose(axes.translation, SHIFT, atol=1e-6)
    scan = ScanSource(name="lid", sha256="", kind="ply", axes=axes)
    told = axes_findings(scan)
    assert [one.code for one in told] == ["scan-placed", "outlier"]
    assert f"'point {wrong}' that is 26.9 mm off" in told[1].message


@pytest.mark.parametrize(
    ("own", "said"),
    [
        (in_scan(PLACES)[:2], "2 points do not say"),
        (np.outer(np.arange(4.0), [300.0, 20.0, 10.0]), "on one line"),
        (in_scan(PLACES) / 25.4, "in inches"),
        (in_scan(PLACES) * [1.0, -1.0, 1.0], "is mirrored"),
        (in_scan(PLACES)[:3] + np.diag([0.0, 30.0, 0.0]), "contradict each other"),
    ],
)
def test_points_that_do_not_place_a_scan_are_refused(own: np.ndarray, said: str) -> None:
    with pytest.raises(JobError) as refusal:
        axes_from_pairs("lid", pairs_of(own), unit=1.0, sigma=1.0)
    assert said in refusal.value.problem


@pytest.mark.parametrize("text", ["", "hinge", "hinge = 1 2", "a = 1 2 nan -> 1 2 3", "= 1 2 3"])
def test_what_says_no_pair_is_refused(text: str) -> None:
    with pytest.raises(JobError, match=r"says no point|no point"):
        told_pair(text, {})


def test_a_pair_may_take_its_vehicle_side_from_the_pictures() -> None:
    known = {"hinge": (420.0, -655.0, 601.0)}
    assert told_pair("hinge = 1, 2.5; -3", known).vehicle == known["hinge"]
    assert told_pair("hinge = 1 2.5 -3 -> 4 5 6", known).vehicle == (4.0, 5.0, 6.0)
    with pytest.raises(JobError, match="no point 'lock'"):
        told_pair("lock = 1 2 3", known)
    with pytest.raises(JobError, match="not both"):
        placed_by(["a = 1 2 3"], "body", Products(), sigma=1.0)
    with pytest.raises(JobError, match="no skin"):
        placed_by([], "body", Products(), sigma=1.0)


def bump(vertices: np.ndarray) -> np.ndarray:
    """A cap that fits one way only: longer than wide, with a swelling on one side."""
    x, y, z = (vertices * [1.6, 1.0, 1.0]).T
    swelling = 40.0 * np.exp(-((x - 250.0) ** 2 + (y - 90.0) ** 2) / 2e4)
    return np.column_stack([x, y, z + swelling])


def test_a_scan_is_brought_in_by_points_and_another_is_seated_on_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    vertices, triangles = sphere_cap(400.0, 0.9, 25.0)
    vertices = bump(vertices)
    turned = in_scan(vertices)
    path = tmp_path / "lid.ply"
    path.write_bytes(trimesh.Trimesh(turned, triangles, process=False).export(file_type="ply"))
    job = tmp_path / "lid.buck"
    with JobFile.create(job, Job(name="Lid", edge_length=25.0)):
        pass
    corners = [vertices[k] for k in (0, len(vertices) // 2, len(vertices) - 1, 40)]
    points = []
    for k, (own, place) in enumerate(zip(in_scan(np.array(corners)), corners, strict=True)):
        told = [" ".join(f"{v:.4f}" for v in p) for p in (own, place)]
        points += ["--point", f"corner {k} = {told[0]} -> {told[1]}"]
    assert main(["scan", str(job), str(path), *points]) == 0
    assert "was brought in by 4 points" in capsys.readouterr().out
    assert main(["solve", str(job)]) == 0
    capsys.readouterr()
    assert main(["scan", str(job), str(path), "--name", "second", "--on", "lid"]) == 0
    assert "was seated on 'lid'" in capsys.readouterr().out
    with JobFile.open(job) as file:
        first, second = file.job().scans
        skin = file.products(("skin",)).skin
    assert skin is not None
    low, high = vertices.min(axis=0), vertices.max(axis=0)
    np.testing.assert_allclose(skin.regions[0].vertices.min(axis=0), low, atol=2.0)
    np.testing.assert_allclose(skin.regions[0].vertices.max(axis=0), high, atol=2.0)
    assert first.axes is not None
    assert second.axes is not None
    for axes in (first.axes, second.axes):
        moved = turned @ np.asarray(axes.rotation).T + axes.translation
        assert np.abs(moved - vertices).max() < 1.0
