"""Edges, bends and limits of panels held to handbooks' worked examples and exact shapes."""

import igl
import numpy as np
import pytest

from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.model.panels import (
    EdgeSpec,
    Panel,
    PanelEdge,
    PanelSpec,
    SeamSpec,
    SheetStock,
)
from buckwright.panels.drawn_seams import lay_seam
from buckwright.panels.edge_plan import plan_edges
from buckwright.panels.edges import free_edge_strain
from buckwright.panels.verdict import judge, known_metal
from buckwright.tables.bending import (
    bend_allowance,
    bend_deduction,
    neutral_factor,
    outer_strain,
    setback,
)
from buckwright.tables.edges import edge_allowance, wired_edge_metal
from buckwright.tables.forming import forming_limit, forming_limit_at, uniform_elongation
from discs_on_paper import cap, ring_disc

INCH = 25.4
RIGHT = 0.5 * np.pi


def test_a_wired_edge_takes_what_the_navy_manual_works_out() -> None:
    """US Navy Steelworker manual: a wire of 1/8 in takes 5/16 in."""
    assert wired_edge_metal(INCH / 8.0, 0.3) == pytest.approx(INCH * 5.0 / 16.0)


def test_a_wire_in_thick_sheet_takes_the_neutral_fibres_way_round_it() -> None:
    """Exact: 290 degrees round a radius of half the wire and half the sheet."""
    wire, sheet = 3.175, 1.27
    wrap = np.radians(290.0) * (0.5 * wire + 0.5 * sheet)
    assert wired_edge_metal(wire, sheet) == pytest.approx(wrap)
    assert wrap > 2.5 * wire


def test_hems_take_their_width_once_and_twice() -> None:
    """US Navy Steelworker manual: single hem W, double hem 2 W."""
    assert edge_allowance("hem").factor == 1.0
    assert edge_allowance("double hem").factor == 2.0


def test_a_bend_takes_what_the_sheet_metal_workbook_works_out() -> None:
    """T 0.050, R 0.032 in, 90 degrees: allowance 0.085, deduction 0.079 in; outside dimensions
    0.740 + 0.420 + 1.050 + 1.000 with three bends: 2.973 in of metal."""
    radius, thickness = 0.032 * INCH, 0.050 * INCH
    assert bend_allowance(radius, thickness, RIGHT) / INCH == pytest.approx(0.085, abs=5e-4)
    assert bend_deduction(radius, thickness, RIGHT) / INCH == pytest.approx(0.079, abs=5e-4)
    whole = 0.740 + 0.420 + 1.050 + 1.000 - 3.0 * bend_deduction(radius, thickness, RIGHT) / INCH
    assert whole == pytest.approx(2.973, abs=1.5e-3)


def test_a_channel_takes_what_the_faa_handbook_works_out() -> None:
    """FAA U-channel: T 0.040, R 0.16, mould lines 1 / 2 / 1 in: setback 0.2, flats 0.8 / 1.6 / 0.8
    in; with the neutral fibre at half the thickness 3.765 in, by the empirical rule 3.758 in."""
    radius, thickness = 0.16 * INCH, 0.040 * INCH
    back = setback(radius, thickness, RIGHT)
    assert back / INCH == pytest.approx(0.2)
    flats = np.array([1.0, 2.0, 1.0]) * INCH - np.array([1.0, 2.0, 1.0]) * back
    assert flats / INCH == pytest.approx([0.8, 1.6, 0.8])
    half = bend_allowance(radius, thickness, RIGHT, neutral=0.5)
    assert (flats.sum() + 2.0 * half) / INCH == pytest.approx(3.765, abs=5e-4)
    rule = bend_allowance(radius, thickness, RIGHT)
    assert (flats.sum() + 2.0 * rule) / INCH == pytest.approx(3.758, abs=5e-4)


@pytest.mark.parametrize(
    ("metal", "radius", "thickness", "k"),
    [("aluminium", 0.06, 0.063, 0.402), ("cold-rolled steel", 0.12, 0.048, 0.433)],
)
def test_neutral_factors_are_machinerys_handbooks(
    metal: str, radius: float, thickness: float, k: float
) -> None:
    """vedge.org, credited to Machinery's Handbook, 26th edition."""
    assert neutral_factor(metal, radius * INCH, thickness * INCH)[0] == k


@pytest.mark.parametrize(("ratio", "percent"), [(1.0, 33.3), (3.0, 14.3)])
def test_the_outer_fibre_stretches_as_kalpakjian_says(ratio: float, percent: float) -> None:
    """Kalpakjian and Schmid, eq. 16.4: R = T 33.3 %, R = 3 T 14.3 %."""
    assert 100.0 * outer_strain(ratio, 1.0) == pytest.approx(percent, abs=0.05)


@pytest.mark.parametrize(("n", "percent"), [(0.20, 22.1), (0.26, 29.7)])
def test_necking_begins_where_considere_puts_it(n: float, percent: float) -> None:
    """True strain n: 1100-O 22.1 %, annealed low-carbon steel 29.7 % (Kalpakjian's exponents)."""
    assert 100.0 * uniform_elongation(n) == pytest.approx(percent, abs=0.05)


def test_the_limit_curve_has_its_plane_strain_point_and_thins_alike_on_the_left() -> None:
    """FLD0 t 1.0, n 0.21: 37.43 %, true strain 0.31794 (table of the formula). Left of it the
    thinning is the same everywhere; right of it the curve rises by 0.6 (AHSS Guidelines)."""
    limit = forming_limit(1.0, 0.21)
    minor = np.array([0.0, -0.1, -0.2, 0.1])
    found = forming_limit_at(minor, limit)
    assert found[0] == pytest.approx(0.31794, abs=5e-6)
    assert found[1:3] + minor[1:3] == pytest.approx(found[0])
    assert found[3] - found[0] == pytest.approx(0.06)


