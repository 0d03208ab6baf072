"""Bend tables, spring-back and pushes against independent walks, tables and beam theory."""

import csv
from io import StringIO
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import quad, solve_ivp
from scipy.optimize import fsolve
from scipy.spatial.transform import Rotation

from buckwright.buck.bending import bend_wires
from buckwright.buck.pushing import rod_stiffness, spring_rod
from buckwright.buck.springback import (
    elastic_radius,
    forming_radius,
    forming_sheet_radius,
    kept_share,
    kept_share_of_sheet,
    released_sheet_radius,
)
from buckwright.files.bend_tables import bends_csv
from buckwright.geometry.polyline import closest_on_polyline
from buckwright.model.buck import Buck, BuckSpec, CuttingPlan, Wire, WireSpec
from buckwright.tables.steel import rod_mass_per_mm

Array = NDArray[np.float64]
DATA = Path(__file__).parents[1] / "data"
SPEC = BuckSpec(wires=(WireSpec(name="any", region="any", line="any"),), rod_yield=370.0)
EMPTY = CuttingPlan(stock="rod", bars=(), bars_bound=0, kerf=0.0, proven=True)


def _rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


# --- The table, walked by somebody else ---------------------------------------------------------


def _helix(t: Array) -> Array:
    return np.column_stack([90.0 * t, 300.0 * np.cos(t), 300.0 * np.sin(t)])


def _knot(t: Array) -> Array:
    ring = 500.0 + 145.0 * np.cos(3.0 * t)
    return np.column_stack(
        [ring * np.cos(2.0 * t), ring * np.sin(2.0 * t), 145.0 * np.sin(3.0 * t)]
    )


def _arch(t: Array) -> Array:
    """A body section: a superellipse of degree 4, flat to within nothing."""
    c, s = np.cos(t), np.sin(t)
    return np.column_stack(
        [0.0 * t, 660.0 * np.sign(c) * np.sqrt(np.abs(c)), 1200.0 * np.sqrt(np.abs(s))]
    )


def _wing_edge(t: Array) -> Array:
    return np.column_stack(
        [420.0 * np.cos(t), 40.0 * np.sin(2.0 * t) + 15.0 * np.cos(t), 260.0 * np.sin(t)]
    )


def _winding(t: Array) -> Array:
    """Bends one way and then the other, slowly leaving its plane."""
    return np.column_stack([1200.0 * t, 120.0 * np.sin(5.0 * t), 60.0 * t * t * t])


SHAPES = {
    "helix": (_helix, 0.0, 5.0, False),
    "torus knot": (_knot, 0.0, 2.0 * np.pi, True),
    "arch": (_arch, 0.02, np.pi - 0.02, False),
    "wing edge": (_wing_edge, 0.0, 2.0 * np.pi, True),
    "winding": (_winding, 0.0, 1.5, False),
}


def _axis(name: str) -> tuple[Array, bool]:
    curve, first, last, closed = SHAPES[name]
    fine = curve(np.linspace(first, last, 40_001))
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(fine, axis=0), axis=1))])
    count = int(along[-1] / 4.0)
    at = np.linspace(0.0, along[-1], count + 1)
    points = np.column_stack([np.interp(at, along, fine[:, k]) for k in range(3)])
    return (points[:-1] if closed else points), closed


def _wire(name: str, axis: Array, *, closed: bool = False, least: float = 100.0) -> Wire:
    ends = np.vstack([axis, axis[:1]]) if closed else axis
    length = float(np.linalg.norm(np.diff(ends, axis=0), axis=1).sum())
    return Wire(
        name=name, line=name, region="body", side="whole", layer=0, diameter=6.35, axis=axis,
        closed=closed, length=length, cut_length=length + 20.0, set_in=4.4, least_radius=least,
        form_radius=1.0, sprung=least > elastic_radius(6.35, 370.0), mass=1.0,
    )  # fmt: skip


