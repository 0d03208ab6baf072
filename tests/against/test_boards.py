"""The station buck against closed forms, and against boards asked point by point in space.

Ball: a station at x has the radius sqrt(R^2 - x^2), and its edge leans by asin(x / R).
Body on paper: |y / b|^4 + |(z - 330) / h|^4 = 1 with b and h quadratic in x.
"""

from itertools import combinations

import numpy as np
import pytest
import shapely

from boards_on_paper import dome, shape_of, slot_at, vault, wood_in_common
from buckwright.buck.boards import make_boards
from buckwright.model.boards import BoardSpec
from skins_on_paper import tunnel

RADIUS = 600.0
SHEET = 1.2
INNER = RADIUS - SHEET


@pytest.fixture(scope="module")
def ball():
    return dome(RADIUS)


@pytest.fixture(scope="module")
def crate():
    spec = BoardSpec(
        stations=(600.0, 1000.0, 1400.0, 1800.0, 2600.0),
        buttocks=(-300.0, 0.0, 300.0),
        levels=(600.0, 1000.0),
        thickness=17.6,
        fit=0.3,
    )
    return spec, make_boards(spec, tunnel()[0], sheet=SHEET)


def off_the_body(points):
    """How far points lie inside the body's inner face, by its equation to first order."""
    x, y, z = points.T
    breadth = 650.0 - 8e-5 * (x - 1500.0) ** 2
    height = 1300.0 - 5e-5 * (x - 1600.0) ** 2
    value = (y / breadth) ** 4 + ((z - 330.0) / height) ** 4 - 1.0
    slope = np.stack(
        [
            4.0 * (y / breadth) ** 3 * (-y / breadth**2) * (-1.6e-4 * (x - 1500.0))
            + 4.0
            * ((z - 330.0) / height) ** 3
            * (-(z - 330.0) / height**2)
            * (-1e-4 * (x - 1600.0)),
            4.0 * (y / breadth) ** 3 / breadth,
            4.0 * ((z - 330.0) / height) ** 3 / height,
        ]
    )
    return -value / np.linalg.norm(slope, axis=0) - SHEET


class TestABall:
    def test_gives_stations_of_the_exact_radius(self, ball):
        spec = BoardSpec(stations=(-250.0, 0.0, 150.0, 400.0), edge="square")
        for board in make_boards(spec, ball, sheet=SHEET).boards:
            far = abs(board.at) + 0.5 * board.thickness
            radii = np.linalg.norm(board.outline[board.outline[:, 1] > 60.0], axis=1)
            assert np.allclose(radii, np.sqrt(INNER**2 - far**2), atol=0.05)

    def test_gives_the_bevel_asin_x_over_r(self, ball):
        spec = BoardSpec(stations=(-250.0, 0.0, 150.0, 400.0), edge="bevel")
        for board in make_boards(spec, ball, sheet=SHEET).boards:
            bevel = np.concatenate([edge.bevel for edge in board.edges])
            assert np.allclose(bevel, np.arcsin(board.at / INNER), atol=np.radians(0.05))

    def test_leaves_under_a_square_edge_what_the_closed_form_says(self, ball):
        spec = BoardSpec(stations=(150.0, 400.0), edge="square")
        for board in make_boards(spec, ball, sheet=SHEET).boards:
            near, far = board.at - 9.0, board.at + 9.0
            left = INNER - np.hypot(np.sqrt(INNER**2 - far**2), near)
            assert board.gap_most == pytest.approx(left, abs=0.05)
            assert board.over_most < 0.05

    def test_leaves_under_a_bevelled_edge_no_more_than_a_chord_does(self, ball):
        spec = BoardSpec(stations=(150.0, 400.0), edge="bevel")
        for board in make_boards(spec, ball, sheet=SHEET).boards:
            slant = board.thickness / np.cos(np.arcsin(board.at / INNER))
            assert board.gap_most < slant**2 / (8.0 * INNER) + 0.05
            assert board.over_most < 0.05


class TestAVault:
    def test_gives_square_edges_that_touch_all_through(self):
        boards = make_boards(BoardSpec(stations=(200.0, 500.0)), vault(500.0, 800.0), sheet=0.0)
        for board in boards.boards:
            assert board.greatest_bevel < np.radians(0.02)
            assert board.gap_most < 0.05
            assert shape_of(board).exterior.distance(shapely.Point(0.0, 500.0)) < 0.05

    def test_gives_levels_whose_edge_leans_as_the_circle_does(self):
        spec = BoardSpec(stations=(200.0, 500.0), levels=(150.0, 350.0), edge="bevel")
        boards = make_boards(spec, vault(500.0, 800.0), sheet=0.0).boards
        for board in (b for b in boards if b.kind == "level"):
            bevel = np.concatenate([edge.bevel for edge in board.edges])
            assert np.allclose(bevel, np.arcsin(board.at / 500.0), atol=np.radians(0.05))


class TestACrate:
    def test_holds_no_wood_twice(self, crate):
        _, made = crate
        for first, second in combinations(made.boards, 2):
            assert wood_in_common(first, second, 2.0) == 0, (first.name, second.name)

    def test_has_slots_in_line_and_as_wide_as_the_board(self, crate):
        spec, made = crate
        by_name = {board.name: board for board in made.boards}
        laps = 0
        for board in made.boards:
            for slot in board.slots:
                other = by_name[slot.other]
                middle, width, _ = slot_at(board, other)
                assert middle == pytest.approx(other.at, abs=0.1)
                assert width == pytest.approx(spec.thickness + spec.fit, abs=0.05)
                laps += 1
        assert laps == 2 * 5 * (3 + 2 * 2)

    def test_has_laps_whose_bottoms_meet_but_for_the_fit(self, crate):
        spec, made = crate
        by_name = {board.name: board for board in made.boards}
        for station in (b for b in made.boards if b.kind == "station"):
            for slot in station.slots:
                long = by_name[slot.other]
                _, _, from_outside = slot_at(station, long)
                _, _, from_inside = slot_at(long, station)
                room = sum(slot.out) * (from_inside - from_outside)
                assert room == pytest.approx(spec.fit, abs=0.1)

    def test_touches_the_inner_face_and_stands_off_as_it_says(self, crate):
        _, made = crate
        for board in made.boards:
            axis, u, v = board.plane_axes
            edge = np.vstack([e.points[2:-2] for e in board.edges])
            rim = shape_of(board).exterior
            along = shapely.line_locate_point(rim, shapely.points(edge))
            foot = shapely.get_coordinates(shapely.line_interpolate_point(rim, along))
            clear = np.ones(len(foot), dtype=bool)
            for slot in board.slots:
                off = np.abs((foot - slot.middle) @ np.array([-slot.out[1], slot.out[0]]))
                clear &= off > 0.5 * slot.width + 5.0
            places = np.zeros((3, int(clear.sum()), 3))
            for k, t in enumerate((-0.5, 0.0, 0.5)):
                places[k][:, axis] = board.at + t * board.thickness
                places[k][:, [u, v]] = foot[clear]
            off = off_the_body(places.reshape(-1, 3)).reshape(3, -1)
            assert off.min() > -0.1, board.name
            assert off.max() < board.gap_most + 0.15, board.name
            # One corner of the edge lies on the metal.
            assert np.quantile(off.min(axis=0), 0.95) < 0.1, board.name
