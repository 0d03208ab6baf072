import numpy as np
import pytest
import shapely

from buckwright.files.leaves import Window, clipped, leaf_of, moved, turned, windows_over
from buckwright.model.drawings import Label, Sheet, Stroke


def sheet(*strokes, labels=(), notes=()):
    return Sheet(name="s", title="A sheet", strokes=strokes, labels=labels, notes=notes)


def run(ink, *points, closed=False):
    return Stroke(ink=ink, points=np.array(points, dtype=float), closed=closed)


def total(pieces, ink="cut"):
    drawn = [s for _, piece in pieces for s in piece.strokes if s.ink == ink]
    return sum(np.linalg.norm(np.diff(s.points, axis=0), axis=1).sum() for s in drawn)


def test_windows_cover_the_box_and_share_their_overlap():
    windows = windows_over(np.zeros(2), np.array([500.0, 290.0]), size=(200.0, 300.0), overlap=10.0)
    assert [window.name for window in windows] == ["A1", "B1", "C1"]
    assert windows[1].low[0] - windows[0].high[0] == pytest.approx(-10.0)
    assert windows[0].low[0] <= 0.0
    assert windows[-1].high[0] >= 500.0


def test_a_box_that_just_fits_takes_one_window():
    assert (
        len(windows_over(np.zeros(2), np.array([180.0, 267.0]), size=(180.0, 267.0), overlap=10.0))
        == 1
    )


def test_an_overlap_that_eats_the_window_is_refused():
    with pytest.raises(ValueError, match="overlap"):
        windows_over(np.zeros(2), np.ones(2), size=(10.0, 300.0), overlap=10.0)


def test_columns_go_on_after_z():
    assert Window(25, 0, np.zeros(2), np.ones(2)).name == "Z1"
    assert Window(26, 9, np.zeros(2), np.ones(2)).name == "AA10"


def test_strokes_are_cut_at_the_windows_edge_and_nothing_is_lost():
    angle = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)
    circle = run("cut", *(300.0 * np.column_stack([np.cos(angle), np.sin(angle)])), closed=True)
    windows = windows_over(np.full(2, -300.0), np.full(2, 300.0), size=(200.0, 200.0), overlap=1e-9)
    pieces = clipped(sheet(circle), windows)
    assert total(pieces) == pytest.approx(shapely.LinearRing(circle.points).length, rel=1e-6)
    for window, piece in pieces:
        for stroke in piece.strokes:
            assert np.all(stroke.points >= window.low - 1e-9)
            assert np.all(stroke.points <= window.high + 1e-9)


def test_a_window_with_nothing_but_grid_is_left_out():
    grid = run("grid", (0.0, 50.0), (1000.0, 50.0))
    mark = run("mark", (10.0, 10.0), (90.0, 10.0))
    windows = windows_over(np.zeros(2), np.array([1000.0, 100.0]), size=(200.0, 100.0), overlap=0.0)
    assert [window.name for window, _ in clipped(sheet(grid, mark), windows)] == ["A1"]


def test_words_at_an_edge_stand_whole_in_both_windows():
    words = Label(at=(180.0, 50.0), text="middle section", height=8.0)
    windows = windows_over(np.zeros(2), np.array([400.0, 100.0]), size=(200.0, 100.0), overlap=0.0)
    both = clipped(sheet(run("grid", (0.0, 0.0), (400.0, 0.0)), labels=(words,)), windows)
    assert [piece.labels for _, piece in both] == [(words,), (words,)]


def test_a_closed_stroke_inside_one_window_stays_closed():
    square = run("cut", (10.0, 10.0), (90.0, 10.0), (90.0, 90.0), (10.0, 90.0), closed=True)
    ((_, piece),) = clipped(sheet(square), [Window(0, 0, np.zeros(2), np.full(2, 100.0))])
    assert piece.strokes[0].closed


def test_a_turned_sheet_is_turned_not_mirrored():
    original = sheet(run("cut", (0.0, 0.0), (100.0, 0.0), (100.0, 30.0)))
    (stroke,) = turned(original).strokes
    np.testing.assert_allclose(stroke.points, [[30.0, 0.0], [30.0, 100.0], [0.0, 100.0]], atol=1e-9)


def test_turned_words_keep_to_their_strokes():
    words = Label(at=(20.0, 10.0), text="belt", height=8.0, angle=0.3)
    original = sheet(run("cut", *words.corners()), labels=(words,))
    back = turned(original)
    np.testing.assert_allclose(back.labels[0].corners(), back.strokes[0].points, atol=1e-9)


def test_moved_words_keep_to_their_strokes():
    words = Label(at=(20.0, 10.0), text="belt", height=8.0)
    back = moved(sheet(run("cut", *words.corners()), labels=(words,)), np.array([-5.0, 7.0]))
    np.testing.assert_allclose(back.labels[0].corners(), back.strokes[0].points, atol=1e-9)


@pytest.mark.parametrize("beside", [False, True])
def test_notes_become_words_that_cover_neither_the_drawing_nor_each_other(beside):
    notes = tuple(f"Note {k}: " + "wear gloves and eye protection " * 6 for k in range(7))
    square = run("cut", (0.0, 0.0), (900.0, 0.0), (900.0, 400.0), (0.0, 400.0), closed=True)
    leaf = leaf_of(sheet(square, notes=notes), beside=beside)
    np.testing.assert_allclose(leaf.box()[0], 0.0, atol=1e-9)
    rooms = [shapely.Polygon(label.corners()) for label in leaf.labels]
    drawing = shapely.Polygon(leaf.strokes[0].points)
    assert not any(room.intersects(drawing) for room in rooms)
    assert not shapely.STRtree(rooms).query(rooms, predicate="overlaps").size
    text = " ".join(label.text for label in leaf.labels)
    assert all(f"Note {k}:" in text for k in range(7))
