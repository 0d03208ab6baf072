import numpy as np
import pytest

from buckwright.geometry.fairness import Hold, fair_vertices
from buckwright.geometry.mesh import boundary_loops
from meshes_on_paper import MOVES, over_rectangle, sphere_cap

NONE = (np.zeros(0, dtype=np.int64), np.zeros((0, 3)), np.zeros(0))


def _grain(count: int) -> np.ndarray:
    return np.tile(np.eye(2), (count, 1, 1))


def _fair(chart: np.ndarray, triangles: np.ndarray, hold: Hold, rounds: int) -> np.ndarray:
    known = None
    for _ in range(rounds):
        known = fair_vertices(chart, triangles, known, hold, _grain(len(chart)))
    assert known is not None
    return known


def _arch(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    return np.column_stack([u, 500.0 * np.sin(v / 500.0), 500.0 * np.cos(v / 500.0)])


def test_a_plane_sheet_stays_plane() -> None:
    points, triangles, chart = over_rectangle(
        lambda u, v: np.column_stack([u, v, 0.2 * u - 0.1 * v]), 400.0, 300.0, 30.0
    )
    rim = boundary_loops(triangles)[0]
    found = _fair(chart, triangles, Hold(rim, points[rim], *NONE), 2)
    assert found == pytest.approx(points, abs=1e-5)


def test_a_quadric_over_its_chart_is_reproduced_from_its_rim() -> None:
    def dish(u: np.ndarray, v: np.ndarray) -> np.ndarray:
        return np.column_stack([u, v, 2e-4 * u * u - 1e-4 * u * v + 3e-4 * v * v])

    points, triangles, chart = over_rectangle(dish, 400.0, 300.0, 30.0)
    ends = boundary_loops(triangles)[0]
    found = _fair(chart, triangles, Hold(ends, points[ends], *NONE), 1)
    assert found == pytest.approx(points, abs=1e-5)


def test_a_round_arch_is_found_from_its_rim_and_one_hoop() -> None:
    points, triangles, chart = over_rectangle(_arch, 900.0, 1500.0, 45.0)
    held = np.union1d(boundary_loops(triangles)[0], np.flatnonzero(np.abs(chart[:, 0]) < 23.0))
    found = _fair(chart, triangles, Hold(held, points[held], *NONE), 4)
    radius = np.hypot(found[:, 1], found[:, 2])
    assert np.abs(radius - 500.0).max() < 0.15


def test_a_cap_is_found_from_its_rim_and_two_arcs() -> None:
    points, triangles = sphere_cap(500.0, 0.7, 35.0)
    chart = (
        points[:, :2]
        * (np.arccos(points[:, 2] / 500.0) * 500.0 / np.maximum(np.hypot(*points[:, :2].T), 1e-9))[
            :, None
        ]
    )
    near = np.abs(points[:, :2]).min(axis=1) < 18.0
    held = np.union1d(boundary_loops(triangles)[0], np.flatnonzero(near))
    found = _fair(chart, triangles, Hold(held, points[held], *NONE), 3)
    assert np.abs(np.linalg.norm(found, axis=1) - 500.0).max() < 0.05


@pytest.mark.parametrize("name", MOVES)
def test_the_fair_surface_moves_with_what_holds_it(name: str) -> None:
    points, triangles, chart = over_rectangle(_arch, 400.0, 900.0, 60.0)
    rim = boundary_loops(triangles)[0]
    drawn = np.flatnonzero(np.abs(chart[:, 0]) < 30.0)
    drawn = np.setdiff1d(drawn, rim)
    pulled = points[drawn] * [1.0, 1.0, 1.01]
    stiffness = np.full(len(drawn), 1e-8)
    move = MOVES[name]
    scale = 2.5 if name == "scale" else 1.0
    first = _fair(chart, triangles, Hold(rim, points[rim], drawn, pulled, stiffness), 2)
    moved = Hold(rim, move(points[rim]), drawn, move(pulled), stiffness / scale**4)
    second = _fair(scale * chart, triangles, moved, 2)
    assert second == pytest.approx(move(first), abs=2e-4)


def test_a_drawn_vertex_gives_way_to_fairness_and_a_stiff_one_does_not() -> None:
    points, triangles, chart = over_rectangle(_arch, 400.0, 900.0, 60.0)
    rim = boundary_loops(triangles)[0]
    middle = np.array([int(np.argmin(np.linalg.norm(chart, axis=1)))])
    up = points[middle] + [0.0, 0.0, 5.0]
    offs = []
    for stiffness in (1e-12, 1e-3):
        hold = Hold(rim, points[rim], middle, up, np.array([stiffness]))
        found = _fair(chart, triangles, hold, 1)
        offs.append(float(np.linalg.norm(found[middle] - up)))
    assert offs[0] > 1.0
    assert offs[1] < 0.01


def test_grain_carries_the_section_along() -> None:
    # A trough that is narrow in v, held at its two ends and along its outer sides only: fair in
    # all directions alike it fills up in the middle, with the grain it keeps its section.
    def trough(u: np.ndarray, v: np.ndarray) -> np.ndarray:
        return np.column_stack([u, v, -40.0 * np.exp(-((v / 90.0) ** 2))])

    points, triangles, chart = over_rectangle(trough, 1200.0, 600.0, 30.0)
    rim = boundary_loops(triangles)[0]
    hold = Hold(rim, points[rim], *NONE)
    across = np.tile(np.diag([0.5, 2.0]), (len(chart), 1, 1))
    plain = fair_vertices(chart, triangles, points, hold, _grain(len(chart)))
    grained = fair_vertices(chart, triangles, points, hold, across)
    off = [float(np.abs(found[:, 2] - points[:, 2]).max()) for found in (plain, grained)]
    assert off[1] < 0.4 * off[0]
