import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from buckwright.geometry.biarc import arc_points, fit_arcs

TOLERANCE = 0.1


def wave(count=600):
    x = np.linspace(0.0, 2000.0, count)
    return np.column_stack([x, 150.0 * np.sin(x / 300.0) + 0.05 * x])


def apart(path, points, *, closed=False):
    """Greatest distance both ways between the arcs and the polyline."""
    dense = arc_points(path, step=0.4)
    line = shapely.LineString(np.vstack([points, points[:1]]) if closed else points)
    arcs = shapely.LineString(dense)
    return max(
        shapely.distance(shapely.points(dense), line).max(),
        shapely.distance(shapely.points(points), arcs).max(),
    )


def turned(points, angle=0.7):
    cosine, sine = np.cos(angle), np.sin(angle)
    return points @ np.array([[cosine, sine], [-sine, cosine]])


MOVES = {
    "turn": turned,
    "shift": lambda points: points + np.array([5e4, -3e4]),
    "mirror": lambda points: points * (1.0, -1.0),
    "reverse": lambda points: points[::-1],
}


def test_a_wave_becomes_few_arcs_within_the_tolerance():
    path = fit_arcs(wave(), tolerance=TOLERANCE)
    assert apart(path, wave()) <= 1.02 * TOLERANCE
    assert len(path.vertices) < 60
    np.testing.assert_allclose(path.vertices[[0, -1]], wave()[[0, -1]], atol=1e-12)


@pytest.mark.parametrize("move", MOVES.values(), ids=MOVES)
def test_moves_keep_the_tolerance_and_the_count_of_arcs(move):
    plain, moved = (fit_arcs(p, tolerance=TOLERANCE) for p in (wave(), move(wave())))
    assert apart(moved, move(wave())) <= 1.02 * TOLERANCE
    assert abs(len(moved.vertices) - len(plain.vertices)) <= 4


def test_scale_scales_the_vertices_and_leaves_the_bulges():
    plain = fit_arcs(wave(), tolerance=TOLERANCE)
    large = fit_arcs(8.0 * wave(), tolerance=8.0 * TOLERANCE)
    np.testing.assert_allclose(large.vertices, 8.0 * plain.vertices, atol=1e-6)
    np.testing.assert_allclose(large.bulges, plain.bulges, atol=1e-9)


def test_a_mirrored_run_bulges_the_other_way():
    plain, mirrored = (fit_arcs(p, tolerance=TOLERANCE) for p in (wave(), wave() * (1.0, -1.0)))
    np.testing.assert_allclose(mirrored.bulges, -plain.bulges, atol=1e-9)


def test_corners_of_a_rectangle_stay_and_its_sides_stay_straight():
    corners = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 50.0], [0.0, 50.0]])
    path = fit_arcs(corners, tolerance=TOLERANCE, closed=True)
    assert path.closed
    np.testing.assert_allclose(path.vertices, corners, atol=1e-12)
    np.testing.assert_allclose(path.bulges, 0.0, atol=1e-12)


def test_a_corner_inside_a_closed_run_is_met_exactly():
    angle = np.linspace(0.0, np.pi, 200)
    half = 300.0 * np.column_stack([np.cos(angle), np.sin(angle)])
    path = fit_arcs(half, tolerance=TOLERANCE, closed=True)
    assert apart(path, half, closed=True) <= 1.02 * TOLERANCE
    for end in half[[0, -1]]:
        assert np.linalg.norm(path.vertices - end, axis=1).min() < 1e-9


def test_coarse_sides_are_not_rounded_beyond_the_tolerance():
    angle = np.linspace(0.0, 2.0 * np.pi, 40, endpoint=False)
    coarse = 400.0 * np.column_stack([np.cos(angle), np.sin(angle)])
    path = fit_arcs(coarse, tolerance=TOLERANCE, closed=True)
    assert apart(path, coarse, closed=True) <= 1.02 * TOLERANCE


@settings(deadline=None, max_examples=40)
@given(
    st.lists(
        st.tuples(st.floats(-500.0, 500.0), st.floats(-500.0, 500.0)), min_size=3, max_size=12
    ),
    st.booleans(),
)
def test_any_polyline_is_kept_within_the_tolerance(corners, closed):
    points = np.array(corners)
    # Points closer than a hair are one point, and nothing is promised for a run without length.
    if np.ptp(points, axis=0).max() < 1.0:
        points = points + np.arange(len(points))[:, None]
    path = fit_arcs(points, tolerance=TOLERANCE, closed=closed)
    assert apart(path, points, closed=closed) <= 1.02 * TOLERANCE


def test_doubled_points_do_not_disturb():
    doubled = np.repeat(wave(200), 2, axis=0)
    single, double = (fit_arcs(p, tolerance=TOLERANCE) for p in (wave(200), doubled))
    np.testing.assert_allclose(double.vertices, single.vertices, atol=1e-9)


@pytest.mark.parametrize(
    ("points", "tolerance"),
    [([[0.0, 0.0], [0.0, 0.0]], 0.1), ([[0.0, 0.0]], 0.1), ([[0.0, 0.0], [1.0, 0.0]], 0.0)],
)
def test_nothing_to_fit_is_refused(points, tolerance):
    with pytest.raises(ValueError, match="arcs need"):
        fit_arcs(np.array(points), tolerance=tolerance)
