"""The table of offsets on the sheet of lines, and figures typed over in it."""

import pytest


def lines(client):
    return client.get("/api/sheet/lines").json()


def cell(sheet, line, station):
    offsets = sheet["offsets"]
    (row,) = (row for row in offsets["rows"] if row["name"] == line)
    return row["at"][offsets["stations"].index(station)]


def retype(client, length, line="belt left", station=800.0, which="height"):
    typed = {"what": "offset", "line": line, "station": station, "which": which, "length": length}
    return client.post("/api/change", json=typed)


def test_a_figure_that_is_typed_over_holds_its_line_and_what_it_crosses_follows(cab):
    before = lines(cab)
    was = cell(before, "belt left", 800.0)
    answer = retype(cab, f"{was[1] + 6.0} mm")
    assert answer.json()["done"].startswith("height of 'belt left' at station 800 mm is now")
    after = lines(cab)
    assert cell(after, "belt left", 800.0)[1] == pytest.approx(was[1] + 6.0, abs=1e-3)
    (pin,) = after["pins"]
    assert pin["reason"] == "table of offsets"
    assert cab.post("/api/undo").json()["done"]
    assert cell(lines(cab), "belt left", 800.0) == pytest.approx(was, abs=1e-3)


def test_inches_are_understood_and_half_breadths_go_to_their_own_side(cab):
    was = cell(lines(cab), "belt left", 800.0)
    inches = (was[0] + 5.0) / 25.4
    assert retype(cab, f"{inches:.4f} in", which="half-breadth").status_code == 200
    assert cell(lines(cab), "belt left", 800.0)[0] == pytest.approx(was[0] + 5.0, abs=0.01)


@pytest.mark.parametrize(
    ("typed", "problem"),
    [
        ({"length": "1 mm"}, "mm apart"),
        ({"length": "much"}, "is not a length"),
        ({"length": "1000 mm", "line": "nobody's"}, "no such line"),
        ({"length": "1000 mm", "station": 90000.0}, "does not pass station"),
    ],
)
def test_nonsense_is_refused_in_a_sentence(cab, typed, problem):
    refused = retype(cab, **typed)
    assert refused.status_code == 422
    assert problem in refused.json()["problem"]


def test_what_the_line_has_already_is_no_edit(cab):
    was = cell(lines(cab), "belt left", 800.0)
    refused = retype(cab, f"{was[1]:.2f} mm")
    assert refused.status_code == 422
    assert "already" in refused.json()["problem"]


def test_views_are_listed_worst_first_with_what_each_says(cab):
    views = lines(cab)["views"]
    assert len(views) > 10
    assert [row["by"] for row in views] == sorted((row["by"] for row in views), reverse=True)
    for row in views:
        assert len(row["says"]) == len(row["views"]) == len(row["lines"]) == 2
        assert abs(row["says"][0] - row["says"][1]) <= row["by"] + 1e-6
