"""Lines against exact curves, beam theory, a hull form of the textbooks, and scipy."""

import sys
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import quad, solve_bvp
from scipy.interpolate import BSpline, make_interp_spline
from scipy.spatial import cKDTree
from scipy.special import ellipe, fresnel

from buckwright.geometry.spline import (
    basis_matrix,
    curve_length,
    even_knots,
    length_table,
    signed_curvature,
    spline_curve,
)
from buckwright.lines import apply_departures, fair_line
from buckwright.lines.batten import lay_batten
from buckwright.model.holds import LineHold
from buckwright.model.lines import Departure, Line, LineNetwork, PlacedLine


def faired(points: np.ndarray, *, closed: bool = False) -> Line:
    placed = PlacedLine(name="line", points=points, sigma=np.full(len(points), 0.01), closed=closed)
    return fair_line(placed)


def clothoid(u: np.ndarray) -> np.ndarray:
    """Fresnel integrals scaled by 1500 mm (DLMF 7.2): curvature pi u / 1500, length 1500 u."""
    s, c = fresnel(u)
    return 1500.0 * np.column_stack([c, np.zeros_like(u), s])


def test_a_clothoid_is_followed_with_its_linear_curvature() -> None:
    line = faired(clothoid(np.linspace(0.0, 1.2, 61)))
    curve = line.curve()
    assert curve_length(curve) == pytest.approx(1800.0, abs=0.05)
    at = np.linspace(0.0, 1.0, 801)
    gap, _ = cKDTree(clothoid(np.linspace(-0.01, 1.21, 60001))).query(curve(at))
    assert gap.max() < 0.05
    knots, lengths = length_table(curve)
    u = np.interp(at, knots, lengths) / 1500.0
    inside = (u > 0.1) & (u < 1.1)
    bend = np.abs(signed_curvature(curve, at))
    np.testing.assert_allclose(bend[inside], np.pi * u[inside] / 1500.0, rtol=0.02)


@pytest.mark.parametrize(("a", "b"), [(500.0, 300.0), (800.0, 790.0), (600.0, 200.0)])
def test_an_ellipse_has_its_perimeter(a: float, b: float) -> None:
    """4 a E(e^2), DLMF 19.30.5."""
    turn = 2.0 * np.pi * np.arange(160) / 160
    line = faired(
        np.column_stack([a * np.cos(turn), 0 * turn - 700.0, b * np.sin(turn)]), closed=True
    )
    exact = 4.0 * a * ellipe(1.0 - (b / a) ** 2)
    assert curve_length(line.curve()) == pytest.approx(exact, rel=1e-4)


def test_a_thin_batten_over_three_weights_is_followed_with_its_curvature() -> None:
    """Euler's elastica, theta'' = -c cos(theta), from one end, free to turn, over a weight in the
    middle to the other: no bending moment at the ends, deflections far beyond small ones (a fifth
    of the span). Solved as a boundary value problem by scipy; A. E. H. Love, 'A Treatise on the
    Mathematical Theory of Elasticity', chapter XIX.
    """
    half, load = 1000.0, 1.2

    def bent(s: np.ndarray, y: np.ndarray) -> np.ndarray:
        return np.vstack([y[1], load * np.cos(y[0]), np.cos(y[0]), np.sin(y[0])])

    def held(start: np.ndarray, end: np.ndarray) -> np.ndarray:
        return np.array([start[0], end[1], start[2], start[3]])

    found = solve_bvp(bent, held, np.linspace(0, 1, 50), np.zeros((4, 50)), tol=1e-10)
    assert found.success

    def exact(s: np.ndarray) -> np.ndarray:
        _, _, x, z = found.sol(np.abs(s))
        return half * np.column_stack([np.sign(s) * x, 0 * s, z])

    line = faired(exact(np.linspace(-1.0, 1.0, 81)))
    curve = line.curve()
    at = np.linspace(0.0, 1.0, 801)
    gap, _ = cKDTree(exact(np.linspace(-1.01, 1.01, 60001))).query(curve(at))
    assert gap.max() < 0.05
    knots, lengths = length_table(curve)
    s = np.interp(at, knots, lengths) / half - 1.0
    bend = np.abs(signed_curvature(curve, at))
    exact_bend = np.abs(found.sol(np.abs(s))[1]) / half
    # Over the weight the curvature has a kink, which a curve of continuous third derivative rounds.
    clear = (np.abs(s) > 0.08) & (np.abs(s) < 0.95)
    np.testing.assert_allclose(bend[clear], exact_bend[clear], atol=0.02 * exact_bend.max())


