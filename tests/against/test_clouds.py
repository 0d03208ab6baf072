"""Clouds on exact surfaces: planted strays and nothing else, the noise, and the sheet."""

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.geometry.local_fit import fit_locally
from buckwright.skin.cloud import sheet_of_cloud
from buckwright.skin.scanned import scanned_region
from clouds_on_paper import RADIUS, ball_cloud, pipe_cloud

EDGE = 30.0


@pytest.mark.parametrize("noise", [0.0, 0.3])
def test_exactly_the_planted_strays_are_left_out_and_the_noise_is_told(noise: float) -> None:
    """Source of the values: the exact ball."""
    points = ball_cloud(6000, noise=noise)
    rng = np.random.default_rng(1)
    planted = np.sort(rng.choice(6000, 10, replace=False))
    points[planted] *= 1.0 + np.where(np.arange(10) % 2, 9.0, -9.0)[:, None] / RADIUS
    far = np.array([[0.0, 0.0, 900.0], [700.0, 0.0, 0.0]])
    sheet = sheet_of_cloud("lid", np.vstack([points, far]), edge_length=EDGE)
    assert sheet.off.tolist() == planted.tolist()
    assert sheet.alone.tolist() == [6000, 6001]
    assert sheet.noise == pytest.approx(noise, rel=0.1, abs=1e-3)
    told = " ".join(finding.message for finding in sheet.findings)
    assert "10 points lie off" in told
    assert "2 points stand far from all others and were left out, at x 0, y 0, z 900" in told
    region = scanned_region("lid", sheet.vertices, sheet.triangles, edge_length=EDGE)
    off = np.linalg.norm(region.vertices, axis=1) - RADIUS
    # A flat triangle whose corners lie 10 mm from its middle sags 10^2 / (2 * 500) mm on this ball.
    assert np.sqrt(np.mean(off**2)) < 0.1 + 0.3 * noise
    assert not region.holes


def test_a_cloud_without_strays_loses_nothing() -> None:
    for seed in range(3):
        sheet = sheet_of_cloud("lid", ball_cloud(4000, noise=0.2, seed=seed), edge_length=EDGE)
        assert (len(sheet.alone), len(sheet.off)) == (0, 0)


def test_more_than_half_a_pipe_is_unrolled_and_one_closed_all_round_is_refused() -> None:
    """Source of the values: the exact cylinder; its area by hand."""
    sheet = sheet_of_cloud("pipe", pipe_cloud(9000, reach=4.3, noise=0.1), edge_length=EDGE)
    region = scanned_region("pipe", sheet.vertices, sheet.triangles, edge_length=EDGE)
    off = np.hypot(*np.asarray(region.vertices)[:, 1:].T) - 300.0
    assert np.sqrt(np.mean(off**2)) < 0.2
    a, b, c = (region.vertices[region.triangles[:, k]] for k in range(3))
    area = 0.5 * np.linalg.norm(np.cross(b - a, c - a), axis=1).sum()
    assert area == pytest.approx(4.3 * 300.0 * 800.0, rel=0.03)
    with pytest.raises(JobError, match="turns under itself"):
        sheet_of_cloud("pipe", pipe_cloud(9000, reach=2.0 * np.pi), edge_length=EDGE)


def test_the_sheet_is_the_same_turned_shifted_and_scaled() -> None:
    points = ball_cloud(3000, noise=0.2)
    points[77] *= 1.03
    turn = np.linalg.qr(np.random.default_rng(2).normal(size=(3, 3)))[0]
    moved = 2.0 * points @ turn.T + [900.0, -300.0, 50.0]
    one = sheet_of_cloud("lid", points, edge_length=EDGE)
    two = sheet_of_cloud("lid", moved, edge_length=2.0 * EDGE)
    assert one.off.tolist() == two.off.tolist() == [77]
    assert two.noise == pytest.approx(2.0 * one.noise, rel=1e-6)


def test_deleted_residuals_are_those_of_leaving_each_point_out() -> None:
    """Source of the value: a point of a plane moved by 2 mm lies 2 mm off the others' patch."""
    rng = np.random.default_rng(0)
    points = np.column_stack([100.0 * rng.random((500, 2)), np.zeros(500)])
    points[250, 2] = 2.0
    fit = fit_locally(points)
    assert abs(fit.deleted[250]) == pytest.approx(2.0, rel=1e-4)
    with pytest.raises(ValueError, match="more points"):
        fit_locally(points[:10])


@pytest.mark.parametrize(
    ("points", "said"),
    [
        (np.zeros((0, 3)), "0 points"),
        (np.ones((1, 3)), "1 points"),
        (np.ones((500, 3)), "1 points"),
        (np.column_stack([np.arange(200.0)] * 3), "on one line"),
        (np.random.default_rng(0).normal(size=(3000, 3)), "turns under itself"),
        (ball_cloud(6000, reach=np.pi), "turns under itself"),
    ],
)
def test_what_is_no_sheet_is_refused_in_one_sentence(points: np.ndarray, said: str) -> None:
    with pytest.raises(JobError) as refusal:
        sheet_of_cloud("heap", points, edge_length=EDGE)
    assert said in refusal.value.problem
    assert refusal.value.remedy.endswith(".")
