import numpy as np
import pytest
import shapely

from buckwright.geometry.mesh import MeshLocator
from buckwright.geometry.polyline import arc_lengths
from buckwright.model.panels import Panel, Panels, PanelSpec, SheetStock
from buckwright.panels import flatten_panel, make_panels
from buckwright.panels.marks import match_marks
from discs_on_paper import as_panel, as_skin, cap, grid, wing

SHEET = SheetStock(alloy="3003-H14", thickness=1.27)
SPECS = (
    PanelSpec(name="nose", region="front wing", below=(("x", -160.0),)),
    PanelSpec(name="tail", region="front wing", above=(("x", -160.0),), grain="short"),
)


def place(panel: Panel, flat: np.ndarray, at: tuple[float, float]) -> np.ndarray:
    """Where a point of the blank lies on the panel."""
    level = np.column_stack([flat, np.zeros(len(flat))])
    _, _, triangle, weights = MeshLocator(level, panel.triangles).closest(np.array([[*at, 0.0]]))
    return weights[0] @ panel.vertices[panel.triangles[triangle[0]]]


@pytest.fixture(scope="module")
def made() -> Panels:
    return make_panels(SPECS, as_skin(wing(10), "front wing"), SHEET)


def test_a_match_mark_is_the_same_point_of_the_seam_on_both_panels(made: Panels) -> None:
    for side in ("left", "right"):
        check_seam(made, side)
    letters = {m.text[0] for blank in made.blanks for m in blank.marks if m.kind == "match"}
    assert letters == {"A", "B"}


def check_seam(made: Panels, side: str) -> None:
    chosen = [k for k, panel in enumerate(made.panels) if panel.side == side]
    panels, blanks = [made.panels[k] for k in chosen], [made.blanks[k] for k in chosen]
    marks = [[m for m in blank.marks if m.kind == "match"] for blank in blanks]
    assert [m.text for m in marks[0]] == [m.text for m in marks[1]]
    assert len(marks[0]) == 2
    assert {m.neighbour for m in marks[0]} == {f"tail {side}"}
    assert {m.neighbour for m in marks[1]} == {f"nose {side}"}
    for here, there in zip(*marks, strict=True):
        one, other = (
            place(panel, blank.flat, mark.at)
            for panel, blank, mark in zip(panels, blanks, (here, there), strict=True)
        )
        assert one == pytest.approx(other, abs=1e-6)
        assert one[0] == pytest.approx(-160.0, abs=1e-6)


def test_match_marks_stand_at_equal_lengths_along_the_seam(made: Panels) -> None:
    panel, blank, rim = made.panels[0], made.blanks[0], made.edge_vertices[0]
    on = np.flatnonzero(np.abs(panel.vertices[rim, 0] + 160.0) < 1e-9)
    seam = rim[on[np.argsort(panel.vertices[rim[on], 1])]]
    length = arc_lengths(panel.vertices[seam])[-1]
    places = np.array([place(panel, blank.flat, m.at) for m in blank.marks if m.kind == "match"])
    along = np.sort([_along(panel.vertices[seam], p) for p in places])
    assert along == pytest.approx(length * np.array([1.0, 2.0]) / 3.0, rel=1e-6)


def _along(line: np.ndarray, point: np.ndarray) -> float:
    return float(shapely.LineString(line[:, 1:]).project(shapely.Point(point[1:])))


def test_panels_that_do_not_touch_have_no_match_marks() -> None:
    blank = flatten_panel(as_panel(wing(8)), SHEET, allowance=0.0)
    assert not [m for m in blank.marks if m.kind == "match"]


def test_marks_point_away_from_the_metal_and_stand_on_the_trim_line(made: Panels) -> None:
    for blank in made.blanks:
        shape = shapely.Polygon(blank.net_outline)
        assert len(blank.marks) > 5
        for mark in blank.marks:
            at, out = np.array(mark.at), np.array(mark.outward)
            assert np.linalg.norm(out) == pytest.approx(1.0)
            assert shape.exterior.distance(shapely.Point(at)) < 1e-6
            assert shape.contains(shapely.Point(at - 2.0 * out))
            assert not shape.contains(shapely.Point(at + 2.0 * out))


def test_datum_marks_stand_at_even_stations_and_levels() -> None:
    panel = as_panel(wing(12))
    blank = flatten_panel(panel, SHEET, allowance=0.0)
    assert {"x 0", "x -200", "z 600"} <= {mark.text for mark in blank.marks}
    for mark in blank.marks:
        axis, value = mark.text.split()
        there = place(panel, blank.flat, mark.at)
        assert there["xyz".index(axis)] == pytest.approx(float(value), abs=1e-6)


def test_the_centre_line_lies_where_the_panel_crosses_the_centre_plane() -> None:
    vertices, triangles = wing(12)
    panel = as_panel((vertices + np.array([0.0, 715.0, 0.0]), triangles))
    blank = flatten_panel(panel, SHEET, allowance=0.0)
    (line,) = blank.centre_line
    for at in line:
        assert place(panel, blank.flat, (at[0], at[1]))[1] == pytest.approx(0.0, abs=1e-6)
    ends = [m for m in blank.marks if m.kind == "centre"]
    assert [m.text for m in ends] == ["centre line", "centre line"]
    gaps = [min(np.linalg.norm(np.array(m.at) - e) for e in line[[0, -1]]) for m in ends]
    assert max(gaps) < 1e-6
    assert flatten_panel(as_panel(wing(6)), SHEET, allowance=0.0).centre_line == ()


def test_a_seam_all_round_is_marked_too() -> None:
    top, triangles = cap(8, 0.5)
    middle = triangles[np.arange(len(triangles)) < 6 * 5 * 5]
    ring = triangles[np.arange(len(triangles)) >= 6 * 5 * 5]
    used, packed = np.unique(ring, return_inverse=True)
    made = [
        as_panel((top[: middle.max() + 1], middle), "lid"),
        as_panel((top[used], packed.reshape(-1, 3)), "rim"),
    ]
    blanks = [flatten_panel(panel, SHEET, allowance=0.0) for panel in made]
    lid, rim = match_marks(made, blanks)
    assert [m.text for m in lid] == [m.text for m in rim]
    assert len(lid) >= 7
    assert len(blanks[1].openings) == 1


def test_left_and_right_meet_at_the_centre_plane() -> None:
    half = grid(
        lambda u, v: np.column_stack([u, v, 30.0 * np.cos(v / 200.0)]),
        np.linspace(0.0, 400.0, 9),
        np.linspace(0.0, 200.0, 6),
    )
    right = as_panel(half, "lid right")
    # Mirrored, its zeros of y are minus zeros.
    left = as_panel((half[0] * [1.0, -1.0, 1.0], half[1][:, [0, 2, 1]]), "lid left")
    blanks = [flatten_panel(panel, SHEET, allowance=0.0) for panel in (left, right)]
    here, there = match_marks((left, right), blanks)
    assert [m.text for m in here] == [m.text for m in there] == ["A1", "A2", "A3"]
