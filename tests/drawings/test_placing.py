import numpy as np
import shapely
from hypothesis import given
from hypothesis import strategies as st

from buckwright.drawings.placing import place_names, spread_apart
from buckwright.model.drawings import Stroke


@given(st.lists(st.floats(0.0, 1000.0), max_size=20), st.floats(0.5, 50.0))
def test_spread_marks_keep_their_order_and_their_distance(wanted, gap):
    ordered = np.sort(np.array(wanted))
    spread = spread_apart(ordered, gap)
    assert len(spread) == len(ordered)
    assert np.all(np.diff(spread) >= gap - 1e-9)


def test_marks_with_room_stay_where_they_are():
    wanted = np.array([0.0, 30.0, 100.0])
    np.testing.assert_allclose(spread_apart(wanted, 20.0), wanted)


def test_two_marks_at_one_place_part_evenly():
    np.testing.assert_allclose(spread_apart(np.array([50.0, 50.0]), 20.0), [40.0, 60.0])


def test_names_of_lines_side_by_side_keep_clear_of_lines_and_each_other():
    x = np.linspace(0.0, 1000.0, 50)
    lines = [(f"line number {k}", np.column_stack([x, np.full(50, 40.0 * k)])) for k in range(6)]
    strokes = [Stroke(ink="outline", points=points) for _, points in lines]
    rooms = [shapely.Polygon(w.corners()) for w in place_names(lines, strokes, 10.0)]
    assert not any(a.intersects(b) for i, a in enumerate(rooms) for b in rooms[:i])
    drawn = [shapely.LineString(points) for _, points in lines]
    assert not any(room.intersects(line) for room in rooms for line in drawn)


def test_a_name_reads_from_below_whichever_way_its_line_runs():
    for angle in np.linspace(0.0, 2.0 * np.pi, 13):
        along = np.array([np.cos(angle), np.sin(angle)])
        points = np.linspace(0.0, 800.0, 30)[:, None] * along
        (label,) = place_names([("belt", points)], [], 10.0)
        assert -np.pi / 2 < label.angle <= np.pi / 2 + 1e-6
