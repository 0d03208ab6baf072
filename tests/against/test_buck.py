"""The buck step against closed forms, quadrature, printed tables and published instances."""

import random
from functools import cache
from math import ceil, pi, sqrt

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.special import ellipe

from buckwright.buck import elastic_radius, forming_radius, make_buck, plan_cuts, released_radius
from buckwright.model.buck import BuckSpec, Piece, Wire, WireSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import LineTrack, Skin, SkinRegion
from buckwright.tables.steel import (
    rod_mass_per_mm,
    rod_sizes,
    square_tubes,
    steel_grades,
    tube_mass_per_mm,
)
from skins_on_paper import cylinder, grid_region, line_through, off_torus, sphere, torus

Array = NDArray[np.float64]

# --- Spring-back of a round bar -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("diameter", "strength", "formed", "released"),
    # Derived, and integrated over the section, in the project's spring-back note.
    [
        (6.35, 370.0, 100.0, 110.662),
        (6.35, 370.0, 500.0, 931.577),
        (6.35, 370.0, 1000.0, 5464.702),
        (6.35, 220.0, 500.0, 697.184),
        (9.525, 370.0, 500.0, 730.932),
        (6.0, 250.0, 300.0, 377.593),
    ],
)
def test_a_bent_bar_springs_back_as_derived(
    diameter: float, strength: float, formed: float, released: float
) -> None:
    found = released_radius(formed, diameter=diameter, yield_strength=strength)
    assert found == pytest.approx(released, abs=5e-4)


@pytest.mark.parametrize(("wanted", "hot", "cold"), [(300, 256.1, 233.1), (1000, 640.8, 519.9)])
def test_the_radius_to_form_is_the_one_that_springs_back(
    wanted: float, hot: float, cold: float
) -> None:
    for strength, printed in ((220.0, hot), (370.0, cold)):
        formed = forming_radius(wanted, diameter=6.35, yield_strength=strength)
        assert formed == pytest.approx(printed, abs=0.05)
        again = released_radius(formed, diameter=6.35, yield_strength=strength)
        assert again == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize("k", [0.02, 0.1, 0.35, 0.6, 0.9, 0.99])
def test_the_closed_form_is_the_integral_of_the_stress_over_the_section(k: float) -> None:
    """Moment of an elastic-perfectly-plastic circle by adaptive quadrature."""
    young, strength, radius = 205_000.0, 300.0, 4.0
    core = k * radius
    formed = core * young / strength

    def moment_of_strip(y: float) -> float:
        stress = min(y / core, 1.0) * strength
        return stress * y * 4.0 * sqrt(radius**2 - y**2)

    moment = quad(moment_of_strip, 0.0, core)[0] + quad(moment_of_strip, core, radius)[0]
    released = 1.0 / (1.0 / formed - moment / (young * pi * radius**4 / 4.0))
    found = released_radius(formed, diameter=2.0 * radius, yield_strength=strength)
    assert found == pytest.approx(released, rel=1e-6)


def test_elastic_limit_radii_are_those_derived() -> None:
    assert elastic_radius(6.35, 220.0) == pytest.approx(2959.0, abs=0.6)
    assert elastic_radius(6.35, 370.0) == pytest.approx(1759.0, abs=0.6)
    assert released_radius(1760.0, diameter=6.35, yield_strength=370.0) == np.inf


# --- Masses -------------------------------------------------------------------------------------


def test_rod_masses_are_those_of_the_handbook_to_its_last_figure() -> None:
    assert rod_mass_per_mm(6.35) * 1000.0 == pytest.approx(0.2486, abs=5e-5)
    for rod in rod_sizes():
        per_m = rod_mass_per_mm(rod.diameter) * 1000.0
        assert per_m == pytest.approx(rod.kg_per_m, abs=5.1e-5)
        printed = per_m / 1.48816 if rod.handbook_unit == "lb/ft" else per_m
        assert printed == pytest.approx(rod.handbook_value, abs=7e-4)


def test_tube_masses_are_area_times_density() -> None:
    for tube in square_tubes():
        area = tube.section**2 - (tube.section - 2.0 * tube.wall) ** 2
        assert tube.area == pytest.approx(area, abs=0.01)
        assert tube_mass_per_mm(tube.section, tube.wall) * 1000.0 == pytest.approx(
            tube.kg_per_m, abs=6e-4
        )