def _bent(wire: Wire) -> Wire:
    (bent,) = bend_wires(SPEC, [wire], (), ())
    return bent


def _walked(rows: list[dict[str, str]], start: Array, along: Array, towards: Array) -> Array:
    """Points of the rod by the printed figures only: turn about the rod, then about the normal."""
    place, turned = start.copy(), Rotation.from_matrix(np.stack([along, towards,
        np.cross(along, towards)], axis=1))  # fmt: skip
    points = [place]
    for row in rows:
        length = float(row["length_mm"])
        steps = int(np.ceil(length / 0.5))
        if row["radius_mm"] == "straight":
            way = turned.apply([1.0, 0.0, 0.0])
            points += [place + way * length * k / steps for k in range(1, steps + 1)]
        else:
            radius = float(row["radius_mm"])
            turned = turned * Rotation.from_euler("x", float(row["roll_deg"]), degrees=True)
            centre = place + turned.apply([0.0, radius, 0.0])
            normal = turned.apply([0.0, 0.0, 1.0])
            for k in range(1, steps + 1):
                swing = Rotation.from_rotvec(normal * length / radius * k / steps)
                points.append(centre + swing.apply(place - centre))
            turned = Rotation.from_rotvec(normal * length / radius) * turned
        place = points[-1]
    return np.array(points)


def _buck_of(*wires: Wire) -> Buck:
    return Buck(
        wires=wires, tacks=(), members=(), posts=(), rod_plan=EMPTY, tube_plan=EMPTY, mass=0.0,
        frame_clearance=0.0,
    )  # fmt: skip


@pytest.mark.parametrize("name", list(SHAPES))
def test_a_rod_bent_by_the_printed_table_alone_lies_on_the_axis(name: str) -> None:
    axis, closed = _axis(name)
    wire = _bent(_wire(name, axis, closed=closed))
    assert wire.bending is not None
    rows = list(csv.DictReader(StringIO(bends_csv(_buck_of(wire)))))
    walked = _walked(rows, wire.bending.start, wire.bending.along, wire.bending.towards)
    there = closest_on_polyline(walked, axis, closed=closed)[0].max()
    back = closest_on_polyline(axis, walked)[0].max()
    assert max(there, back) <= 0.5
    assert wire.bending.off == pytest.approx(max(there, back), abs=0.03)
    assert sum(float(row["length_mm"]) for row in rows) == pytest.approx(wire.length, rel=1e-3)


def test_pieces_share_their_direction_and_a_flat_rod_is_only_turned_over() -> None:
    axis, closed = _axis("arch")
    arch = _bent(_wire("arch", axis, closed=closed)).bending
    assert arch is not None
    assert arch.off_plane < 1e-9
    assert {abs(piece.rotation_deg) for piece in arch.pieces} <= {0.0, 180.0}
    x = np.linspace(0.0, 1200.0, 301)
    snake = _bent(_wire("snake", np.column_stack([x, 120.0 * np.sin(x / 150.0), 0.0 * x]))).bending
    assert snake is not None
    assert {abs(piece.rotation_deg) for piece in snake.pieces} == {0.0, 180.0}


def test_arcs_and_straights_are_found_as_they_were_put() -> None:
    """Straight 300, arc R 200 through 60 degrees, straight 200, arc R 400 across it."""
    first = np.column_stack([np.linspace(0.0, 300.0, 61), np.zeros(61), np.zeros(61)])
    swing = np.linspace(0.0, np.pi / 3.0, 60)[1:]
    second = np.column_stack(
        [300.0 + 200.0 * np.sin(swing), 200.0 * (1.0 - np.cos(swing)), 0.0 * swing]
    )
    way = np.array([0.5, np.sqrt(0.75), 0.0])
    third = second[-1] + np.linspace(0.0, 200.0, 41)[1:, None] * way
    swing = np.linspace(0.0, 0.8, 80)[1:, None]
    fourth = third[-1] + 400.0 * (np.sin(swing) * way + (1.0 - np.cos(swing)) * [0.0, 0.0, 1.0])
    bending = _bent(_wire("pieces", np.vstack([first, second, third, fourth]))).bending
    assert bending is not None
    assert bending.off <= 0.5
    assert sum(p.turn_deg for p in bending.pieces) == pytest.approx(60.0 + np.degrees(0.8), abs=1.5)
    assert bending.pieces[0].radius == 0.0
    assert bending.pieces[0].length == pytest.approx(300.0, abs=10.0)
    assert bending.pieces[-1].radius == pytest.approx(400.0, rel=0.02)
    assert len(bending.pieces) <= 10


