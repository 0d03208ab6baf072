import numpy as np
import pytest

from buckwright.geometry.flat_energy import FlatEnergy
from buckwright.geometry.flatten import (
    flatten_least_greatest,
    flatten_least_work,
    flatten_one_way,
    outer_loop,
)
from buckwright.geometry.mesh import boundary_loops, triangle_areas
from buckwright.geometry.strain import hencky_measure
from discs_on_paper import bumpy, cap, cylinder, grid, opened, ring_disc, wing


def work(mesh: tuple[np.ndarray, np.ndarray]) -> float:
    energy = FlatEnergy(*mesh, hencky_measure)
    return energy.value(flatten_least_work(*mesh).points)


def greatest(mesh: tuple[np.ndarray, np.ndarray], flat: np.ndarray) -> float:
    logs = FlatEnergy(*mesh, hencky_measure).logs(flat)
    assert logs is not None
    return max(float(np.abs(part).max()) for part in logs)


def test_no_nudge_lowers_the_energy_of_the_settled_shape() -> None:
    mesh = wing(8)
    energy = FlatEnergy(*mesh, hencky_measure)
    found = flatten_least_work(*mesh)
    assert found.settled
    least = energy.value(found.points)
    rng = np.random.default_rng(0)
    for size in (1e-3, 1e-1, 1.0):
        for _ in range(5):
            assert energy.value(found.points + size * rng.normal(size=found.points.shape)) > least


def test_turning_and_shifting_the_mesh_changes_nothing() -> None:
    vertices, triangles = wing(6)
    turn, _ = np.linalg.qr(np.random.default_rng(1).normal(size=(3, 3)))
    turn *= np.sign(np.linalg.det(turn))
    moved = vertices @ turn.T + [1000.0, -300.0, 5.0]
    assert work((moved, triangles)) == pytest.approx(work((vertices, triangles)), rel=1e-6)


def test_the_mirror_image_needs_the_same_work() -> None:
    vertices, triangles = bumpy(11, rings=8)
    mirrored = vertices * [1.0, -1.0, 1.0], triangles[:, [0, 2, 1]]
    assert work(mirrored) == pytest.approx(work((vertices, triangles)), rel=1e-6)


def test_twice_the_size_needs_four_times_the_work_on_the_same_strain() -> None:
    vertices, triangles = wing(6)
    assert work((2.0 * vertices, triangles)) == pytest.approx(
        4.0 * work((vertices, triangles)), rel=1e-6
    )


def test_numbering_backwards_changes_nothing() -> None:
    vertices, triangles = wing(6)
    back = len(vertices) - 1 - triangles[::-1]
    assert work((vertices[::-1], back)) == pytest.approx(work((vertices, triangles)), rel=1e-6)


def test_the_same_mesh_gives_the_same_shape_to_the_last_bit() -> None:
    mesh = bumpy(3, rings=8)
    assert np.array_equal(flatten_least_work(*mesh).points, flatten_least_work(*mesh).points)


@pytest.mark.parametrize("angle", [80.0, 120.0])
def test_deep_bowls_come_out_without_flips(angle: float) -> None:
    vertices, triangles = cap(20, np.radians(angle))
    found = flatten_least_work(vertices, triangles)
    assert found.settled
    assert triangle_areas(found.points, triangles).min() > 0.0


def test_a_tall_spike_comes_out_without_flips() -> None:
    def spike(u: np.ndarray, v: np.ndarray) -> np.ndarray:
        return np.column_stack([u, v, 400.0 * np.exp(-(u**2 + v**2) / 2.0 / 60.0**2)])

    side = np.linspace(-250.0, 250.0, 40)
    vertices, triangles = grid(spike, side, side)
    found = flatten_least_work(vertices, triangles)
    assert found.settled
    assert triangle_areas(found.points, triangles).min() > 0.0


def test_a_strip_that_winds_on_itself_unrolls() -> None:
    vertices, triangles = cylinder(100.0, 3.0 * np.pi, 60.0, 70)
    found = flatten_least_work(vertices, triangles)
    assert greatest((vertices, triangles), found.points) < 1e-9


def test_the_least_greatest_strain_is_below_that_of_least_work_and_costs_more_work() -> None:
    mesh = wing(6)
    energy = FlatEnergy(*mesh, hencky_measure)
    by_work, by_greatest = flatten_least_work(*mesh), flatten_least_greatest(*mesh)
    assert greatest(mesh, by_greatest.points) < 0.9 * greatest(mesh, by_work.points)
    assert energy.value(by_greatest.points) > energy.value(by_work.points)