def test_every_row_of_the_tables_says_where_it_comes_from() -> None:
    assert len(rod_sizes()) == 11
    assert len(square_tubes()) == 32
    assert len(steel_grades()) == 10
    for row in (*rod_sizes(), *square_tubes(), *steel_grades()):
        assert row.source
    assert {g.yield_strength for g in steel_grades() if g.grade == "1018"} == {220.0, 370.0}


# --- Lengths and set-in -------------------------------------------------------------------------

SHEET, ROD = 1.2, 6.35
DEPTH = SHEET + 0.5 * ROD


def _wires(region: SkinRegion, network: LineNetwork, *specs: WireSpec) -> tuple[Wire, ...]:
    spec = BuckSpec(wires=specs, sheet_thickness=SHEET, rod_diameter=ROD)
    return make_buck(spec, network, Skin(regions=(region,))).wires


def _ring(count: int) -> NDArray[np.int64]:
    return np.arange(count)


def test_wires_round_an_ellipse_and_a_circle_have_the_lengths_of_mathematics() -> None:
    for a, b in ((600.0, 250.0), (300.0, 300.0)):
        u = np.linspace(0.0, 2.0 * np.pi, 401)
        v = np.linspace(0.9, 1.1, 9)

        def plate(u: Array, v: Array, a: float = a, b: float = b) -> Array:
            return np.column_stack([a * v * np.cos(u), b * v * np.sin(u), np.zeros_like(u)])

        track = LineTrack(line="rim", vertices=_ring(400) * 9 + 4, closed=True)
        region = grid_region(
            "plate", plate, u, v, outward=lambda p: 0.0 * p + [0.0, 0.0, 1.0], tracks=[track]
        )
        fine = np.linspace(0.0, 2.0 * np.pi, 2001)
        rim = line_through("rim", plate(fine, np.ones(2001)), closed=True)
        network = LineNetwork(lines=(rim,), crossings=())
        (wire,) = _wires(region, network, WireSpec(name="rim", region="plate", line="rim"))
        exact = 4.0 * a * ellipe(1.0 - (b / a) ** 2)
        assert wire.length == pytest.approx(exact, rel=1e-4)
        assert wire.closed
        assert wire.least_radius == pytest.approx(b * b / a, rel=0.02)
        assert wire.axis[:, 2] == pytest.approx(-DEPTH, abs=1e-6)


def test_a_wire_along_a_torus_knot_has_the_length_of_the_knot_on_the_inner_torus() -> None:
    ring, tube, turns, winds = 500.0, 150.0, 2, 3
    u = np.linspace(0.0, 2.0 * np.pi, 901)
    v = np.linspace(-0.12, 0.12, 7)
    surface = torus(ring, tube)
    track = LineTrack(line="knot", vertices=_ring(900) * 7 + 3, closed=True)
    region = grid_region(
        "ribbon",
        lambda u, v: surface(turns * u, winds * u + v),
        u,
        v,
        outward=lambda p: p - ring * p * [1.0, 1.0, 0.0] / np.hypot(p[:, :1], p[:, 1:2]),
        tracks=[track],
    )
    fine = np.linspace(0.0, 2.0 * np.pi, 4001)
    knot = line_through("knot", surface(turns * fine, winds * fine), closed=True)
    network = LineNetwork(lines=(knot,), crossings=())
    (wire,) = _wires(region, network, WireSpec(name="knot", region="ribbon", line="knot"))

    def speed(u: float) -> float:
        inner = tube - DEPTH
        return float(np.hypot((ring + inner * np.cos(winds * u)) * turns, inner * winds))

    assert wire.length == pytest.approx(quad(speed, 0.0, 2.0 * np.pi)[0], rel=1e-4)
    assert off_torus(wire.axis, ring, tube) == pytest.approx(-DEPTH, abs=0.01)


def test_a_wire_along_a_helix_has_the_length_of_the_inner_helix() -> None:
    radius, pitch = 400.0, 250.0
    u, v = np.linspace(0.0, 4.0, 241), np.linspace(-30.0, 30.0, 7)

    def ribbon(u: Array, v: Array) -> Array:
        return cylinder(radius)(pitch * u / (2.0 * np.pi) + v, u)

    track = LineTrack(line="helix", vertices=_ring(241) * 7 + 3, closed=False)
    region = grid_region(
        "ribbon", ribbon, u, v, outward=lambda p: p * [0.0, 1.0, 1.0], tracks=[track]
    )
    fine = np.linspace(0.0, 4.0, 1001)
    helix = line_through("helix", ribbon(fine, np.zeros(1001)))
    network = LineNetwork(lines=(helix,), crossings=())
    (wire,) = _wires(region, network, WireSpec(name="helix", region="ribbon", line="helix"))
    rise = pitch / (2.0 * np.pi)
    assert wire.length == pytest.approx(4.0 * np.hypot(radius - DEPTH, rise), rel=1e-4)
    inner = radius - DEPTH
    assert wire.least_radius == pytest.approx((inner**2 + rise**2) / inner, rel=0.01)
    assert wire.mass == pytest.approx(wire.length * 0.2486e-3, rel=2e-4)