def test_a_circle_is_one_radius_and_each_arc_is_bent_past_it() -> None:
    t = np.linspace(0.0, 2.0 * np.pi, 401)[:-1]
    ring = np.column_stack([0.0 * t, 250.0 * np.cos(t), 250.0 * np.sin(t)])
    bending = _bent(_wire("ring", ring, closed=True, least=250.0)).bending
    assert bending is not None
    for piece in bending.pieces:
        assert piece.radius == pytest.approx(250.0, abs=0.6)
        formed = forming_radius(piece.radius, diameter=6.35, yield_strength=370.0)
        assert piece.form_radius == pytest.approx(formed)
        assert piece.form_turn_deg == pytest.approx(np.degrees(piece.length / formed))
    assert sum(p.turn_deg for p in bending.pieces) == pytest.approx(360.0, abs=0.5)


def _moved(axis: Array, matrix: Array, shift: Array) -> list[tuple[float, float, float]]:
    bending = _bent(_wire("moved", axis @ matrix.T + shift)).bending
    assert bending is not None
    return [(p.length, p.radius, p.rotation_deg) for p in bending.pieces]


def test_the_table_does_not_change_when_the_rod_is_turned_or_shifted() -> None:
    axis, _ = _axis("helix")
    plain = _moved(axis, np.eye(3), np.zeros(3))
    turn = Rotation.from_euler("xyz", [0.4, -1.1, 2.0]).as_matrix()
    for found in (_moved(axis, turn, np.zeros(3)), _moved(axis, np.eye(3), np.full(3, 400.0))):
        assert np.array(found) == pytest.approx(np.array(plain), abs=0.11)
    mirrored = np.array(_moved(axis, np.diag([1.0, -1.0, 1.0]), np.zeros(3)))
    assert mirrored * [1.0, 1.0, -1.0] == pytest.approx(np.array(plain), abs=0.11)


# --- Spring-back against the tables of the section integral -------------------------------------


def test_the_share_of_curvature_kept_is_that_of_the_tables_for_bar_and_sheet() -> None:
    bar, sheet = _rows("springback_round_bar_check.csv"), _rows("springback_sheet_check.csv")
    assert len(bar) == 17
    for row in bar:
        for column in ("Ri/Rf_closed_form", "Ri/Rf_quadrature"):
            assert kept_share(float(row["k=2RiY/(Ed)"])) == pytest.approx(float(row[column]),
                abs=6e-9)  # fmt: skip
    assert len(sheet) == 15
    for row in sheet:
        for column in ("Ri/Rf_closed_form", "Ri/Rf_quadrature"):
            assert kept_share_of_sheet(float(row["x=RiY/(Et)"])) == pytest.approx(
                float(row[column]), abs=6e-9
            )


def test_every_row_of_the_overbend_table_is_reached() -> None:
    rows = _rows("springback_rod_overbend.csv")
    assert len(rows) == 352
    for row in rows:
        formed = forming_radius(
            float(row["Rf_wanted_mm"]),
            diameter=float(row["d_mm"]),
            yield_strength=float(row["Y_MPa"]),
        )
        assert formed == pytest.approx(float(row["Ri_needed_mm"]), abs=0.0051)


