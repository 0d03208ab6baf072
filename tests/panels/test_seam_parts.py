import numpy as np
import pytest

from buckwright.geometry.geodesic import Geodesics, MeshPath
from buckwright.geometry.mesh import boundary_loops
from buckwright.geometry.path_cut import cut_along_path
from buckwright.panels.seam_parts import HOPELESS, Part, cut_part, equal_width, measure_mesh
from buckwright.panels.seam_start import whole_part
from discs_on_paper import cap, cylinder, ring_disc
from meshes_on_paper import MOVES
from seams_on_paper import wing_with_lines

WHOLE = whole_part(wing_with_lines(10).regions[0])


def across(part: Part) -> MeshPath:
    """From edge to edge, across the crown."""
    low, high = (int(f(part.vertices[:, 1] + np.abs(part.vertices[:, 0]) * s))
                 for f, s in ((np.argmin, 3.0), (np.argmax, -3.0)))  # fmt: skip
    return Geodesics(part.vertices, part.triangles).between(low, high)


def test_the_whole_part_knows_how_the_wing_bends() -> None:
    # Part of a torus: tube radius 230, so that no curvature is less than 1 / 230.
    inner = np.setdiff1d(np.arange(len(WHOLE.vertices)), boundary_loops(WHOLE.triangles)[0])
    assert np.median(1.0 / WHOLE.bend[inner]) == pytest.approx(230.0, rel=0.02)
    assert [name for name, _ in WHOLE.lines] == ["front wing crown"]


def test_halves_have_the_area_and_the_rounding_of_the_whole() -> None:
    halves = cut_part(WHOLE, cut_along_path(WHOLE.vertices, WHOLE.triangles, across(WHOLE)))
    assert halves is not None
    assert sum(half.area for half in halves) == pytest.approx(WHOLE.area, rel=1e-9)
    rounding = sum(half.total_rounding() for half in halves)
    assert rounding == pytest.approx(WHOLE.total_rounding(), rel=0.02)


def test_a_line_that_is_cut_goes_on_in_both_halves() -> None:
    halves = cut_part(WHOLE, cut_along_path(WHOLE.vertices, WHOLE.triangles, across(WHOLE)))
    assert halves is not None
    runs = [run for half in halves for name, run in half.lines]
    assert len(runs) == 2
    (first, second), (one, two) = halves, runs
    ends = {tuple(first.vertices[k]) for k in one[[0, -1]]}
    assert len(ends & {tuple(second.vertices[k]) for k in two[[0, -1]]}) == 1


def test_a_line_along_which_a_part_is_cut_is_no_line_of_its_halves() -> None:
    run = WHOLE.lines[0][1]
    path = MeshPath(WHOLE.vertices[run], np.column_stack([run, run]), np.zeros(len(run)))
    halves = cut_part(WHOLE, cut_along_path(WHOLE.vertices, WHOLE.triangles, path))
    assert halves is not None
    assert [half.lines for half in halves] == [(), ()]


def test_a_way_that_divides_nothing_gives_no_halves() -> None:
    run = WHOLE.lines[0][1][3:8]
    path = MeshPath(WHOLE.vertices[run], np.column_stack([run, run]), np.zeros(len(run)))
    assert cut_part(WHOLE, cut_along_path(WHOLE.vertices, WHOLE.triangles, path)) is None


def test_the_equal_width_of_a_rectangle_is_its_narrow_side() -> None:
    points, triangles = cylinder(4000.0, 0.05, 700.0, 12)
    part = whole_part(wing_with_lines(4).regions[0].model_copy(
        update={"vertices": points, "triangles": triangles, "inner": ()}))  # fmt: skip
    assert equal_width(part) == pytest.approx(200.0, rel=1e-3)


def test_a_cylinder_needs_no_strain_and_keeps_its_sides() -> None:
    measure = measure_mesh(cylinder(300.0, 1.0, 500.0, 20))
    assert measure.peak < 1e-9
    assert measure.long == pytest.approx(500.0, rel=1e-9)
    # Each of the 19 strips is as wide as its chord.
    assert measure.short == pytest.approx(19 * 600.0 * np.sin(0.5 / 19), rel=1e-9)


@pytest.mark.parametrize("move", ["turn", "shift", "mirror"])
def test_a_moved_part_needs_the_same(move: str) -> None:
    vertices, triangles = cap(8, 0.6)
    turned = triangles[:, ::-1] if move == "mirror" else triangles
    one, other = measure_mesh((vertices, triangles)), measure_mesh((MOVES[move](vertices), turned))
    assert other.peak == pytest.approx(one.peak, rel=1e-5)
    assert other.work == pytest.approx(one.work, rel=1e-5)


def test_what_cannot_be_laid_flat_is_hopeless() -> None:
    points, triangles = ring_disc(3)
    flat = np.column_stack([points, np.zeros(len(points))])
    flat[triangles[0]] = flat[triangles[0, 0]]
    assert measure_mesh((flat, triangles)).peak == HOPELESS
