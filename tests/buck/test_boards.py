"""Boards: what they keep clear of, how they come apart, what is refused."""

import numpy as np
import pytest
import shapely

from boards_on_paper import dome, inside, moved, shape_of, vault
from buckwright.buck.board_laps import relieved_slot
from buckwright.buck.boards import make_boards
from buckwright.errors import JobError
from buckwright.model.boards import Boards, BoardSpec
from buckwright.model.frame import Wheel
from skins_on_paper import tunnel

VAULT = vault(500.0, 1200.0)


def boards_of(skin=VAULT, *, wheels=(), sheet=1.2, **what):
    spec = BoardSpec(**({"stations": (200.0, 600.0, 1000.0)} | what))
    return make_boards(spec, skin, sheet=sheet, wheels=wheels)


class TestAStation:
    def test_is_closed_below_and_hollow_by_its_depth(self):
        board = boards_of(depth=100.0).boards[0]
        low, high = board.outline.min(axis=0), board.outline.max(axis=0)
        assert low[1] == pytest.approx(0.0, abs=2.0)
        assert high[0] - low[0] == pytest.approx(2 * 498.8, abs=0.5)
        (hole,) = board.holes
        gap = shapely.Polygon(board.outline).exterior.distance(shapely.LinearRing(hole))
        assert gap == pytest.approx(100.0, abs=0.5)

    def test_is_solid_where_the_depth_is_nothing(self):
        assert all(board.holes == () for board in boards_of(depth=0.0).boards)

    def test_runs_straight_across_an_opening(self):
        skin = tunnel()[0]
        spec = BoardSpec(stations=(1000.0, 2200.0))
        whole, cut = make_boards(spec, skin, sheet=1.2).boards
        assert len(cut.edges) == len(whole.edges) + 1
        carried = [sum(e.along[-1] for e in board.edges) for board in (whole, cut)]
        assert carried[1] < carried[0] - 150.0
        assert shape_of(cut).area < shape_of(whole).area

    def test_keeps_clear_of_a_wheel_and_may_ignore_it(self):
        wheel = Wheel(name="rear", centre=np.array([600.0, 430.0, 0.0]), radius=200.0, width=150.0)
        clear = boards_of(wheels=(wheel,)).boards[1]
        spec = BoardSpec(stations=(600.0,), wheels="ignore")
        past = make_boards(spec, VAULT, sheet=1.2, wheels=(wheel,))
        tyre = shapely.box(355.0, 0.0, 505.0, 200.0)
        assert shape_of(clear).distance(tyre) >= 19.9
        assert shape_of(past.boards[0]).intersects(tyre)

    def test_does_not_care_where_the_vehicle_stands(self):
        here = boards_of().boards
        there = boards_of(moved(VAULT, (300.0, 0.0, 700.0)), stations=(500.0, 900.0, 1300.0)).boards
        for a, b in zip(here, there, strict=True):
            assert shape_of(a).area == pytest.approx(shape_of(b).area, rel=1e-6)
            assert a.gap_most == pytest.approx(b.gap_most, abs=1e-3)


class TestSides:
    def test_left_and_right_levels_are_mirror_images(self):
        boards = boards_of(levels=(250.0,)).boards
        left, right = (next(b for b in boards if b.name == f"L1 {s}") for s in ("left", "right"))
        mirrored = shapely.Polygon(left.outline * [1.0, -1.0])
        assert mirrored.symmetric_difference(shape_of(right)).area < 5.0

    def test_buttocks_come_from_above_and_levels_from_their_side(self):
        boards = {b.name: b for b in boards_of(buttocks=(0.0,), levels=(250.0,)).boards}
        station = {s.other: s.out for s in boards["S1"].slots}
        assert station == {"B1": (0.0, 1.0), "L1 left": (-1.0, 0.0), "L1 right": (1.0, 0.0)}
        assert {s.out for s in boards["B1"].slots} == {(0.0, -1.0)}
        assert {s.out for s in boards["L1 left"].slots} == {(0.0, 1.0)}


class TestRelief:
    def test_reaches_the_corner_with_a_round_bit(self):
        slot = relieved_slot(
            np.array([0.0, 0.0]), np.array([0.0, 1.0]), width=18.0, length=60.0, cutter=6.0
        )
        bit = slot.buffer(-3.0, quad_segs=32).buffer(3.0, quad_segs=32)
        for corner in ((9.0, 0.0), (-9.0, 0.0)):
            assert bit.distance(shapely.Point(corner)) < 0.05
        assert slot.bounds[1] > -3.0


class TestParts:
    def test_are_short_enough_and_make_the_board_again(self):
        made = boards_of(buttocks=(0.0,), longest_part=700.0)
        for board in made.boards:
            parts = [p for p in board.parts if not p.plate]
            assert parts
            for part in parts:
                assert np.ptp(part.outline, axis=0).max() <= 700.0
            whole = shapely.union_all([shapely.Polygon(p.outline, p.holes) for p in parts])
            assert whole.symmetric_difference(shape_of(board)).area < 1.0

    def test_are_joined_by_plates_clear_of_edges_and_slots(self):
        made = boards_of(buttocks=(0.0,), levels=(250.0,), longest_part=700.0)
        for board in made.boards:
            plates = [p for p in board.parts if p.plate]
            assert len(plates) == len(board.joints)
            for plate in plates:
                shape = shapely.Polygon(plate.outline)
                assert shape_of(board).contains(shape)
                assert shape_of(board).exterior.distance(shape) > 10.0

    def test_lie_on_sheets_with_room_between_them(self):
        made = boards_of(buttocks=(0.0,), levels=(250.0,), longest_part=700.0)
        pieces = {p.name for b in made.boards for p in b.parts or (b,)}
        laid = [p for sheet in made.layout.sheets for p in sheet.pieces]
        assert {p.name for p in laid} == pieces
        assert made.layout.overlap == 0.0
        assert made.layout.gap_kept >= made.layout.gap


class TestDoubts:
    def test_a_board_that_no_station_holds_is_left_out_and_named(self):
        made = boards_of(dome(600.0), stations=(400.0, 500.0), buttocks=(0.0, 440.0))
        assert [f.where for f in made.findings if f.code == "board-not-held"] == ["B2"]
        assert "B2" not in {b.name for b in made.boards}

    def test_come_back_from_json_as_they_were(self):
        made = boards_of(buttocks=(0.0,), edge="bevel")
        again = Boards.model_validate_json(made.model_dump_json())
        assert again.model_dump_json() == made.model_dump_json()


class TestRefused:
    @pytest.mark.parametrize(
        ("what", "words"),
        [
            ({"stations": ()}, "no stations"),
            ({"thickness": 0.0}, "cannot be"),
            ({"cutter": 12.0}, "no square bottom"),
            ({"depth": 30.0}, "too slender"),
            ({"stations": (200.0, 220.0)}, "side by side"),
            ({"stations": (5000.0,)}, "no skin"),
            ({"regions": ("bonnet",)}, "bonnet"),
        ],
    )
    def test_boards_that_cannot_be(self, what, words):
        with pytest.raises(JobError, match=words):
            boards_of(**what)


def test_wood_is_found_where_it_is():
    board = boards_of().boards[0]
    points = np.array([[200.0, 0.0, 450.0], [200.0, 0.0, 250.0], [215.0, 0.0, 450.0]])
    assert inside(board, points).tolist() == [True, False, False]
