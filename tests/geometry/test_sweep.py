import numpy as np
import pytest
import trimesh

from buckwright.geometry.sweep import minimising_frames, sweep_tube
from meshes_on_paper import MOVES

TURN = np.linspace(0.0, 2.0 * np.pi, 200, endpoint=False)
RING = np.column_stack([300.0 * np.cos(TURN), 300.0 * np.sin(TURN), 40.0 * np.sin(2.0 * TURN)])
HELIX = np.column_stack([100.0 * np.cos(TURN), 100.0 * np.sin(TURN), 80.0 * TURN])


def _solid(vertices: np.ndarray, triangles: np.ndarray) -> trimesh.Trimesh:
    return trimesh.Trimesh(vertices, triangles, process=False)


@pytest.mark.parametrize(("axis", "closed"), [(RING, True), (HELIX, False)])
def test_tubes_are_watertight_with_their_outside_outward(axis: np.ndarray, closed: bool) -> None:
    solid = _solid(*sweep_tube(axis, 6.35, closed=closed))
    assert solid.is_watertight
    assert solid.is_winding_consistent
    assert solid.volume > 0.0


def test_a_straight_tube_has_the_volume_of_a_round_bar() -> None:
    axis = np.column_stack([np.zeros(4), np.zeros(4), [0.0, 100.0, 250.0, 900.0]])
    for sides in (6, 12):
        solid = _solid(*sweep_tube(axis, 10.0, sides=sides))
        assert solid.volume == pytest.approx(np.pi * 25.0 * 900.0, rel=1e-9)


def test_a_ring_has_the_volume_that_pappus_gives() -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 720, endpoint=False)
    circle = 300.0 * np.column_stack([np.cos(turn), np.sin(turn), np.zeros(720)])
    solid = _solid(*sweep_tube(circle, 20.0, closed=True, sides=24))
    assert solid.volume == pytest.approx(np.pi * 100.0 * 2.0 * np.pi * 300.0, rel=1e-3)


def test_frames_of_a_plane_curve_do_not_twist() -> None:
    arc = np.column_stack([np.cos(TURN[:80]), np.sin(TURN[:80]), np.zeros(80)])
    tangents, across = minimising_frames(arc, closed=False)
    up = np.abs(across @ [0.0, 0.0, 1.0])
    assert up == pytest.approx(up[0], abs=1e-12)
    assert np.abs(np.einsum("ij,ij->i", tangents, across)).max() < 1e-12


def test_a_closed_axis_shares_out_its_twist() -> None:
    _, across = minimising_frames(RING, closed=True)
    steps = np.linalg.norm(np.roll(across, -1, axis=0) - across, axis=1)
    assert steps.max() < 3.0 * np.median(steps)


@pytest.mark.parametrize("name", MOVES)
def test_tubes_move_with_their_axis(name: str) -> None:
    scale = 2.5 if name == "scale" else 1.0
    first = _solid(*sweep_tube(HELIX, 6.35))
    second = _solid(*sweep_tube(MOVES[name](HELIX), scale * 6.35))
    assert abs(second.volume) == pytest.approx(scale**3 * first.volume, rel=1e-3)


@pytest.mark.parametrize(
    ("axis", "closed"),
    [
        (np.zeros((1, 3)), False),
        (np.array([[0.0, 0, 0], [1, 0, 0], [1, 0, 0]]), False),
        (np.array([[0.0, 0, 0], [1, 0, 0]]), True),
    ],
)
def test_an_axis_without_sense_is_refused(axis: np.ndarray, closed: bool) -> None:
    with pytest.raises(ValueError, match="points that differ"):
        sweep_tube(axis, 6.35, closed=closed)


def test_an_axis_that_doubles_back_is_refused() -> None:
    with pytest.raises(ValueError, match="doubles back"):
        sweep_tube(np.array([[0.0, 0, 0], [5, 0, 0], [2, 0, 0]]), 6.35)
