import numpy as np
import pytest

from buckwright.geometry.geodesic import Geodesics, MeshPath
from buckwright.geometry.mesh import boundary_loops, edges_of, triangle_areas, triangle_normals
from buckwright.geometry.path_cut import cut_along_path, parts_beside
from discs_on_paper import wing

VERTICES, TRIANGLES = wing(10)
RIM = boundary_loops(TRIANGLES)[0]


def across(first: float, second: float) -> MeshPath:
    """From rim to rim, ends by share of the rim."""
    count = len(RIM)
    ends = int(RIM[round(first * count)]), int(RIM[round(second * count)])
    return Geodesics(VERTICES, TRIANGLES).between(*ends)


def test_the_way_runs_along_edges_of_the_cut_mesh() -> None:
    cut = cut_along_path(VERTICES, TRIANGLES, across(0.2, 0.8))
    edges = {tuple(e) for e in edges_of(cut.triangles)[0].tolist()}
    pairs = np.sort(np.column_stack([cut.way[:-1], cut.way[1:]]), axis=1)
    assert {tuple(p) for p in pairs.tolist()} <= edges


def test_cutting_keeps_area_outside_and_old_vertices() -> None:
    cut = cut_along_path(VERTICES, TRIANGLES, across(0.2, 0.8))
    before = triangle_areas(VERTICES, TRIANGLES).sum()
    assert triangle_areas(cut.vertices, cut.triangles).sum() == pytest.approx(before, rel=1e-12)
    assert np.array_equal(cut.vertices[: len(VERTICES)], VERTICES)
    assert triangle_areas(cut.vertices, cut.triangles).min() > 0.01 * before / len(TRIANGLES)
    centre = VERTICES.mean(axis=0)
    mids = cut.vertices[cut.triangles].mean(axis=1) - centre
    outward = np.einsum("ij,ij->i", triangle_normals(cut.vertices, cut.triangles), mids) > 0.0
    old = VERTICES[TRIANGLES].mean(axis=1) - centre
    was = np.einsum("ij,ij->i", triangle_normals(VERTICES, TRIANGLES), old) > 0.0
    assert abs(outward.mean() - was.mean()) < 0.02


def test_a_way_from_edge_to_edge_makes_two_parts_that_share_it() -> None:
    cut = cut_along_path(VERTICES, TRIANGLES, across(0.2, 0.8))
    part = parts_beside(cut.triangles, [cut.way])
    assert set(part) == {0, 1}
    both = np.intersect1d(cut.triangles[part == 0], cut.triangles[part == 1])
    assert set(both) == set(cut.way)


def test_a_second_way_that_ends_on_the_first_leaves_no_gap() -> None:
    cut = cut_along_path(VERTICES, TRIANGLES, across(0.2, 0.8))
    part = parts_beside(cut.triangles, [cut.way])
    start = int(cut.way[len(cut.way) // 2])
    rim = np.setdiff1d(np.intersect1d(cut.triangles[part == 1], RIM), cut.way)
    inside = np.flatnonzero(part == 1)
    ways = Geodesics(cut.vertices, cut.triangles[inside])
    second = ways.between(start, int(rim[len(rim) // 2]))
    again = cut_along_path(cut.vertices, cut.triangles, second)
    assert set(parts_beside(again.triangles, [cut.way, again.way])) == {0, 1, 2}
    assert len(boundary_loops(again.triangles)) == 1


def test_a_way_that_divides_nothing_leaves_one_part() -> None:
    inner = np.setdiff1d(np.arange(len(VERTICES)), RIM)
    path = Geodesics(VERTICES, TRIANGLES).between(int(inner[0]), int(inner[80]))
    cut = cut_along_path(VERTICES, TRIANGLES, path)
    assert set(parts_beside(cut.triangles, [cut.way])) == {0}


def test_a_path_through_all_three_sides_of_a_triangle_is_refused() -> None:
    a, b, c = TRIANGLES[40].tolist()
    edges = np.array([[a, b], [b, c], [c, a]])
    path = MeshPath(VERTICES[edges].mean(axis=1), edges, np.full(3, 0.5))
    with pytest.raises(ValueError, match="all three sides"):
        cut_along_path(VERTICES, TRIANGLES, path)
