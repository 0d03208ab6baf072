"""Cutting the lines and measuring between places from the command line."""

import json
import re

import pytest

from buckwright.cli import main
from web.small_cab_job import make_cab_file


@pytest.fixture(scope="module")
def job(tmp_path_factory):
    path = tmp_path_factory.mktemp("section") / "cab.buck"
    make_cab_file(path)
    return str(path)


def told(capsys, *arguments):
    assert main(list(arguments)) == 0
    return capsys.readouterr().out


def test_a_station_and_an_upright_plane_along_it_cut_alike(job, capsys):
    station = json.loads(told(capsys, "section", job, "--station", "800 mm", "--json"))
    upright = json.loads(told(capsys, "section", job, "--through", "800,-400", "800,300", "--json"))
    pairs = zip(station["crossings"], upright["crossings"], strict=True)
    for one, same in pairs:
        assert one["line"] == same["line"]
        assert one["point"] == pytest.approx(same["point"], abs=1e-6)
    assert "belt left" in told(capsys, "section", job, "--station", "800 mm")
    assert "No line" in told(capsys, "section", job, "--level", "9 m")


def test_from_end_to_end_of_a_line_the_way_along_it_is_the_longer_one(job, capsys):
    words = told(capsys, "between", job, "roof centre@0", "roof centre@100%")
    apart, along = (float(n) for n in re.findall(r"^([\d.]+) mm", words, re.MULTILINE))
    assert along > apart


@pytest.mark.parametrize(
    "arguments",
    [
        ("section", "--through", "800,1", "800,1"),
        ("section", "--through", "800", "1,2"),
        ("section", "--station", "much"),
        ("between", "nobody@1", "belt left@2"),
        ("between", "belt left@130", "belt left@2"),
        ("between", "belt left", "belt left@2"),
    ],
)
def test_nonsense_is_refused_in_a_sentence(job, capsys, arguments):
    assert main([arguments[0], job, *arguments[1:]]) != 0
    assert capsys.readouterr().err.strip().count("\n") == 0
