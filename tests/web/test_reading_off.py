"""Sections, distances, lines on photographs and the table as a file, as the page asks for them."""

import numpy as np
import pytest

NONSENSE = [
    ("/api/section?at=1,2,3&across=0,0,0", 422),
    ("/api/section?at=1,2&across=1,0,0", 404),
    ("/api/section?at=nan,0,0&across=1,0,0", 404),
    ("/api/section", 404),
    ("/api/section/skin?at=800,0,0&across=1,0,0", 422),
    ("/api/between?first=belt left@0.5", 404),
    ("/api/between?first=nobody@0.5&second=belt left@0.5", 404),
    ("/api/between?first=belt left@7&second=belt left@0.5", 404),
    ("/api/length?text=much", 422),
    ("/api/overlay/0000", 404),
    ("/api/offsets.csv?every=1 mm", 422),
]


def sheet(client):
    return client.get("/api/sheet/lines").json()


def test_a_station_lists_every_line_that_passes_through_it(cab):
    rows = cab.get("/api/section?at=800,0,0&across=1,0,0").json()
    names = [row["line"] for row in rows]
    assert names.count("belt left") == 1
    assert names.count("hatch left") == 2
    assert "front arch" not in names
    for row in rows:
        assert row["point"][0] == pytest.approx(800.0, abs=1e-6)
    offsets = sheet(cab)["offsets"]
    (belt,) = (row for row in offsets["rows"] if row["name"] == "belt left")
    cell = belt["at"][offsets["stations"].index(800.0)]
    (same,) = (row for row in rows if row["line"] == "belt left")
    assert [-same["point"][1], same["point"][2]] == pytest.approx(cell, abs=1e-3)


def test_from_crossing_to_crossing_is_what_the_table_of_crossings_says(cab):
    told = [row for row in sheet(cab)["crossings"] if "roof centre" in row["lines"]]
    (a, b) = told
    asked = [
        ("first" if row is a else "second", f"{name}@{share!r}")
        for row in (a, b)
        for name, share in zip(row["lines"], row["shares"], strict=True)
    ]
    got = cab.get("/api/between", params=asked).json()
    steps = np.subtract(b["point"], a["point"])
    assert got["steps"] == pytest.approx(steps, abs=0.11)
    assert got["true"] == pytest.approx(np.linalg.norm(got["steps"]))
    assert got["line"] == "roof centre"
    assert got["along"] > got["true"]


def test_nonsense_is_refused_in_a_sentence(cab):
    for address, status in NONSENSE:
        answer = cab.get(address)
        assert answer.status_code == status, address
        assert answer.json()["problem"]


def test_lengths_are_read_as_the_shop_writes_them(cab):
    assert cab.get("/api/length", params={"text": "4' 2\""}).json()["mm"] == pytest.approx(1270.0)


def test_lines_are_laid_over_every_picture_whose_camera_is_known(cab):
    pictures = sheet(cab)["pictures"]
    assert pictures
    for row in pictures:
        overlay = cab.get(f"/api/overlay/{row['sha256']}").json()
        assert overlay["measured"] == []
        for line in overlay["lines"]:
            px = np.vstack(line["pieces"])
            assert np.all(px > -0.06 * max(row["size"]))
            assert np.all(px < 1.06 * max(row["size"]))


def test_a_pulled_line_is_laid_over_as_it_was_measured_too(cab):
    digest = sheet(cab)["pictures"][0]["sha256"]
    before = cab.get(f"/api/overlay/{digest}").json()["lines"]
    typed = {"what": "offset", "line": "belt left", "station": 800.0, "which": "height"}
    table = sheet(cab)["offsets"]
    (belt,) = (row for row in table["rows"] if row["name"] == "belt left")
    was = belt["at"][table["stations"].index(800.0)][1]
    assert (
        cab.post("/api/change", json={**typed, "length": f"{was + 20:.1f} mm"}).status_code == 200
    )
    after = cab.get(f"/api/overlay/{digest}").json()
    names = {line["name"] for line in after["measured"]}
    seen = {line["name"] for line in after["lines"]}
    assert names == {"belt left", "belt right"} & seen
    old = {line["name"]: line["pieces"] for line in before}
    for line in after["measured"]:
        np.testing.assert_allclose(np.vstack(line["pieces"]), np.vstack(old[line["name"]]))


def test_the_table_goes_out_and_comes_back_with_a_figure_changed(cab):
    csv = cab.get("/api/offsets.csv?every=400 mm&unit=mm")
    assert csv.headers["content-type"].startswith("text/csv")
    rows = csv.text.splitlines()
    assert rows[0] == "line,station_mm,half_breadth_mm,height_mm"
    place = next(k for k, row in enumerate(rows) if row.startswith("belt left,800"))
    line, station, half, height = rows[place].split(",")
    rows[place] = f"{line},{station},{half},{float(height) + 5.0:.3f}"
    rows.append("nobody,800,1,1")
    done = cab.post("/api/offsets?name=board.csv", content="\n".join(rows).encode()).json()
    assert done["held"] == 1
    assert done["same"] > 10
    assert len(done["left_out"]) == 1
    assert "nobody" in done["left_out"][0]
    (pin,) = sheet(cab)["pins"]
    assert pin["reason"] == "table of offsets board.csv"
    assert pin["now"][2] == pytest.approx(float(height) + 5.0, abs=1e-3)
    assert cab.post("/api/undo").json()["done"] == "1 figures of the table of offsets held"


def test_a_file_that_is_no_table_is_refused(cab):
    answer = cab.post("/api/offsets?name=../../x.csv", content=b"\xff\xfe\x00rubbish")
    assert answer.status_code == 422
    assert answer.json()["problem"]
    assert sheet(cab)["pins"] == []
