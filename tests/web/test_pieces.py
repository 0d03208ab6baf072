"""A drawing in pieces on the page: marks, the joined sheet, its scale, lines across the pieces."""

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from buckwright.flow.views import view_named
from buckwright.model.job import Job
from buckwright.store import JobFile
from buckwright.views import square_view, view_curves
from web.drawn_pieces import BELT, MARKS, PIECES, WHEELS, piece_png, shared_marks, to_piece


@pytest.fixture
def drawn_path(tmp_path):
    path = tmp_path / "drawn.buck"
    JobFile.create(path, Job(name="Drawn")).close()
    return path


@pytest.fixture
def drawn(drawn_path, open_client):
    client = open_client(drawn_path)
    for name in PIECES:
        sent = client.post(
            f"/api/views?name=sheet&seen_from=left&drawing=yes&file={name}", content=piece_png(name)
        )
        assert sent.status_code == 200, sent.text
    return client


def change(client, what, **typed):
    return client.post("/api/change", json={"what": what, "name": "sheet", **typed})


def row(client):
    (found,) = client.get("/api/sheet/pictures").json()["views"]
    return found


def mark_all(client, *, moved=None):
    """Every shared mark set exactly, but one that `moved` puts 9 px to the right in its piece."""
    for mark, places in shared_marks().items():
        for piece, (u, v) in places.items():
            off = 9.0 if (mark, piece) == moved else 0.0
            done = change(client, "view mark", picture=piece, mark=mark, px=[u + off, v])
            assert done.status_code == 200, done.text


def on_sheet(client, places):
    """Pixels of the joined sheet for places of the drawing, by its marks."""
    sheet = row(client)["sheet"]
    told = {one["name"]: one["at"] for one in sheet["places"]}
    names = sorted(told)
    plane = np.array([[*MARKS[n], 1.0] for n in names])
    matrix = np.linalg.lstsq(plane, np.array([told[n] for n in names]), rcond=None)[0]
    return (np.column_stack([places, np.ones(len(places))]) @ matrix).tolist()


def test_pieces_wait_for_two_shared_marks_and_are_then_one_sheet(drawn):
    assert "shares fewer than two marks" in row(drawn)["sheet_why"]
    assert drawn.get("/api/view/sheet/sheet.jpg").status_code == 404
    mark_all(drawn)
    sheet = row(drawn)["sheet"]
    # Pixels of the first piece: exact but for rounding, whatever was scanned askew or smaller.
    assert max(max(place["off"]) for place in sheet["places"]) < 1e-6
    assert {place["grade"] for place in sheet["places"]} == {"good"}
    assert not sheet["to_scale"]
    assert "Nothing puts the view 'sheet' to scale." in sheet["why"]
    assert sheet["findings"] == []
    jpeg = drawn.get("/api/view/sheet/sheet.jpg")
    assert list(Image.open(BytesIO(jpeg.content)).size) == sheet["size"]


def test_the_joined_sheet_shows_one_mark_set_wrongly_first_and_how_far(drawn):
    mark_all(drawn, moved=("crossing e", "right.png"))
    sheet = row(drawn)["sheet"]
    first, *others = sheet["places"]
    # Least squares alone would name another; without this one the others agree exactly.
    assert first["name"] == "crossing e"
    assert first["rest"] < 1e-6
    assert min(one["rest"] for one in others) > 0.2
    assert 1.0 < max(first["off"]) < 9.0
    assert first["grade"] != "good"
    assert sheet["findings"] == []


def test_three_marks_show_that_one_is_off_but_not_which(drawn):
    mark_all(drawn, moved=("crossing b", "middle.png"))
    (told,) = row(drawn)["sheet"]["findings"]
    assert told["code"] == "mark-not-told"
    assert "'crossing a', 'crossing b' and 'crossing c'" in told["message"]


def test_two_marks_alone_are_said_to_prove_nothing(drawn):
    for mark in ("crossing a", "crossing b", "crossing d", "crossing e"):
        for piece, px in shared_marks()[mark].items():
            change(drawn, "view mark", picture=piece, mark=mark, px=px)
    told = row(drawn)["sheet"]["findings"]
    assert [one["where"] for one in told] == ["left.png", "right.png"]
    assert "by two marks only" in told[0]["message"]