@pytest.mark.parametrize("x", [0.02, 0.1, 0.3, 0.45])
def test_sheet_springs_back_as_the_integral_of_its_stress_says(x: float) -> None:
    thickness, strength, young = 1.2, 180.0, 205_000.0
    formed = x * young * thickness / strength
    core = formed * strength / young
    half = 0.5 * thickness
    moment = 2.0 * (
        quad(lambda y: strength * y / core * y, 0.0, core)[0]
        + quad(lambda y: strength * y, core, half)[0]
    )
    released = 1.0 / (1.0 / formed - moment / (young * thickness**3 / 12.0))
    found = released_sheet_radius(formed, thickness=thickness, yield_strength=strength)
    assert found == pytest.approx(released, rel=1e-9)
    again = forming_sheet_radius(found, thickness=thickness, yield_strength=strength)
    assert again == pytest.approx(formed, rel=1e-9)


def test_the_textbook_example_of_sheet_comes_out() -> None:
    """20-gauge steel on a half-inch radius: 0.531 in (Kalpakjian and Schmid, from memory)."""
    found = released_sheet_radius(0.5, thickness=0.0359, yield_strength=40e3, young=29e6)
    assert found == pytest.approx(0.531, abs=6e-4)
    assert released_sheet_radius(5e3, thickness=1.0, yield_strength=300.0) == np.inf


def test_rod_masses_are_those_of_the_stock_table() -> None:
    rows = _rows("rod_stock.csv")
    assert len(rows) == 11
    for row in rows:
        per_m = 1000.0 * rod_mass_per_mm(float(row["d_mm"]))
        assert per_m == pytest.approx(float(row["kg_per_m"]), abs=5.1e-5)


# --- How hard a sprung rod pushes ---------------------------------------------------------------

STIFF = rod_stiffness(6.35)


def _low(at: Array, heights: Array) -> Array:
    return np.column_stack([at, 0.0 * at, heights])


def test_a_rod_held_up_in_the_middle_pushes_as_the_handbook_says() -> None:
    """Simply supported beam, load in the middle: F = 48 E I s / L^3, half of it at each end."""
    at = np.array([0.0, 300.0, 600.0])
    forces = spring_rod(at, _low(at, np.array([0.0, 3.0, 0.0])), diameter=6.35).forces
    load = 48.0 * STIFF * 3.0 / 600.0**3
    assert forces[:, 2] == pytest.approx([0.5 * load, -load, 0.5 * load], rel=1e-12)
    assert forces[:, :2] == pytest.approx(0.0, abs=1e-9)


def test_a_load_off_the_middle_bends_the_rod_as_the_handbook_says() -> None:
    """Deflection under the load a from one end: F a^2 b^2 / (3 E I L)."""
    at = np.array([0.0, 200.0, 700.0])
    forces = spring_rod(at, _low(at, np.array([0.0, 2.0, 0.0])), diameter=6.35).forces
    load = 3.0 * STIFF * 700.0 * 2.0 / (200.0**2 * 500.0**2)
    assert forces[:, 2] == pytest.approx([load * 500 / 700, -load, load * 200 / 700], rel=1e-12)


def test_one_support_of_four_that_is_moved_loads_all_as_the_three_moment_equation_says() -> None:
    """Equal spans L, second support lifted by s: moments 18/5 and -12/5 times E I s / L^2."""
    at = np.arange(4) * 250.0
    shape = spring_rod(at, _low(at, np.array([0.0, 1.5, 0.0, 0.0])), diameter=6.35)
    moments = np.linalg.solve([[4.0, 1.0], [1.0, 4.0]], np.array([12.0, -6.0]))
    assert moments == pytest.approx([18.0 / 5.0, -12.0 / 5.0])
    m = np.array([0.0, *moments, 0.0]) * STIFF * 1.5 / 250.0**2
    shear = np.diff(m) / 250.0
    loads = np.diff(np.concatenate([[0.0], shear, [0.0]]))
    assert shape.forces[:, 2] == pytest.approx(loads, rel=1e-9)


