"""Boards and cut sheets on paper: what is cut is what was asked, and cautions stand beside it."""

import numpy as np
import pytest

from boards_on_paper import vault
from buckwright.buck.boards import make_boards
from buckwright.drawings import board_sheets
from buckwright.files.dxf import dxf_text
from buckwright.model.boards import BoardSpec
from buckwright.model.buck import BuckSpec
from buckwright.model.job import Job

SPEC = BoardSpec(stations=(200.0, 600.0, 1000.0), buttocks=(0.0,), edge="bevel", longest_part=700.0)


@pytest.fixture(scope="module")
def drawn():
    boards = make_boards(SPEC, vault(500.0, 1200.0), sheet=1.2)
    job = Job(name="Barrel", buck=BuckSpec(wires=(), boards=SPEC))
    return boards, board_sheets(job, boards)


def test_every_board_and_every_cut_sheet_has_a_sheet_of_its_own(drawn):
    boards, sheets = drawn
    assert len(sheets) == len(boards.boards) + len(boards.layout.sheets)
    assert len({sheet.name for sheet in sheets}) == len(sheets)
    assert all(sheet.cut_file for sheet in sheets)


def test_cut_lines_of_a_sheet_are_the_outlines_laid_on_it(drawn):
    boards, sheets = drawn
    for layout, sheet in zip(boards.layout.sheets, sheets[len(boards.boards) :], strict=True):
        cut = [s for s in sheet.strokes if s.ink == "cut"]
        rings = [ring for piece in layout.pieces for ring in (*piece.holes, piece.outline)]
        assert len(cut) == len(rings)
        assert all(np.array_equal(a.points, b) for a, b in zip(cut, rings, strict=True))
        assert {p.name for p in layout.pieces} <= {label.text for label in sheet.labels}
        assert "AcDbPolyline" in dxf_text(sheet)


def test_a_board_names_what_comes_into_its_slots_and_shows_both_faces(drawn):
    boards, sheets = drawn
    for board, sheet in zip(boards.boards, sheets, strict=False):
        said = [label.text for label in sheet.labels]
        assert all(slot.other in said for slot in board.slots)
        assert sum(stroke.name == "face" for stroke in sheet.strokes) == 2
        assert any("bevel in degrees" in note for note in sheet.notes)


def test_cautions_name_saw_dust_and_eyes(drawn):
    for sheet in drawn[1]:
        notes = " ".join(sheet.notes)
        assert "1910.213" in notes
        assert "Z87.1" in notes
