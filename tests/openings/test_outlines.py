"""Outlines joined from lines, the gap along them, and what is refused of them."""

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.geometry.mesh import MeshLocator
from buckwright.geometry.polyline import closest_on_polyline, polyline_length
from buckwright.model.lines import LineNetwork
from buckwright.openings.outline import edge_names, gap_strip, join_outline, shut_gaps
from meshes_on_paper import MOVES, sphere_cap
from openings_on_paper import corner_line, dotted, rectangle

LEFT = np.array([0.0, -1.0, 0.0])
SQUARE = ((0.0, 0.0), (400.0, 300.0))


def in_side(flat):
    return np.column_stack([flat[:, 0], np.zeros(len(flat)), flat[:, 1]])


def network(*lines):
    return LineNetwork(lines=lines, crossings=())


def test_a_closed_line_keeps_its_corners_and_its_length():
    corners = in_side(rectangle(SQUARE))
    loop = join_outline(["edge"], network(corner_line("edge", corners)), of="lid")
    assert polyline_length(loop, closed=True) == pytest.approx(1400.0, abs=1e-6)
    for corner in corners:
        assert np.linalg.norm(loop - corner, axis=1).min() < 1e-9


@pytest.mark.parametrize("flipped", [False, True])
def test_two_lines_are_cut_where_they_meet_whichever_way_they_run(flipped):
    """An arch over a base that runs on beyond it at both ends."""
    arch = in_side(np.array([[0.0, 0.0], [0.0, 300.0], [400.0, 300.0], [400.0, 0.0]]))
    base = in_side(np.array([[-100.0, 0.0], [500.0, 0.0]]))
    lines = network(
        corner_line("arch", arch[::-1] if flipped else arch, closed=False),
        corner_line("base", base, closed=False),
    )
    for names in (["arch", "base"], ["base", "arch"]):
        loop = join_outline(names, lines, of="screen")
        assert polyline_length(loop, closed=True) == pytest.approx(1400.0, abs=1e-6)


def test_four_lines_are_cut_where_neighbours_meet():
    ends = {
        "bottom": [[-50.0, 0.0], [450.0, 0.0]],
        "rear": [[400.0, -30.0], [400.0, 320.0]],
        "top": [[430.0, 300.0], [-20.0, 300.0]],
        "front": [[0.0, 310.0], [0.0, -40.0]],
    }
    lines = [corner_line(n, in_side(np.array(e)), closed=False) for n, e in ends.items()]
    loop = join_outline(list(ends), network(*lines), of="lid")
    assert polyline_length(loop, closed=True) == pytest.approx(1400.0, abs=1e-6)


def test_an_open_line_a_gap_between_lines_and_a_line_nobody_knows_are_refused():
    arch = in_side(np.array([[0.0, 0.0], [0.0, 300.0], [400.0, 300.0], [400.0, 0.0]]))
    low = in_side(np.array([[-100.0, -40.0], [500.0, -40.0]]))
    lines = network(corner_line("arch", arch, closed=False), corner_line("low", low, closed=False))
    with pytest.raises(JobError, match="open: the ends of 'arch' are 400 mm apart"):
        join_outline(["arch"], lines, of="screen")
    with pytest.raises(JobError, match=r"misses .* by 40 mm"):
        join_outline(["arch", "low"], lines, of="screen")
    with pytest.raises(JobError, match="a line 'belt' that the job does not have"):
        join_outline(["belt"], lines, of="screen")
    with pytest.raises(JobError, match="no outline"):
        join_outline([], lines, of="screen")
    three = network(*lines.lines, corner_line("third", low - [0, 0, 50.0], closed=False))
    with pytest.raises(JobError, match="misses"):
        join_outline(["arch", "low", "third"], three, of="screen")


def test_edges_are_named_by_the_axes_that_the_opening_spans():
    loop = in_side(dotted(rectangle(SQUARE)))
    names, _ = edge_names(loop, LEFT)
    assert set(names[loop[:, 2] == 0.0][2:-2]) == {"bottom"}
    assert set(names[(loop[:, 0] == 0.0) & (abs(loop[:, 2] - 150.0) < 100.0)]) == {"front"}
    lid = loop[:, [0, 2, 1]]
    assert set(edge_names(lid, np.array([0.0, 0.0, 1.0]))[0]) == {"front", "rear", "left", "right"}


def test_the_drain_gap_lies_along_the_bottom_only():
    loop = in_side(dotted(rectangle(SQUARE)))
    gaps = shut_gaps(loop, LEFT, gap=5.0, drain=9.0)
    middle = np.abs(loop[:, 0] - 200.0) < 50.0
    assert (gaps[middle & (loop[:, 2] == 0.0)] == 9.0).all()
    assert (gaps[loop[:, 2] > 100.0] == 5.0).all()
    assert gaps.min() == 5.0


def round_the_pole(count=240, angle=0.2):
    turn = 2.0 * np.pi * np.arange(count) / count
    ring = np.column_stack([np.sin(angle) * np.cos(turn), np.sin(angle) * np.sin(turn)])
    return 900.0 * np.column_stack([ring, np.full(count, np.cos(angle))])


@pytest.mark.parametrize("reverse", [False, True])
@pytest.mark.parametrize("move", ["turn", "shift", "scale"])
def test_the_gap_strip_lies_on_the_skin_half_the_gap_to_either_side(move, reverse):
    """Round the pole of a ball, the gap takes an angle of half the gap over the radius."""
    moved = MOVES[move]
    size = 2.5 if move == "scale" else 1.0
    vertices, triangles = sphere_cap(900.0, 0.4, 30.0)
    loop = moved(round_the_pole())
    loop = loop[::-1] if reverse else loop
    inner, outer = gap_strip(
        loop, np.full(len(loop), 8.0 * size), MeshLocator(moved(vertices), triangles)
    )
    pole = moved(np.array([[0.0, 0.0, 900.0]]))[0]
    chord = 2.0 * 900.0 * np.sin(0.5 * (0.2 - 4.0 / 900.0)) * size
    np.testing.assert_allclose(np.linalg.norm(inner - pole, axis=1), chord, atol=0.2 * size)
    gaps, _, _ = closest_on_polyline(inner, outer, closed=True)
    np.testing.assert_allclose(gaps, 8.0 * size, atol=0.06 * size)
