"""Blanks on sheets: grain, offcuts, prices, what goes back into the rack."""

import numpy as np
import pytest

from buckwright.model.nesting import Layout
from buckwright.model.panels import Blank, Offcut, PanelVerdict, SheetStock
from buckwright.panels.nesting import nest_blanks, offcuts_after, press_blanks

SHEET = SheetStock(alloy="3003-H14", thickness=1.6, size=(1219.2, 2438.4))
EMPTY = np.zeros((0, 2))


def blank(name, length, width, *, grain="any"):
    outline = np.array([[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]])
    return Blank(
        panel=name,
        flat=outline,
        outline=outline,
        net_outline=outline,
        area_change=(),
        strain_major=(),
        strain_minor=(),
        major_direction=EMPTY,
        bend_radius=(),
        work_density=0.0,
        area=length * width,
        blank_area=length * width,
        flipped=0,
        areas=(),
        verdict=PanelVerdict(step="takes it", reason="", elongation=0.05, source=""),
        mass=0.0,
        grain=grain,
    )


def offcut(length, width, **what):
    return Offcut(**({"alloy": "3003-H14", "thickness": 1.6, "size": (length, width)} | what))


class TestGrain:
    def test_any_lets_a_blank_lie_across_the_sheet(self):
        layout = nest_blanks([blank("door", 500.0, 2000.0)], SHEET)
        turn = layout.sheets[0].pieces[0].turn
        assert abs(np.cos(turn)) < 1e-9
        assert layout.left_over == ()

    def test_asked_for_keeps_the_blank_along_the_sheet_or_names_it(self):
        layout = nest_blanks([blank("door", 500.0, 2000.0, grain="long")], SHEET)
        assert layout.left_over == ("door",)
        assert [(f.code, f.where) for f in layout.findings] == [("no-sheet-holds-it", "door")]

    def test_asked_for_may_be_turned_end_for_end(self):
        blanks = [blank(f"strip {k}", 1000.0, 250.0, grain="long") for k in range(6)]
        layout = nest_blanks(blanks, SHEET)
        turns = [piece.turn for sheet in layout.sheets for piece in sheet.pieces]
        assert all(abs(np.sin(turn)) < 1e-9 for turn in turns)


class TestOffcuts:
    def test_are_used_before_a_new_sheet_smallest_first(self):
        rack = (offcut(1500.0, 900.0), offcut(700.0, 500.0))
        layout = nest_blanks([blank("a", 600.0, 400.0), blank("b", 1200.0, 700.0)], SHEET, rack)
        assert [(s.offcut, s.size) for s in layout.sheets] == [
            (True, (700.0, 500.0)),
            (True, (1500.0, 900.0)),
        ]

    def test_of_another_metal_are_left_alone(self):
        rack = (offcut(900.0, 900.0, thickness=1.0), offcut(900.0, 900.0, alloy="5052-H32"))
        layout = nest_blanks([blank("a", 600.0, 400.0)], SHEET, rack)
        assert [s.offcut for s in layout.sheets] == [False]
        assert offcuts_after(rack, layout, SHEET)[:2] == rack

    def test_leave_the_rack_and_remnants_come_into_it(self):
        rack = (offcut(700.0, 500.0, count=2),)
        layout = nest_blanks([blank("a", 600.0, 400.0), blank("b", 2000.0, 700.0)], SHEET, rack)
        after = offcuts_after(rack, layout, SHEET)
        assert after[0].count == 1
        left = layout.sheet_of("b").remnant
        assert left is not None
        assert after[1].size == left.size
        assert min(left.size) >= SHEET.least_remnant
        again = nest_blanks([blank("c", left.size[0] - 40.0, left.size[1] - 40.0)], SHEET, after)
        assert again.sheets[0].offcut

    def test_too_small_to_keep_are_scrap(self):
        layout = nest_blanks([blank("a", 2400.0, 1100.0)], SHEET)
        assert layout.sheets[0].remnant is None


class TestCost:
    def test_by_weight_is_that_of_whole_new_sheets(self):
        sheet = SHEET.model_copy(update={"price_per_kg": 9.0})
        layout = nest_blanks([blank("a", 600.0, 400.0)], sheet)
        mass = 2438.4 * 1219.2 * 1.6 * 2.73e-6
        assert layout.mass == pytest.approx(mass, rel=1e-3)
        assert layout.cost == pytest.approx(9.0 * mass, rel=1e-3)
        assert layout.mass_cut == pytest.approx(mass * 240000.0 / (2438.4 * 1219.2), rel=1e-3)

    def test_is_unknown_without_a_price_and_nothing_for_an_offcut(self):
        assert nest_blanks([blank("a", 600.0, 400.0)], SHEET).cost is None
        priced = SHEET.model_copy(update={"price": 80.0})
        rack = (offcut(700.0, 500.0),)
        assert nest_blanks([blank("a", 600.0, 400.0)], priced, rack).cost == 0.0

    def test_chooses_the_size_that_is_cheapest_for_what_it_holds(self):
        sheet = SHEET.model_copy(update={"price": 80.0, "other_sizes": ((1000.0, 2000.0),)})
        layout = nest_blanks([blank("a", 1500.0, 900.0)], sheet)
        assert [s.size for s in layout.sheets] == [(2000.0, 1000.0)]


class TestALayout:
    def test_comes_back_from_json_as_it_was(self):
        layout = nest_blanks([blank("a", 600.0, 400.0), blank("b", 300.0, 200.0)], SHEET)
        again = Layout.model_validate_json(layout.model_dump_json())
        assert again.model_dump_json() == layout.model_dump_json()

    def test_pressed_keeps_gap_and_margin(self):
        blanks = [blank(f"b{k}", 700.0 - 30.0 * k, 300.0 + 20.0 * k) for k in range(12)]
        told = []
        layout = press_blanks(blanks, SHEET, rounds=1, progress=told.append)
        assert layout.overlap == 0.0
        assert layout.gap_kept >= SHEET.gap - 0.01
        assert layout.margin_kept >= SHEET.margin - 0.01
        assert layout.left_over == ()
        assert told[-1] == 1.0

    def test_says_how_many_sheets_and_what_the_area_alone_would_take(self):
        layout = nest_blanks([blank("a", 1000.0, 1000.0)], SHEET)
        assert layout.sheets_bound == pytest.approx(1e6 / (2438.4 * 1219.2))
        assert layout.sheets_bound < layout.sheets_used < 0.45
        assert layout.density == pytest.approx(layout.sheets_bound / layout.sheets_used)

    def test_of_nothing_is_empty(self):
        layout = nest_blanks([], SHEET)
        assert (layout.sheets, layout.sheets_used, layout.left_over) == ((), 0.0, ())
