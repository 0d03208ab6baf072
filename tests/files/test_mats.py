"""MAT.json and TRACES.json: what is right comes back the same, what is wrong gets a sentence."""

import json

import numpy as np
import pytest

from buckwright.errors import FileError
from buckwright.files.mats import read_mat, read_traces, write_mat
from buckwright.model.pictures import Bar, Mat

GOOD = {
    "squares": [19, 13],
    "square_mm": 30.0,
    "marker_mm": 22.0,
    "dictionary": "DICT_5X5_250",
    "bars": [{"from": [1, 1], "to": [18, 1], "mm": 510.08}],
}


def written(tmp_path, content):
    path = tmp_path / "file.json"
    path.write_text(content if isinstance(content, str) else json.dumps(content))
    return path


def test_a_mat_comes_back_as_it_was_written(tmp_path):
    mat = Mat(
        squares=(11, 7),
        square_mm=25.4,
        marker_mm=18.0,
        dictionary="DICT_4X4_50",
        bars=(Bar(start=(1, 1), end=(10, 1), mm=228.9), Bar(start=(1, 1), end=(1, 6), mm=127.1)),
    )
    write_mat(mat, tmp_path / "mat.json")
    again = read_mat(tmp_path / "mat.json")
    assert again.model_dump() == mat.model_dump()


def test_a_set_of_cards_comes_back_with_bars_between_them(tmp_path):
    bars = (
        Bar(start=(1, 1), end=(6, 1), mm=180.2, start_card=2, end_card=2),
        Bar(start=(1, 1), end=(6, 4), mm=2140.5, end_card=7, sigma=0.5),
    )
    mat = Mat(
        squares=(7, 5),
        square_mm=36.0,
        marker_mm=26.4,
        dictionary="DICT_5X5_1000",
        bars=bars,
        more_cards=7,
    )
    write_mat(mat, tmp_path / "mat.json")
    assert json.loads((tmp_path / "mat.json").read_text())["bars"][1]["cards"] == [1, 8]
    assert read_mat(tmp_path / "mat.json").model_dump() == mat.model_dump()


def test_bars_may_be_left_out(tmp_path):
    assert read_mat(written(tmp_path, {**GOOD, "bars": []})).bars == ()
    assert read_mat(written(tmp_path, {k: v for k, v in GOOD.items() if k != "bars"})).bars == ()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"squares": [19]}, "squares"),
        ({"squares": [19, 13.5]}, "squares"),
        ({"squares": [2, 13]}, "2 x 13"),
        ({"square_mm": "30 mm"}, "square_mm"),
        ({"square_mm": -30.0}, "square_mm"),
        ({"marker_mm": None}, "marker_mm"),
        ({"marker_mm": 30.0}, "as large as its squares"),
        ({"dictionary": "DICT_NONE"}, "unknown dictionary"),
        ({"dictionary": "DICT_4X4_50"}, "needs 123 different markers"),
        ({"bars": {}}, "not a list"),
        ({"cards": 0}, "number of cards"),
        ({"cards": 3}, "needs 369 different markers"),
        ({"bars": [{**GOOD["bars"][0], "cards": [1, 2]}]}, "on card 2 of 1"),
        ({"bars": [{**GOOD["bars"][0], "sigma_mm": 80.0}]}, "hardly measured"),
        ({"bars": [[1, 1, 510]]}, "from, to, mm"),
        ({"bars": [{"from": [0, 1], "to": [18, 1], "mm": 540.0}]}, "no inner corner"),
        ({"bars": [{"from": [1, 1], "to": [1, 1], "mm": 10.0}]}, "without length"),
        ({"bars": [{"from": [1, 1], "to": [18, 1], "mm": 20.08}]}, "drawn 510 mm long"),
    ],
)
def test_a_wrong_mat_is_refused_with_what_is_wrong(tmp_path, change, words):
    with pytest.raises(FileError, match=words):
        read_mat(written(tmp_path, GOOD | change))


@pytest.mark.parametrize("content", ["", "{", "[1, 2]", "null"])
def test_what_is_no_mat_at_all_is_refused(tmp_path, content):
    with pytest.raises(FileError, match=r"file\.json"):
        read_mat(written(tmp_path, content))


def test_a_file_that_is_not_there_or_no_text_is_refused(tmp_path):
    with pytest.raises(FileError, match="cannot be read"):
        read_mat(tmp_path / "none.json")
    (tmp_path / "picture.json").write_bytes(b"\xff\xd8\xff\xe0")
    with pytest.raises(FileError, match="is not text"):
        read_mat(tmp_path / "picture.json")


def test_traces_keep_their_order_and_their_pieces(tmp_path):
    pieces = [
        {"picture": "a.jpg", "px": [[1, 2], [3.5, 4]]},
        {"picture": "a.jpg", "px": [[9, 9], [8, 8]]},
    ]
    content = {"traces": {"belt left": pieces, "sill left": [pieces[0]]}}
    traces = read_traces(written(tmp_path, content))
    assert [t.line for t in traces] == ["belt left", "belt left", "sill left"]
    np.testing.assert_array_equal(traces[0].px, [[1.0, 2.0], [3.5, 4.0]])


@pytest.mark.parametrize(
    ("piece", "words"),
    [
        ({"px": [[1, 2], [3, 4]]}, "names no picture"),
        ({"picture": "a.jpg", "px": []}, "fewer than two points"),
        ({"picture": "a.jpg", "px": [[1, 2]]}, "fewer than two points"),
        ({"picture": "a.jpg", "px": [[1, 2], [3]]}, "not two numbers"),
        ({"picture": "a.jpg", "px": [[1, 2], ["3", 4]]}, "not two numbers"),
        ({"picture": "a.jpg", "px": [[1, 2], [float("nan"), 4]]}, "not two numbers"),
        ({"picture": "a.jpg", "px": [[1, 2], [1e9, 4]]}, "far out"),
        ("a.jpg", "names no picture"),
    ],
)
def test_a_wrong_trace_is_refused_by_its_line(tmp_path, piece, words):
    with pytest.raises(FileError, match=words) as caught:
        read_traces(written(tmp_path, {"traces": {"belt left": [piece]}}))
    assert "belt left" in str(caught.value)


@pytest.mark.parametrize("content", [{"lines": {}}, [], {"traces": [1]}, {"traces": {"a": 3}}])
def test_what_holds_no_traces_is_refused(tmp_path, content):
    with pytest.raises(FileError, match="trace"):
        read_traces(written(tmp_path, content))