def test_the_sheet_is_scaled_over_two_pieces_and_a_line_traced_across_all(drawn, drawn_path):
    mark_all(drawn)
    ends = on_sheet(drawn, WHEELS)
    done = change(
        drawn, "view square", picture="", seen_from="left", wheels=ends, wheelbase="2220 mm",
        wheel_height="310 mm",
    )  # fmt: skip
    assert done.status_code == 200, done.text
    told = row(drawn)
    assert told["sheet"]["to_scale"]
    assert told["squared"]["residual"] < 0.01
    # Half a millimetre of paper to a pixel, three to one.
    assert told["squared"]["mm_per_px"] == pytest.approx(1.5, rel=1e-4)
    px = on_sheet(drawn, BELT)
    done = change(drawn, "view trace", picture="", line="belt", px=px)
    assert done.status_code == 200, done.text
    # The trace lies in one piece, far beyond its edge; on the sheet it is where it was clicked.
    (trace,) = row(drawn)["sheet"]["traces"]
    assert np.abs(np.array(trace["px"]) - px).max() < 0.1
    with JobFile.open(drawn_path) as file:
        view = view_named(file.job(), "sheet")
    (curve,) = view_curves(view, square_view(view))
    true = [(1.5 * (x - WHEELS[0][0]), 310.0 - 1.5 * (y - WHEELS[0][1])) for x, y in BELT]
    assert np.abs(curve.points[[0, -1]] - [true[0], true[-1]]).max() < 0.05
    # What stands on the sheet comes back in its pixels, and undo takes one step.
    assert np.abs(np.array(told["sheet"]["known"]) - on_sheet(drawn, WHEELS)).max() < 0.05
    assert drawn.post("/api/undo").status_code == 200
    assert row(drawn)["traces"] == []


def test_a_piece_is_squared_by_its_grid_with_typed_places_or_a_rectangle(drawn):
    corners = [to_piece("left.png", [at])[0].tolist() for at in
               ((50, 850), (750, 850), (750, 50), (50, 50), (450, 450))]  # fmt: skip
    places = [["0", "0"], ["350 mm", "0"], ["350", "400"], ["0", "40 cm"], ["200", "200"]]
    asked = {"picture": "left.png", "corners": corners}
    assert change(drawn, "piece corners", **asked, places=places).status_code == 200
    kept = row(drawn)["pictures"][0]
    assert kept["corners_at"] == [[0, 0], [350, 0], [350, 400], [0, 400], [200, 200]]
    assert len(kept["corners"]) == 5
    four = {"picture": "left.png", "corners": corners[:4], "width": "350 mm", "height": "400 mm"}
    assert change(drawn, "piece corners", **four).status_code == 200
    assert change(drawn, "piece corners", picture="left.png", corners=[]).status_code == 200
    assert row(drawn)["pictures"][0]["corners"] == []


@pytest.mark.parametrize(
    ("what", "typed", "told"),
    [
        ("view mark", {"picture": "left.png", "mark": " ", "px": [5, 5]}, "needs a name"),
        ("view mark", {"picture": "left.png", "mark": "a", "px": [5, 5000]}, "lies outside of"),
        ("piece corners", {"picture": "left.png", "corners": [[1, 1], [2, 900]]}, "only 2 corners"),
        (
            "piece corners",
            {"picture": "left.png", "corners": [[1, 1], [90, 1], [90, 90], [1, 90], [50, 50]]},
            "need a place each",
        ),
        (
            "piece corners",
            {
                "picture": "left.png",
                "corners": [[1, 90], [90, 90], [90, 1], [1, 1]],
                "places": [["0", "0"], ["1 m", "0"], ["1 m", ""], ["0", "1 m"]],
            },
            "have no place",
        ),
    ],
)
def test_nonsense_is_refused_with_one_sentence_and_changes_nothing(drawn, what, typed, told):
    before = row(drawn)
    refused = change(drawn, what, **typed)
    assert refused.status_code == 422
    assert told in refused.json()["problem"]
    assert row(drawn) == before


def test_a_piece_is_taken_out_with_what_rests_on_it(drawn):
    mark_all(drawn)
    assert change(drawn, "view unmark", mark="crossing a").status_code == 200
    assert "crossing a" not in {m["name"] for p in row(drawn)["pictures"] for m in p["marks"]}
    assert change(drawn, "piece out", picture="right.png").status_code == 200
    assert [p["name"] for p in row(drawn)["pictures"]] == ["left.png", "middle.png"]
    assert [place["name"] for place in row(drawn)["sheet"]["places"]] != []
    change(drawn, "piece out", picture="middle.png")
    last = change(drawn, "piece out", picture="left.png")
    assert "the last piece" in last.json()["problem"]


def test_a_photograph_of_a_thing_is_never_pieced(drawn):
    path = "/api/views?name=side&seen_from=left&file=side.png"
    assert drawn.post(path, content=piece_png("left.png")).status_code == 200
    sent = {"what": "view mark", "name": "side", "picture": "side.png", "mark": "a", "px": [5, 5]}
    refused = drawn.post("/api/change", json=sent)
    assert refused.status_code == 422
    assert "is a picture of a thing" in refused.json()["problem"]
    again = drawn.post(path.replace("file=side", "file=more"), content=piece_png("right.png"))
    assert "There is a view 'side' already." in again.json()["problem"]
