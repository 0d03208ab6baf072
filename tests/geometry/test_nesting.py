"""Nesting: nothing lies double, gaps and margins are kept, offcuts come first."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from buckwright.geometry.nesting import free_rectangle, nest_pieces, plates_used
from buckwright.geometry.nesting_grid import largest_rectangle
from buckwright.geometry.nesting_pieces import Piece, Placed, Plate, clearance, turned
from buckwright.geometry.nesting_press import press_pieces, press_strip

QUARTERS = tuple(0.5 * np.pi * k for k in range(4))


def box(width, height):
    return np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])


def wedges(count, seed=1):
    """Triangles and kites of many sizes."""
    chance = np.random.default_rng(seed)
    pieces = []
    for k in range(count):
        corners = 3 + k % 3
        angle = np.sort(chance.uniform(0.0, 0.9, corners) + np.arange(corners)) / corners
        reach = chance.uniform(80.0, 260.0, corners)
        ring = np.column_stack([np.cos(2 * np.pi * angle), np.sin(2 * np.pi * angle)])
        pieces.append(Piece(ring * reach[:, None], QUARTERS))
    return pieces


def kept(nested, pieces, plates):
    return [clearance(f.placed, pieces, plates[f.plate].size) for f in nested.fills]


class TestALayout:
    @settings(max_examples=15, deadline=None, derandomize=True)
    @given(st.integers(3, 14), st.integers(0, 10**6), st.floats(0.0, 12.0), st.floats(0.0, 25.0))
    def test_keeps_gap_and_margin_and_loses_nothing(self, count, seed, gap, margin):
        pieces, plates = wedges(count, seed), [Plate((1500.0, 700.0))]
        nested = nest_pieces(pieces, plates, gap=gap, margin=margin)
        laid = sorted(p.piece for fill in nested.fills for p in fill.placed)
        assert sorted([*laid, *nested.left_over]) == list(range(count))
        for k in kept(nested, pieces, plates):
            assert k.overlap == 0.0
            assert k.gap >= gap
            assert k.margin >= margin

    def test_is_the_same_every_time(self):
        pieces, plates = wedges(10), [Plate((1500.0, 700.0))]
        first = nest_pieces(pieces, plates, gap=5.0, margin=5.0, rounds=3)
        again = nest_pieces(pieces, plates, gap=5.0, margin=5.0, rounds=3)
        assert first == again

    def test_is_no_worse_for_more_rounds(self):
        pieces, plates = wedges(14), [Plate((1500.0, 700.0))]
        used = [
            plates_used(nest_pieces(pieces, plates, gap=5.0, margin=5.0, rounds=n), pieces, plates)
            for n in (1, 8)
        ]
        assert used[1] <= used[0]

    def test_turns_pieces_only_as_allowed(self):
        tall = [Piece(box(100.0, 600.0), (0.0, np.pi))]
        low = [Plate((1500.0, 500.0))]
        assert nest_pieces(tall, low, gap=0.0, margin=0.0).left_over == (0,)
        free = [Piece(box(100.0, 600.0), QUARTERS)]
        assert nest_pieces(free, low, gap=0.0, margin=0.0).left_over == ()

    def test_fills_squares_like_a_chessboard(self):
        pieces = [Piece(box(195.0, 195.0)) for _ in range(50)]
        nested = nest_pieces(pieces, [Plate((2040.0, 1020.0))], gap=0.0, margin=0.0)
        assert len(nested.fills) == 1

    def test_lays_small_pieces_into_holes(self):
        ring = Piece(box(900.0, 600.0), (0.0,), (box(700.0, 400.0) + 100.0,))
        pieces = [ring, *(Piece(box(150.0, 150.0)) for _ in range(6))]
        nested = nest_pieces(pieces, [Plate((930.0, 630.0))], gap=5.0, margin=5.0)
        assert len(nested.fills) == 1
        (k,) = kept(nested, pieces, [Plate((930.0, 630.0))])
        assert k.overlap == 0.0
        assert k.gap >= 5.0


class TestPlates:
    def test_in_stated_number_come_first(self):
        pieces = [Piece(box(300.0, 300.0)) for _ in range(3)]
        plates = [Plate((400.0, 400.0), count=2), Plate((2000.0, 1000.0))]
        nested = nest_pieces(pieces, plates, gap=5.0, margin=5.0)
        assert [fill.plate for fill in nested.fills] == [0, 0, 1]

    def test_without_end_are_chosen_by_what_they_are_worth(self):
        pieces = [Piece(box(300.0, 300.0)) for _ in range(2)]
        sizes = [(2400.0, 1200.0), (800.0, 400.0)]
        plates = [Plate(size, worth=size[0] * size[1]) for size in sizes]
        nested = nest_pieces(pieces, plates, gap=5.0, margin=5.0)
        assert [fill.plate for fill in nested.fills] == [1]

    def test_that_hold_nothing_leave_the_piece_over(self):
        pieces = [Piece(box(5000.0, 300.0), QUARTERS), Piece(box(100.0, 100.0))]
        assert nest_pieces(pieces, [Plate((900.0, 900.0))], gap=0.0, margin=0.0).left_over == (0,)


class TestPressing:
    def test_keeps_gap_and_margin_and_is_no_worse(self):
        pieces, plates = wedges(12), [Plate((1100.0, 600.0))]
        plain = nest_pieces(pieces, plates, gap=6.0, margin=10.0)
        told = []
        pressed = press_pieces(pieces, plates, gap=6.0, margin=10.0, rounds=1, progress=told.append)
        assert plates_used(pressed, pieces, plates) <= plates_used(plain, pieces, plates)
        for k in kept(pressed, pieces, plates):
            assert k.overlap == 0.0
            assert k.gap >= 5.99
            assert k.margin >= 9.99
        assert told[-1] == 1.0

    def test_can_be_stopped(self):
        def stop(share):
            raise InterruptedError

        with pytest.raises(InterruptedError):
            press_pieces(
                wedges(4), [Plate((800.0, 500.0))], gap=6.0, margin=0.0, rounds=1, progress=stop
            )

    def test_a_strip_is_not_shorter_than_its_pieces_need(self):
        pieces = [Piece(box(100.0, 50.0)) for _ in range(4)]
        strip = press_strip(pieces, 101.0, gap=0.0, margin=0.0, seconds=1)
        assert 199.9 <= strip.length <= 204.0


class TestClearance:
    def test_tells_what_lies_double_or_over_the_edge(self):
        pieces = [Piece(box(100.0, 100.0))] * 2
        on_top = [Placed(0, 0.0, (0.0, 0.0)), Placed(1, 0.0, (50.0, 0.0))]
        found = clearance(on_top, pieces, (140.0, 200.0))
        assert found.overlap == pytest.approx(5000.0)
        assert found.gap == 0.0
        assert found.margin == pytest.approx(-10.0)
        beside = [Placed(0, 0.0, (3.0, 4.0)), Placed(1, 0.0, (110.0, 4.0))]
        assert clearance(beside, pieces, (220.0, 200.0)).gap == pytest.approx(7.0)

    def test_is_none_for_a_piece_in_the_hole_of_another(self):
        pieces = [Piece(box(300.0, 300.0), (0.0,), (box(200.0, 200.0) + 50.0,)), Piece(box(50, 50))]
        inside = [Placed(0, 0.0, (0.0, 0.0)), Placed(1, 0.0, (100.0, 100.0))]
        found = clearance(inside, pieces, (300.0, 300.0))
        assert (found.overlap, found.gap) == (0.0, pytest.approx(50.0))


class TestWhatIsLeft:
    def test_is_the_largest_rectangle_of_free_cells(self):
        chance = np.random.default_rng(3)
        for _ in range(20):
            taken = chance.random((7, 9)) < 0.3
            column, row, columns, rows = largest_rectangle(taken)
            assert not taken[row : row + rows, column : column + columns].any()
            most = max(
                (d - c) * (b - a)
                for a in range(7)
                for b in range(a + 1, 8)
                for c in range(9)
                for d in range(c + 1, 10)
                if not taken[a:b, c:d].any()
            )
            assert columns * rows == most

    def test_keeps_off_the_pieces(self):
        piece = turned(box(300.0, 200.0), 0.3) + np.array([100.0, 0.0])
        left = free_rectangle([piece], (1000.0, 500.0), gap=6.0)
        assert shapely.box(*left).distance(shapely.Polygon(piece)) >= 6.0
        assert shapely.box(0.0, 0.0, 1000.0, 500.0).contains(shapely.box(*left))


def test_nonsense_is_refused():
    pieces = [Piece(box(10.0, 10.0))]
    for plates, gap, margin in (([], 1.0, 1.0), ([Plate((9.0, 9.0))], -1.0, 0.0)):
        with pytest.raises(ValueError, match="nesting needs"):
            nest_pieces(pieces, plates, gap=gap, margin=margin)
