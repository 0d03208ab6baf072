import numpy as np
import pytest

from buckwright.geometry.chart import even_chart, tutte_layout, unevenness
from buckwright.geometry.mesh import boundary_loops, edges_of, triangle_areas
from meshes_on_paper import MOVES, over_rectangle, plane_disc, sphere_cap


def _roll(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    """A sheet rolled through more than half a turn."""
    return np.column_stack([u, 300.0 * np.sin(v / 300.0), 300.0 * np.cos(v / 300.0)])


def test_tutte_lays_any_disc_without_folds() -> None:
    points, triangles, _ = over_rectangle(_roll, 600.0, 1300.0, 60.0)
    flat = tutte_layout(points, triangles, boundary_loops(triangles)[0])
    assert triangle_areas(flat, triangles).min() > 0.0
    assert np.linalg.norm(flat, axis=1).max() == pytest.approx(1.0)


def test_a_rolled_sheet_is_unrolled_to_its_true_lengths() -> None:
    points, triangles, flat = over_rectangle(_roll, 600.0, 1300.0, 40.0)
    start = tutte_layout(points, triangles, boundary_loops(triangles)[0])
    chart = even_chart(points, triangles, start, rounds=60)
    edges, _ = edges_of(triangles)
    found, true = (np.linalg.norm(p[edges[:, 0]] - p[edges[:, 1]], axis=1) for p in (chart, flat))
    # What the chords of 40 mm edges on a radius of 300 mm leave.
    assert found == pytest.approx(true, rel=2e-3)
    assert unevenness(points, triangles, chart) < 1e-5


@pytest.mark.parametrize("name", MOVES)
def test_the_chart_does_not_mind_where_the_mesh_lies(name: str) -> None:
    points, triangles = sphere_cap(500.0, 0.9, 70.0)
    move = MOVES[name]
    turned = triangles[:, ::-1] if name == "mirror" else triangles
    values = []
    for vertices, corners in ((points, triangles), (move(points), turned)):
        start = tutte_layout(vertices, corners, boundary_loops(corners)[0])
        chart = even_chart(vertices, corners, start, rounds=30)
        values.append(unevenness(vertices, corners, chart))
    assert values[1] == pytest.approx(values[0], rel=1e-6)


def test_a_chart_with_folds_is_no_start() -> None:
    points, triangles = sphere_cap(500.0, 0.9, 120.0)
    with pytest.raises(ValueError, match="turned over"):
        even_chart(points, triangles, -points[:, :2] * [1.0, -1.0], rounds=3)
    assert unevenness(points, triangles, points[:, :2] * [-1.0, 1.0]) == np.inf


def test_triangles_without_area_in_space_get_one_on_the_chart() -> None:
    flat, triangles = plane_disc(100.0, 40.0)
    line = np.column_stack([flat[:, 0], np.zeros((len(flat), 2))])
    chart = even_chart(line, triangles, flat, rounds=5)
    assert triangle_areas(chart, triangles).min() > 0.0