def test_progress_only_rises_and_ends_at_one() -> None:
    told: list[float] = []
    flatten_least_greatest(*cap(5, 0.4), progress=told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_a_single_triangle_is_its_own_blank() -> None:
    vertices = np.array([[0.0, 0.0, 0.0], [30.0, 0.0, 40.0], [0.0, 20.0, 0.0]])
    triangles = np.array([[0, 1, 2]])
    found = flatten_least_work(vertices, triangles)
    sides = [np.linalg.norm(found.points[i] - found.points[j]) for i, j in ((0, 1), (1, 2), (2, 0))]
    assert sides == pytest.approx([50.0, np.sqrt(2900.0), 20.0], rel=1e-9)


@pytest.mark.slow
def test_no_triangle_is_flipped_on_a_thousand_random_panels() -> None:
    for seed in range(1000, 2000):
        mesh = bumpy(seed, rings=4 + seed % 3)
        if seed % 4 == 0:
            # The middle and the six vertices round it fall into an opening.
            triangles = mesh[1][(mesh[1] > 6).all(axis=1)] - 7
            mesh = mesh[0][7:], triangles
        found = flatten_least_work(*mesh)
        assert triangle_areas(found.points, mesh[1]).min() > 0.0, seed


def test_openings_with_more_vertices_than_the_edge_do_not_mislead() -> None:
    vertices, triangles = ring_disc(14)
    fine = 1.0 - 0.75 * (np.hypot(*vertices.T) < 0.99)
    plan = 200.0 * vertices * fine[:, None]
    space = np.column_stack([plan, 0.002 * (plan**2).sum(axis=1)])
    mesh = opened((space, triangles), (10.0, 0.0, 35.0))
    loops = boundary_loops(mesh[1])
    assert len(loops) == 2
    found = flatten_least_work(*mesh)
    rim, holes = outer_loop(found.points, mesh[1])
    assert found.settled
    assert set(rim.tolist()) | set(holes[0].tolist()) == set(np.concatenate(loops).tolist())
    assert np.ptp(mesh[0][rim], axis=0).max() > np.ptp(mesh[0][holes[0]], axis=0).max()


@pytest.mark.parametrize("sense", [1.0, -1.0])
def test_a_one_way_blank_keeps_its_limit_at_every_triangle(sense: float) -> None:
    for mesh in (wing(7), bumpy(5, rings=8), opened(cap(10, 1.0), (0.0, 0.0, 90.0))):
        found = flatten_one_way(*mesh, sense=sense, slack=0.003)
        logs = FlatEnergy(*mesh, hencky_measure).logs(found.points)
        assert logs is not None
        assert max(float((sense * part).max()) for part in logs) < 0.003
        assert found.settled


def test_the_looser_the_limit_the_less_the_work_down_to_that_without_one() -> None:
    mesh = wing(6)
    energy = FlatEnergy(*mesh, hencky_measure)
    works = [
        energy.value(flatten_one_way(*mesh, sense=-1.0, slack=slack).points)
        for slack in (0.001, 0.003, 0.01, 0.03, 0.3)
    ]
    assert works == sorted(works, reverse=True)
    assert works[-1] == pytest.approx(work(mesh), rel=1e-3)
    assert works[0] > 1.5 * works[-1]


def test_the_larger_the_ratio_the_less_the_area_changes() -> None:
    mesh = wing(7)
    changes = []
    for ratio in (0.5, 1.0, 2.0, 10.0, 100.0):
        logs = FlatEnergy(*mesh, hencky_measure).logs(
            flatten_least_work(*mesh, normal_ratio=ratio).points
        )
        assert logs is not None
        changes.append(float(np.abs(logs[0] + logs[1]).mean()))
    assert changes == sorted(changes, reverse=True)
    with pytest.raises(ValueError, match="above 0"):
        flatten_least_work(*mesh, normal_ratio=0.0)


def test_no_triangle_is_flipped_on_sixty_random_panels() -> None:
    for seed in range(60):
        vertices, triangles = bumpy(seed, rings=7)
        found = flatten_least_work(vertices, triangles)
        assert found.settled, seed
        assert triangle_areas(found.points, triangles).min() > 0.0, seed