def test_a_corner_held_line_keeps_each_exact_side() -> None:
    """A quarter of a circle of 400 mm, and from there on the other way round another."""
    turn = np.linspace(0.0, 0.5 * np.pi, 61)
    first = np.column_stack([400 * np.sin(turn), 0 * turn, 400 * (1 - np.cos(turn))])
    second = first[-1] + np.column_stack([300 * np.sin(turn), 0 * turn, 300 * (np.cos(turn) - 1)])
    points = np.vstack([first, second[1:]])
    share = 400.0 / 700.0
    line = fair_line(
        PlacedLine(name="line", points=points, sigma=np.full(121, 0.01), closed=False),
        hold=LineHold(line="line", corners=(share,)),
    )
    (corner,) = line.corners
    assert np.linalg.norm(line.curve()(corner) - first[-1]) < 0.1
    for low, high, radius in ((0.05, corner - 0.05, 400.0), (corner + 0.05, 0.95, 300.0)):
        bend = np.abs(signed_curvature(line.curve(), np.linspace(low, high, 200)))
        np.testing.assert_allclose(bend, 1.0 / radius, rtol=0.01)


def circle(radius: float, count: int = 120) -> Line:
    turn = 2.0 * np.pi * np.arange(count) / count
    return faired(
        np.column_stack([radius * np.cos(turn), 0 * turn - 640.0, radius * np.sin(turn)]),
        closed=True,
    )


def test_a_circle_has_constant_curvature_and_costs_no_bending() -> None:
    line = circle(215.0)
    bend = signed_curvature(line.curve(), np.linspace(0.0, 1.0, 900))
    np.testing.assert_allclose(bend, 1.0 / 215.0, rtol=2e-3)
    assert line.curvature_extrema == 0
    radius = np.linalg.norm(line.points(400)[:, [0, 2]], axis=1)
    np.testing.assert_allclose(radius, 215.0, atol=0.01)


def test_least_change_of_curvature_through_supports_is_the_natural_quintic_spline() -> None:
    """In the small-slope limit: Schoenberg, 'Spline functions and the problem of graduation',
    PNAS 52 (1964); scipy's interpolating spline of degree five with y''' = y'''' = 0 at its ends.
    """
    x = np.array([0.0, 130.0, 300.0, 420.0, 600.0, 780.0, 900.0, 1000.0])
    y = np.array([0.0, 0.4, -0.3, 0.5, 0.1, -0.6, 0.2, 0.3])
    ends = [(3, 0.0), (4, 0.0)]
    natural = make_interp_spline(x, y, k=5, bc_type=(ends, ends))
    batten = lay_batten(
        np.column_stack([x, y, 0 * x]),
        np.full(8, 0.01),
        x,
        start=0.0,
        end=1000.0,
        count=80,
        closed=False,
    )
    points = batten.curve(batten.bend(np.full(2, 100.0 * batten.floor)))(
        np.linspace(0.0, 1000.0, 501)
    )
    np.testing.assert_allclose(points[:, 1], natural(points[:, 0]), atol=2e-3)


@pytest.mark.parametrize("closed", [False, True])
def test_bases_and_lengths_agree_with_scipy(closed: bool) -> None:
    knots = even_knots(15, 3, 0.0, 7.0, closed=closed)
    at = np.linspace(0.0, 6.99, 80)
    every = BSpline.design_matrix(at, knots, 3).toarray()
    if closed:
        every[:, :3] += every[:, 15:]
    np.testing.assert_allclose(basis_matrix(knots, 3, at, closed=closed), every[:, :15], atol=1e-14)
    turn = 2.0 * np.pi * np.arange(15) / 15
    control = np.column_stack([90 * np.cos(turn), 60 * np.sin(turn), 9 * np.cos(2 * turn)])
    curve = spline_curve(knots, control, 3, closed=closed)
    length, _ = quad(
        lambda t: np.linalg.norm(curve(t, nu=1)), 0.0, 7.0, points=np.arange(1.0, 7.0), limit=300
    )
    assert curve_length(curve) == pytest.approx(length, rel=1e-8)