def test_steel_at_its_forming_limit_has_no_margin_and_tears_beyond() -> None:
    metal = known_metal(SheetStock(alloy="DC04", thickness=1.0))
    limit = np.log1p(forming_limit(1.0, metal.alloy.hardening))
    at = judge(metal, np.array([limit]), np.array([0.0]))
    assert at.margin == pytest.approx(0.0, abs=1e-12)
    assert at.step == "with care"
    assert judge(metal, np.array([limit + 1e-6]), np.array([0.0])).step == "will not take it"


def rim_of(points: np.ndarray, count: int) -> np.ndarray:
    return np.arange(len(points) - count, len(points))


@pytest.mark.parametrize("inward", [1.0, -1.0])
def test_a_flange_round_a_disc_shrinks_by_its_height_over_the_radius(inward: float) -> None:
    """Exact: metal at radius r + w comes to radius r, whichever way it is turned."""
    radius, height = 150.0, 12.0
    disc, _ = ring_disc(40)
    rim = rim_of(disc, 240)
    flat = radius * disc[rim]
    points = np.column_stack([flat, np.zeros(240)])
    up = np.tile([0.0, 0.0, 1.0], (240, 1))
    strain = free_edge_strain(
        (points, up, flat), fibre=height, free=(0.0, inward * height), closed=True
    )
    assert strain == pytest.approx(np.full(240, radius / (radius + height) - 1.0), abs=2e-5)


def test_a_flange_in_a_hole_stretches_by_its_height_over_the_radius() -> None:
    """Exact: metal at radius r - w comes to radius r; first order w / r."""
    radius, height = 80.0, 6.0
    disc, _ = ring_disc(40)
    flat = radius * disc[rim_of(disc, 240)][::-1]
    points = np.column_stack([flat, np.zeros(240)])
    up = np.tile([0.0, 0.0, 1.0], (240, 1))
    strain = free_edge_strain((points, up, flat), fibre=height, free=(0.0, height), closed=True)
    assert strain == pytest.approx(np.full(240, radius / (radius - height) - 1.0), abs=2e-5)


def test_a_flange_at_the_end_of_a_cylinder_follows_the_cylinders_own_bend() -> None:
    """Exact: the end of the blank is straight; turned in by w its fibre lies on radius r - w."""
    radius, height = 300.0, 10.0
    angle = np.linspace(0.0, 1.5, 120)
    up = np.column_stack([np.zeros(120), np.sin(angle), np.cos(angle)])
    # The panel lies towards -x, its end runs with the panel on its left seen from outside.
    points, flat = radius * up, np.column_stack([np.zeros(120), radius * angle])
    order = (
        np.arange(120) if np.cross(points[1] - points[0], up[0])[0] > 0 else np.arange(120)[::-1]
    )
    edge = (points[order], up[order], flat[order])
    along = np.diff(edge[2], axis=0)[0]
    side = 1.0 if along[1] > 0 else -1.0
    edge = (edge[0], edge[1], edge[2] * [side, 1.0])
    inside = free_edge_strain(edge, fibre=height, free=(0.0, height), closed=False)
    outside = free_edge_strain(edge, fibre=height, free=(0.0, -height), closed=False)
    assert inside == pytest.approx(np.full(119, -height / radius), abs=1e-4)
    assert outside == pytest.approx(np.full(119, height / radius), abs=1e-4)


def test_a_flange_has_the_metal_that_its_bend_deduction_leaves() -> None:
    """The workbook's bend again: outside height less the deduction, bend lines a setback apart."""
    edge = PanelEdge(name="sill", vertices=np.arange(3))
    panel = Panel(
        name="p", region="", vertices=np.eye(3), triangles=np.array([[0, 1, 2]]), edges=(edge,)
    )
    spec = PanelSpec(
        name="p",
        region="",
        edges=(
            EdgeSpec(along="sill", treatment="flange", width=0.740 * INCH, radius=0.032 * INCH),
        ),
    )
    metal = known_metal(SheetStock(alloy="3003-O", thickness=0.050 * INCH))
    (plan,) = plan_edges(panel, spec, metal)
    assert plan.allowance / INCH == pytest.approx(0.740 - 0.0787, abs=5e-5)
    begin, end = plan.bend_lines
    assert -begin / INCH == pytest.approx(0.082)
    assert (end - begin) / INCH == pytest.approx(0.0853, abs=5e-5)


def test_a_seam_between_two_places_is_a_geodesic() -> None:
    """libigl's exact geodesic distance on the same mesh."""
    vertices, triangles = cap(24, 1.0)
    rim = rim_of(vertices, 144)
    ends = rim[[5, 70]]
    seam = SeamSpec(
        name="seam", region="cap", through=tuple(tuple(map(float, vertices[k])) for k in ends)
    )
    walls = {"edge": np.column_stack([rim, np.roll(rim, -1)])}
    laid = lay_seam(seam, CurvedMesh(vertices, triangles), (vertices, triangles), walls)
    sides = np.diff(laid.vertices[laid.edges], axis=1)[:, 0]
    exact = igl.exact_geodesic(
        vertices,
        triangles,
        ends[:1],
        np.array([], dtype=np.int64),
        ends[1:],
        np.array([], dtype=np.int64),
    )[0]
    # The seam lies on the smooth surface, the exact geodesic on the chords below it.
    assert np.linalg.norm(sides, axis=1).sum() == pytest.approx(exact, rel=3e-4)