@pytest.mark.parametrize("layer", [0, 2])
def test_wires_lie_exactly_under_a_sphere_a_torus_and_a_cylinder(layer: int) -> None:
    depth = DEPTH + layer * ROD
    u, v = np.linspace(0.0, 1.2, 81), np.linspace(-0.5, 0.6, 75)
    rows = np.arange(81 * 75).reshape(81, 75)
    cases = {
        "sphere": (sphere(500.0), lambda p: np.linalg.norm(p, axis=1) - 500.0),
        "torus": (torus(600.0, 300.0), lambda p: off_torus(p, 600.0, 300.0)),
        "cylinder": (
            lambda u, v: cylinder(500.0)(500.0 * u, v),
            lambda p: np.hypot(p[:, 1], p[:, 2]) - 500.0,
        ),
    }
    for name, (surface, off) in cases.items():
        tracks = [
            LineTrack(line="along", vertices=rows[:, 40], closed=False),
            LineTrack(line="rim", vertices=rows[:, 0], closed=False),
        ]

        def outward(p: Array, name: str = name) -> Array:
            ring = np.hypot(p[:, :1], p[:, 1:2])
            return {
                "sphere": p,
                "torus": p - 600.0 * p * [1.0, 1.0, 0.0] / ring,
                "cylinder": p * [0.0, 1.0, 1.0],
            }[name]

        region = grid_region(name, surface, u, v, outward=outward, tracks=tracks)
        fine = np.linspace(0.0, 1.2, 601)
        lines = tuple(
            line_through(line, surface(fine, np.full(601, v[k])))
            for line, k in (("along", 40), ("rim", 0))
        )
        low, high = region.vertices.min(axis=0), region.vertices.max(axis=0)
        middle = 0.5 * (low + high)
        specs = [
            WireSpec(name="along", region=name, line="along", layer=layer),
            WireSpec(name="rim", region=name, line="rim", layer=layer),
        ]
        for wire in _wires(region, LineNetwork(lines=lines, crossings=()), *specs):
            assert off(wire.axis) == pytest.approx(-depth, abs=0.01)
        for axis, at in zip("xyz", middle, strict=True):
            section = WireSpec(name="section", region=name, plane=(axis, float(at)), layer=layer)
            for wire in _wires(region, LineNetwork(lines=(), crossings=()), section):
                assert off(wire.axis) == pytest.approx(-depth, abs=0.01)


# --- Cutting stock ------------------------------------------------------------------------------

# Chvatal, 'Linear Programming' (1983), chapter 13: rolls of 100 in; optimum 453, linear bound
# 452.25.
CHVATAL = {45: 97, 36: 610, 31: 395, 14: 211}
# Falkenauer (1996) u120_00, optimum 48, and t60_00, optimum 20 (OR-Library, binpack1 and binpack5);
# Scholl, Klein and Juergens (1997) N1W1B1R0 of their second set, optimum 18; Schwerin and
# Waescher (1997) BPP1 of their first set, optimum 18.
U120 = """98 98 98 96 96 94 93 93 92 91 91 90 87 86 85 85 84 84 84 84 84 83 83 82 82 81 80 80 80 79
79 78 78 78 78 76 74 74 73 73 73 73 72 71 70 70 70 69 69 69 67 66 64 62 62 60 60 59 58 58 58 57 57
57 57 55 55 55 50 49 49 49 47 46 46 45 45 44 44 43 43 43 43 42 42 42 42 42 41 41 41 39 39 38 38 38
37 36 36 36 35 33 33 33 32 32 30 30 30 29 28 27 27 26 25 25 24 23 23 20"""
T60 = """495 474 473 472 466 450 445 444 439 430 419 414 410 395 372 370 366 366 366 363 361 357 355
351 350 350 347 320 315 307 303 299 298 298 292 288 287 283 275 275 274 273 273 272 272 271 269 269
268 263 262 261 259 258 255 254 252 252 252 251"""
N1W1B1R0 = """
395 394 394 391 390 389 388 384 383 382 380 379 376 371 368 365 360 360 354 350 346 346 344 342
340 335 335 333 330 330 328 327 317 316 311 310 310 306 300 300 297 296 295 294 294 286 285 278
275 275"""
SCHWERIN = """
200 200 200 199 198 198 197 197 194 194 193 192 191 191 191 190 190 189 188 188 187 187 186 185
185 185 185 184 184 184 183 183 183 182 182 182 181 181 180 179 179 179 179 178 177 177 177 177
175 174 173 173 172 171 171 171 170 170 169 169 169 167 167 165 165 164 163 163 163 163 162 161
160 160 159 158 158 158 157 156 156 156 156 156 156 155 155 155 154 154 153 152 152 152 151 151
150 150 150 150"""


