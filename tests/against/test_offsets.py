"""Offsets of the skin and lines in which skins meet, held to closed forms."""

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.mesh_meeting import cut_between
from buckwright.model.skin import Skin, SkinRegion
from buckwright.skin.offsets import offset_skin
from skins_on_paper import grid_region, off_torus, sphere, torus

Array = NDArray[np.float64]
Mesh = tuple[Array, NDArray[np.int64]]


def ball(radius: float, centre: tuple[float, float, float], fine: int = 5) -> Mesh:
    mesh = trimesh.creation.icosphere(subdivisions=fine, radius=radius)
    return np.array(mesh.vertices) + centre, np.array(mesh.faces)


def on_ball() -> SkinRegion:
    ticks = np.linspace(-0.5, 0.5, 41)
    return grid_region("roof", sphere(1200.0), ticks, ticks, outward=lambda points: points)


@pytest.mark.parametrize("by", [-25.0, -1.2, 40.0])
def test_a_ball_set_in_or_out_is_the_ball_of_the_other_radius(by: float) -> None:
    (after,) = offset_skin(Skin(regions=(on_ball(),)), by).regions
    radii = np.linalg.norm(after.vertices, axis=1)
    # Edges of 30 mm on 1.2 m: the mesh's own normals lean by a part in ten thousand.
    np.testing.assert_allclose(radii, 1200.0 + by, atol=2e-3 + 2e-3 * abs(by))


def test_a_ring_set_in_is_the_ring_of_the_thinner_tube() -> None:
    turn, along = np.linspace(-2.8, 2.8, 161), np.linspace(0.0, 1.5, 61)
    skin = grid_region(
        "wing",
        torus(300.0, 90.0),
        along,
        turn,
        outward=lambda points: (
            points
            - 300.0 * points * [1, 1, 0] / np.linalg.norm(points * [1, 1, 0], axis=1, keepdims=True)
        ),
    )
    (after,) = offset_skin(Skin(regions=(skin,)), -12.0).regions
    assert np.abs(off_torus(after.vertices, 300.0, 78.0)).max() < 0.05


def test_two_regions_at_a_crease_stay_joined_and_keep_their_distance() -> None:
    ticks = np.linspace(0.0, 1.0, 11)
    top = grid_region(
        "lid",
        lambda u, v: np.column_stack([500 * u, 300 * v, np.full_like(u, 100.0)]),
        ticks,
        ticks,
        outward=lambda points: np.broadcast_to([0.0, 0.0, 1.0], points.shape),
    )
    side = grid_region(
        "side",
        lambda u, v: np.column_stack([500 * u, np.zeros_like(u), 100 * v]),
        ticks,
        ticks,
        outward=lambda points: np.broadcast_to([0.0, -1.0, 0.0], points.shape),
    )
    lid, wall = offset_skin(Skin(regions=(top, side)), -5.0).regions
    np.testing.assert_allclose(lid.vertices[:, 2], 95.0, atol=1e-9)
    np.testing.assert_allclose(wall.vertices[:, 1], 5.0, atol=1e-9)
    assert lid.vertices[:, 1].min() == pytest.approx(5.0)
    assert wall.vertices[:, 2].max() == pytest.approx(95.0)


def test_an_offset_beyond_the_bend_says_where_it_folds() -> None:
    ticks = np.linspace(-1.2, 1.2, 61)
    ridge = grid_region(
        "ridge",
        lambda u, v: np.column_stack([200 * u, 10 * np.sin(v), 10 * np.cos(v)]),
        np.linspace(0, 1, 21),
        ticks,
        outward=lambda points: points * [0.0, 1.0, 1.0],
    )
    skin = Skin(regions=(ridge,))
    assert offset_skin(skin, -6.0).regions[0].findings == ()
    (doubt,) = offset_skin(skin, -14.0).regions[0].findings
    assert doubt.code == "offset-folds"


@pytest.mark.parametrize("by", [float("nan"), 800.0])
def test_no_metal_has_such_an_offset(by: float) -> None:
    with pytest.raises(JobError, match="no offset"):
        offset_skin(Skin(regions=(on_ball(),)), by)
    with pytest.raises(JobError, match="no skin"):
        offset_skin(Skin(regions=()), -1.0)


@pytest.mark.parametrize("fine", [4, 5])
def test_two_balls_meet_in_their_circle(fine: int) -> None:
    one, other = ball(100.0, (0, 0, 0), fine), ball(80.0, (90.0, 7.0, 3.0), fine)
    (cut,) = cut_between(one, other)
    far = np.linalg.norm([90.0, 7.0, 3.0])
    way = np.array([90.0, 7.0, 3.0]) / far
    along = (far**2 + 100.0**2 - 80.0**2) / (2.0 * far)
    radius = np.sqrt(100.0**2 - along**2)
    off = 0.12 * (4.0 ** (5 - fine))
    assert cut.closed
    assert np.abs(cut.points @ way - along).max() < off
    out = np.linalg.norm(cut.points - (cut.points @ way)[:, None] * way, axis=1)
    assert np.abs(out - radius).max() < off
    looped = np.vstack([cut.points, cut.points[:1]])
    length = np.linalg.norm(np.diff(looped, axis=0), axis=1).sum()
    assert length == pytest.approx(2.0 * np.pi * radius, rel=2e-3)


def test_a_tube_through_a_ball_leaves_two_rings_and_bodies_apart_none() -> None:
    tube = trimesh.creation.cylinder(radius=30.0, height=400.0, sections=96)
    cuts = cut_between(ball(100.0, (0, 0, 0)), (np.array(tube.vertices), np.array(tube.faces)))
    assert [cut.closed for cut in cuts] == [True, True]
    for cut in cuts:
        np.testing.assert_allclose(np.hypot(cut.points[:, 0], cut.points[:, 1]), 30.0, atol=0.03)
        np.testing.assert_allclose(np.abs(cut.points[:, 2]), np.sqrt(1e4 - 900.0), atol=0.1)
    assert cut_between(ball(10.0, (0, 0, 0), 3), ball(10.0, (90.0, 0, 0), 3)) == ()


def test_an_open_sheet_through_a_ball_leaves_one_open_line_and_order_does_not_matter() -> None:
    sheet = np.array([[0.0, -200, -200], [0, 200, -200], [0, 200, 20], [0, -200, 20]])
    faces = np.array([[0, 1, 2], [0, 2, 3]])
    round_ = ball(100.0, (0.3, 0.2, 0.1))
    (one,) = cut_between(round_, (sheet, faces))
    (other,) = cut_between((sheet, faces), round_)
    assert not one.closed
    assert not other.closed
    ends = np.sort(one.points[[0, -1], 1])
    np.testing.assert_allclose(ends, np.sort(other.points[[0, -1], 1]), atol=1e-9)
    np.testing.assert_allclose(one.points[:, 0], 0.0, atol=1e-9)
    assert one.points[:, 2].max() == pytest.approx(20.0, abs=1e-6)


def test_turned_together_the_line_turns_with_them() -> None:
    turn = trimesh.transformations.rotation_matrix(0.7, [3.0, -1.0, 2.0])[:3, :3]
    one, other = ball(60.0, (0, 0, 0), 4), ball(50.0, (41.0, 13.0, 5.0), 4)
    (cut,) = cut_between(one, other)
    (turned,) = cut_between((one[0] @ turn.T, one[1]), (other[0] @ turn.T, other[1]))
    back = turned.points @ turn
    gap = np.linalg.norm(cut.points[:, None] - back[None], axis=2).min(axis=1)
    assert gap.max() < 1e-6