def test_a_circle_stretched_outside_its_zone_stays_the_same_circle() -> None:
    line = circle(400.0)
    departure = Departure(name="longer", reason="", axis="x", start=-60.0, end=60.0, by=30.0)
    (after,) = apply_departures(LineNetwork(lines=(line,), crossings=()), (departure,)).lines
    before, now = line.points(4001), after.points(4001)
    for side, shift in ((before[:, 0] <= -60.0, 0.0), (before[:, 0] >= 60.0, 30.0)):
        about = np.linalg.norm(now[side][:, [0, 2]] - [shift, 0.0], axis=1)
        was = np.linalg.norm(before[side][:, [0, 2]], axis=1)
        np.testing.assert_allclose(about, was, atol=1e-9)


def wigley(x: np.ndarray, z: np.ndarray) -> np.ndarray:
    """Half-breadth of the Wigley form: length 2400, beam 640, depth 400 (mm)."""
    return 320.0 * (1.0 - (2.0 * x / 2400.0) ** 2) * (1.0 - (z / 400.0) ** 2)


def test_waterlines_of_a_wigley_form_give_its_offsets_between_the_stations() -> None:
    """y = B/2 (1 - (2x/L)^2)(1 - (z/T)^2): ship hydrodynamics' standard mathematical form."""
    x = np.linspace(-1200.0, 1200.0, 41)
    between = np.linspace(-1100.0, 1100.0, 37)
    for level in (0.0, 100.0, 200.0, 300.0):
        z = np.full_like(x, level)
        line = faired(np.column_stack([x, wigley(x, z), z]))
        fine = line.points(20001)
        offsets = np.interp(between, fine[:, 0], fine[:, 1])
        np.testing.assert_allclose(offsets, wigley(between, 0 * between + level), atol=0.02)


@pytest.mark.parametrize("station", [0.0, 500.0, 900.0])
def test_section_lines_of_a_wigley_form_hold_its_section_area(station: float) -> None:
    """The area between section and centre plane is 2/3 T y(x, 0)."""
    z = np.linspace(0.0, 400.0, 31)
    line = faired(np.column_stack([np.full_like(z, station), wigley(0 * z + station, z), z]))
    fine = line.points(20001)
    area = np.trapezoid(fine[:, 1], fine[:, 2])
    exact = 2.0 / 3.0 * 400.0 * wigley(np.array(station), np.array(0.0))
    assert area == pytest.approx(float(exact), rel=1e-4)


@pytest.mark.slow
def test_noisy_lines_lose_half_their_error_and_their_false_turns_better_than_scipys_splines() -> (
    None
):
    """A hundred lines of five exact shapes, 30 to 200 points, errors of 3 mm.

    `bench/lines.py` prints the same for two hundred.
    `make_smoothing_spline` and `splprep` are given the smoothing that is nearest to the truth.
    """
    sys.path.insert(0, str(Path(__file__).parents[2]))
    from bench.lines import compare

    found = compare(draws=5)
    ours = found["buckwright"]
    assert len(ours) == 100
    assert np.mean(ours[:, 3] <= 0) >= 0.95
    for count in (30, 60, 120, 200):
        rows = ours[:, 0] == count
        assert np.mean(ours[rows, 1]) <= 0.5 * np.mean(ours[rows, 2])
        for peer in ("make_smoothing_spline, best", "splprep, best"):
            assert np.mean(ours[rows, 1]) <= np.mean(found[peer][rows, 1])
    for peer in ("make_smoothing_spline, best", "splprep, best"):
        assert np.mean(ours[:, 3] <= 0) > np.mean(found[peer][:, 3] <= 0)
