"""A length measured from card to card: typed on the page or by command, and solved with."""

import numpy as np
import pytest

from buckwright.capture import calibrate
from buckwright.cli import main
from buckwright.errors import JobError
from buckwright.flow.cardbars import keep_card_bar, take_card_bar_off
from buckwright.model.job import Job, Products
from buckwright.model.mats import bar_words, between_cards, printed_bars, printed_mat, typed_bar
from buckwright.store import JobFile
from buckwright.web.desk import View
from buckwright.web.edits import edit_job
from buckwright.web.sheets.shoot import shoot_rows
from capture.test_cards import MAT, STANDS, laid, shoot

GROWN = 1.004
"""By so much the printer made everything larger: nothing in the pictures tells it."""


def true_length(points, first, second):
    """Between two marks (card, column, row), as laid."""
    ends = [
        points[c - 1][(r - 1) * (MAT.squares[0] - 1) + col - 1] for c, col, r in (first, second)
    ]
    return float(np.linalg.norm(ends[0] - ends[1]))


@pytest.fixture(scope="module")
def shot():
    """True places of the cards' corners, and what ten exact pictures show of them."""
    points = GROWN * laid()
    stands = [(azimuth, height, GROWN * d) for azimuth, height, d in STANDS]
    return points, shoot(points, stands=stands, noise=0.0)


def view_of(job, solved=None):
    return View(job=job, products=Products(calibration=solved), states={}, operations=())


def card_bar(job, solved=None, **typed):
    asked = {"what": "card bar", "first": [1, 2, 3], "second": [6, 5, 1], "sigma": "0.5 mm"}
    return edit_job(view_of(job, solved), {**asked, **typed})


def test_a_length_typed_from_card_to_card_measures_the_scale_exactly(shot):
    points, corners = shot
    plain = calibrate(corners, MAT)
    assert plain.scale == "not measured"
    assert "scale-not-measured" in {f.code for f in plain.findings}
    true = true_length(points, (1, 2, 3), (6, 5, 1))
    job, words = card_bar(Job(name="A", mat=MAT), length=f"{true / 25.4:.9f} in")
    assert words == f"card 1 to card 6 measures {true:.2f} mm"
    solved = calibrate(corners, job.mat)
    assert solved.scale == "bar"
    assert not {"scale-not-measured", "bar-not-seen", "bars-disagree"} & {
        f.code for f in solved.findings
    }
    # Pictures without noise: another length, of which nothing was typed, comes out but for
    # the belief in the cards as they were drawn: a hundredth of a thousandth.
    found = [
        solved.mat_points[24 * (c - 1) + 6 * (r - 1) + k - 1] for c, k, r in ((3, 1, 1), (8, 6, 4))
    ]
    assert np.linalg.norm(found[0] - found[1]) == pytest.approx(
        true_length(points, (3, 1, 1), (8, 6, 4)), rel=1e-5
    )
    rows = shoot_rows(job, Products(calibration=solved))
    assert rows["between"] == [
        {"first": [1, 2, 3], "second": [6, 5, 1], "mm": pytest.approx(true), "sigma": 0.5}
    ]
    # Typed again between the same marks, the other way about, it takes the place of the first.
    again, _ = card_bar(job, first=[6, 5, 1], second=[1, 2, 3], length="2 m")
    assert [bar.mm for bar in again.mat.bars] == [2000.0]
    off, _ = edit_job(view_of(again), {"what": "card bar off", "number": 1})
    assert off.mat.bars == ()


def test_a_length_that_the_pictures_contradict_is_refused_with_both_figures(shot):
    points, corners = shot
    solved = calibrate(corners, MAT)
    true = true_length(points, (1, 2, 3), (6, 5, 1))
    job, _ = card_bar(Job(name="A", mat=MAT), solved, length=f"{true:.1f}")
    assert between_cards(job.mat)
    with pytest.raises(JobError, match=r"see about \d+ mm from card 1, column 2, row 3 to card 6"):
        card_bar(Job(name="A", mat=MAT), solved, length=f"{true + 120.0:.1f}")
    # One square over: marks were mixed up.
    with pytest.raises(JobError, match="see about"):
        card_bar(Job(name="A", mat=MAT), solved, length=f"{true:.1f}", second=[6, 1, 4])


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"length": "wide"}, "wide"),
        ({"length": "5 mm"}, "cannot lie between two cards"),
        ({"length": "-2 m"}, "cannot lie between two cards"),
        ({"length": "2 m", "sigma": "80 mm"}, "gives no scale"),
        ({"length": "2 m", "sigma": "-1 mm"}, "gives no scale"),
        ({"length": "2 m", "second": [1, 3, 3]}, "Both ends are on card 1"),
        ({"length": "2 m", "second": [9, 1, 1]}, "There is no card 9"),
        ({"length": "2 m", "second": [2, 7, 1]}, "Column 7, row 1 is no mark"),
    ],
)
def test_nonsense_is_refused_with_one_sentence(typed, told):
    with pytest.raises(JobError, match=told) as refused:
        card_bar(Job(name="A", mat=MAT), **typed)
    assert "\n" not in refused.value.problem


def test_a_single_mat_has_no_second_card_and_what_is_not_listed_is_not_taken_off():
    with pytest.raises(JobError, match="no set of cards"):
        keep_card_bar(printed_mat("A2"), (1, 1, 1), (1, 2, 2), mm=100.0, sigma=0.0)
    with pytest.raises(JobError, match="no length 1"):
        take_card_bar_off(MAT, 1)
    with pytest.raises(ValueError, match="a card, a column and a row"):
        card_bar(Job(name="A", mat=MAT), length="2 m", first=[1, 1])


def test_bars_are_named_as_they_are_printed_or_by_both_ends():
    printed = printed_bars(MAT)[3]
    mat = typed_bar(MAT, printed, printed.drawn)
    assert bar_words(mat, mat.bars[0]) == "bar 2 of card 2"
    mat = keep_card_bar(mat, (1, 1, 1), (8, 6, 4), mm=3000.0, sigma=1.0)
    words = "bar from card 1, column 1, row 1 to card 8, column 6, row 4"
    assert bar_words(mat, mat.bars[1]) == words
    # A printed bar typed anew leaves the other alone.
    assert len(typed_bar(mat, printed, None).bars) == 1


def test_the_command_keeps_a_length_lists_it_and_takes_it_off(tmp_path, capsys):
    path = tmp_path / "cards.buck"
    JobFile.create(path, Job(name="A", mat=MAT)).close()
    asked = ["bar", str(path), "--between", "1,1,1", "8,6,4", "--size", "3140,5 mm"]
    assert main(asked) == 0
    told = capsys.readouterr().out
    assert "1: card 1, column 1, row 1 to card 8, column 6, row 4: 3140.50 mm, to 0.5 mm" in told
    assert main(["bar", str(path), "--between", "1,1", "8,6,4", "--size", "3 m"]) == 1
    assert "'1,1' is no mark of a card" in capsys.readouterr().err
    assert main(["bar", str(path), "--drop", "1"]) == 0
    assert "No bar of the mat is measured" in capsys.readouterr().out
    with JobFile.open(path) as file:
        assert file.job().mat.bars == ()
