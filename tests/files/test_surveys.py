"""Tables of measured points are read in any unit, and every fault is one sentence."""

from pathlib import Path

import numpy as np
import pytest

from buckwright.errors import FileError
from buckwright.files.surveys import read_survey

GOOD = "# region: front wing\n# side: left\n# sigma: 0.3 mm\nx,y,z\n1,2,3\n4,5,6.5\n"


def written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "survey_front_wing.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_points_and_facts_are_read(tmp_path: Path) -> None:
    survey = read_survey(written(tmp_path, GOOD))
    assert (survey.name, survey.region, survey.side) == ("front wing", "front wing", "left")
    assert survey.sigma == pytest.approx(0.3)
    np.testing.assert_array_equal(survey.points, [[1, 2, 3], [4, 5, 6.5]])


def test_inches_become_millimetres(tmp_path: Path) -> None:
    survey = read_survey(written(tmp_path, GOOD.replace("x,y,z", "# units: in\nx,y,z")))
    np.testing.assert_allclose(survey.points[0], [25.4, 50.8, 76.2])
    assert survey.sigma == pytest.approx(0.3)


def test_semicolons_blank_lines_and_a_byte_order_mark_are_taken(tmp_path: Path) -> None:
    text = "\ufeff" + GOOD.replace("1,2,3", "1;2;3\n\n")
    np.testing.assert_array_equal(read_survey(written(tmp_path, text)).points[0], [1, 2, 3])


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("# region: front wing", "", "does not say which part"),
        ("side: left", "side: near", "side 'near'"),
        ("4,5,6.5", "4,5", "Line 6 of survey_front_wing.csv is not three numbers"),
        ("4,5,6.5", "4,5,nan", "not three numbers"),
        ("4,5,6.5", "4,5,wide", "not three numbers"),
    ],
)
def test_a_fault_is_named_with_its_place(tmp_path: Path, old: str, new: str, said: str) -> None:
    with pytest.raises(FileError, match=said):
        read_survey(written(tmp_path, GOOD.replace(old, new)))


def test_what_is_not_text_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "survey_x.csv"
    path.write_bytes(b"\xff\xfe\x00\xd8\x80")
    with pytest.raises(FileError, match="cannot be read as text"):
        read_survey(path)
    with pytest.raises(FileError, match="cannot be read"):
        read_survey(tmp_path / "none.csv")