def _pieces(lengths: list[float]) -> list[Piece]:
    return [Piece(name=f"rod {k}", length=length) for k, length in enumerate(lengths)]


def _holds(plan: object, lengths: list[float], kerf: float) -> bool:
    bars = plan.bars  # type: ignore[attr-defined]
    cut = sorted(piece.length for bar in bars for piece in bar.pieces)
    fits = all(
        sum(p.length for p in bar.pieces) + kerf * (len(bar.pieces) - 1) <= bar.bar_length + 1e-6
        for bar in bars
    )
    return fits and cut == pytest.approx(sorted(lengths))


@pytest.mark.parametrize(
    ("lengths", "bar", "optimum"),
    [
        ([s for s, n in CHVATAL.items() for _ in range(n)], 100, 453),
        ([int(s) for s in U120.split()], 150, 48),
        ([int(s) for s in T60.split()], 1000, 20),
        ([int(s) for s in N1W1B1R0.split()], 1000, 18),
        ([int(s) for s in SCHWERIN.split()], 1000, 18),
    ],
    ids=["Chvatal", "u120_00", "t60_00", "N1W1B1R0", "Schwerin BPP1"],
)
def test_published_instances_are_cut_from_their_known_least_number_of_bars(
    lengths: list[float], bar: float, optimum: int
) -> None:
    plan = plan_cuts(_pieces(lengths), bar_lengths=(bar,), kerf=0.0, stock="rod")
    assert len(plan.bars) == plan.bars_bound == optimum
    assert plan.proven
    assert _holds(plan, lengths, 0.0)


@pytest.mark.parametrize("case", range(5))
def test_eighty_different_rods_are_cut_from_the_least_number_of_bars(case: int) -> None:
    """The material bound, ceil(sum of (length + kerf) / (bar + kerf)), is reached."""
    draw = random.Random(case)
    lengths = [round(draw.uniform(200.0, 2800.0), 1) for _ in range(80)]
    plan = plan_cuts(_pieces(lengths), bar_lengths=(6000.0,), kerf=2.0, stock="rod")
    bound = ceil(sum(length + 2.0 for length in lengths) / 6002.0)
    assert len(plan.bars) == plan.bars_bound == bound
    assert plan.proven
    assert _holds(plan, lengths, 2.0)


@cache
def _least_cost(left: tuple[int, ...], bars: tuple[int, ...]) -> int:
    """Least length bought, trying every way to fill a bar round the first piece."""
    if not left:
        return 0
    first, rest = left[0], left[1:]
    best = 10**9
    for chosen in range(1 << len(rest)):
        held = first + sum(s for k, s in enumerate(rest) if chosen >> k & 1)
        fitting = [bar for bar in bars if bar >= held]
        if fitting:
            others = tuple(s for k, s in enumerate(rest) if not chosen >> k & 1)
            best = min(best, min(fitting) + _least_cost(others, bars))
    return best


@pytest.mark.parametrize("case", range(6))
def test_small_lists_cost_no_more_than_trying_every_way(case: int) -> None:
    draw = random.Random(100 + case)
    lengths = tuple(sorted((draw.randint(500, 3900) for _ in range(9)), reverse=True))
    bars = (6000, 4000) if case % 2 else (5000,)
    plan = plan_cuts(_pieces(list(lengths)), bar_lengths=bars, kerf=0.0, stock="rod")
    bought = sum(bar.bar_length for bar in plan.bars)
    assert bought == pytest.approx(_least_cost(lengths, bars))
    assert plan.length_bound <= bought + 1e-6
    assert plan.proven == (plan.length_bound == pytest.approx(bought))