def test_a_rod_in_an_even_curve_is_held_at_its_ends_only() -> None:
    """Many supports on a circle: forces on both ends and next to them, almost none between."""
    at = np.arange(13) * 200.0
    circle = 1800.0 * np.column_stack([np.sin(at / 1800.0), 0.0 * at, 1.0 - np.cos(at / 1800.0)])
    forces = np.linalg.norm(spring_rod(at, circle, diameter=6.35).forces, axis=1)
    # Moment E I / R reached over the first spans of a natural spline: 1.268 E I / (R L).
    assert forces[0] == pytest.approx(1.268 * STIFF / 1800.0 / 200.0, rel=0.01)
    assert forces[5:8].max() < 0.05 * forces[0]


@pytest.mark.parametrize(("radius", "span"), [(1900.0, 150.0), (1900.0, 300.0), (1800.0, 450.0)])
def test_pushes_are_within_one_percent_of_the_exact_elastica(radius: float, span: float) -> None:
    """Half of a rod that slides through frictionless end supports, bent to the sagitta of an arc
    at its elastic limit: E I theta' = -F u, u the distance from the end square to F."""
    phi = span / radius
    goal = np.array([np.sin(phi), 1.0 - np.cos(phi)]) * radius

    def miss(guess: Array) -> Array:
        angle, length, load = guess[0], guess[1] * span, guess[2] * STIFF / span**2

        def slope(_: float, y: Array) -> list[float]:
            return [-load * y[1] / STIFF, np.cos(y[0] - angle), np.cos(y[0]), np.sin(y[0])]

        end = solve_ivp(slope, (0.0, length), [angle, 0.0, 0.0, 0.0], rtol=1e-10, atol=1e-10)
        return np.array([end.y[0, -1], *((end.y[2:, -1] - goal) / span)])

    angle, _, load = fsolve(miss, np.array([phi, 1.0, 1.5 * phi]))
    exact = 2.0 * load * STIFF / span**2 * np.cos(angle)
    at = np.array([0.0, span, 2.0 * span])
    bow = at / radius - phi
    held = radius * np.column_stack([np.sin(bow), 0.0 * bow, np.cos(bow)])
    found = spring_rod(at, held, diameter=6.35)
    assert np.linalg.norm(found.forces[1]) == pytest.approx(exact, rel=0.01)
    assert np.linalg.norm(found.forces.sum(axis=0)) == pytest.approx(0.0, abs=1e-9 * exact)


def test_the_rod_between_its_supports_has_the_deflection_of_the_handbook() -> None:
    """Load in the middle: w(x) = F x (3 L^2 - 4 x^2) / (48 E I) up to the middle."""
    at = np.array([0.0, 300.0, 600.0])
    shape = spring_rod(at, _low(at, np.array([0.0, 3.0, 0.0])), diameter=6.35)
    x = np.linspace(0.0, 300.0, 13)
    assert shape.points(x)[:, 2] == pytest.approx(
        3.0 * x * (3.0 * 600.0**2 - 4.0 * x**2) / 600.0**3, abs=1e-9
    )
    beyond = shape.points(np.array([-100.0, 700.0]))[:, 2]
    assert beyond == pytest.approx([-1.5, -1.5])


@pytest.mark.parametrize("at", [[0.0], [0.0, 0.0], [5.0, 3.0, 9.0]])
def test_supports_out_of_order_are_refused(at: list[float]) -> None:
    places = np.array(at)
    with pytest.raises(ValueError, match="supports"):
        spring_rod(places, _low(places, 0.0 * places), diameter=6.35)


def test_joints_of_the_table_follow_each_other_without_gap() -> None:
    axis, closed = _axis("torus knot")
    bending = _bent(_wire("knot", axis, closed=closed)).bending
    assert bending is not None
    for before, after in pairwise(bending.pieces):
        assert after.start == pytest.approx(before.start + before.length, abs=0.06)
