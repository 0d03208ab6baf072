"""Gauges against exact shapes, SciPy's splines, OR-Tools and trimesh.

Profiles against exact sections: circles of a sphere, a cylinder, a torus (closed forms).

A plane at distance a from the centre of a sphere of radius R cuts a circle of radius
sqrt(R^2 - a^2); a plane across a cylinder cuts its own circle, one along it two straight lines; a
plane through the axis of a torus cuts circles of the tube, one square to the axis circles about
it; an oblique-standing one the spiric curve (sqrt(x^2 + y^2) - R)^2 + z^2 = r^2 (exact).
"""

from functools import cache
from io import StringIO

import ezdxf
import numpy as np
import pytest
import shapely
import trimesh
from ezdxf.path import make_path
from ortools.sat.python import cp_model
from scipy.integrate import cumulative_trapezoid
from scipy.interpolate import make_interp_spline
from scipy.optimize import brentq

from buckwright.drawings import card_sheets, stand_sheets
from buckwright.files.dxf import dxf_text
from buckwright.gauges import choose_sweeps, make_gauges
from buckwright.gauges.sagitta import chord_depths, sagitta_of
from buckwright.model.drawings import Sheet
from buckwright.model.gauges import CardPlane, Gauge, Gauges, GaugeSpec, SweepSpec
from buckwright.model.job import Job
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin, SkinRegion
from skins_on_paper import cylinder, grid_region, off_torus, sphere, torus

NONE = LineNetwork(lines=(), crossings=())
TRUE = 0.02
"""mm on a mesh of 25 mm: its flat triangles lie up to 0.16 mm inside these surfaces."""


def left_cards(region: SkinRegion, axis: str, *at: float) -> list[Gauge]:
    spec = GaugeSpec(region=region.name, axis=axis, at=at)
    made = make_gauges((spec,), Skin(regions=(region,)), NONE)
    return [gauge for gauge in made.gauges if gauge.hand == "left"]


@pytest.mark.parametrize(
    ("axis", "at"), [("x", (-150.0, 0.0, 90.0)), ("y", (-420.0,)), ("z", (-60.0, 120.0))]
)
def test_sections_of_a_sphere_are_its_circles(axis: str, at: tuple[float, ...]) -> None:
    radius = 500.0
    u, v = np.linspace(-2.2, -0.9, 27), np.linspace(-0.5, 0.6, 23)
    region = grid_region("cap", sphere(radius), u, v, outward=lambda p: p, side="left")
    for gauge in left_cards(region, axis, *at):
        flat = np.delete(gauge.section, "xyz".index(axis), axis=1)
        expected = np.sqrt(radius**2 - gauge.plane[1] ** 2)
        assert np.abs(np.linalg.norm(flat, axis=1) - expected).max() < TRUE


def test_sections_of_a_cylinder_are_its_circle_and_straight_lines() -> None:
    radius = 400.0
    u, v = np.linspace(0.0, 1000.0, 41), np.linspace(1.7, 2.9, 20)
    region = grid_region(
        "tube", cylinder(radius), u, v, outward=lambda p: p * [0.0, 1.0, 1.0], side="left"
    )
    (across,) = left_cards(region, "x", 480.0)
    assert np.abs(np.hypot(*across.section[:, 1:].T) - radius).max() < TRUE
    (along,) = left_cards(region, "z", 200.0)
    assert np.abs(along.section[:, 1] + np.sqrt(radius**2 - 200.0**2)).max() < TRUE
    length = np.linalg.norm(np.diff(along.profile, axis=0), axis=1).sum()
    assert length == pytest.approx(1000.0, abs=0.05)


def test_sections_of_a_torus_are_tube_circles_axis_circles_and_spiric_curves() -> None:
    ring, tube = 430.0, 230.0
    u, v = np.linspace(3.3, 6.1, 56), np.linspace(-0.6, 0.6, 12)
    region = grid_region(
        "wing", torus(ring, tube), u, v, outward=lambda p: p * [1.0, 1.0, 0.0], side="left"
    )
    (through_axis,) = left_cards(region, "x", 0.0)
    y, z = through_axis.section[:, 1:].T
    assert np.abs(np.hypot(y + ring, z) - tube).max() < TRUE
    (about_axis,) = left_cards(region, "z", 40.0)
    expected = ring + np.sqrt(tube**2 - 40.0**2)
    assert np.abs(np.hypot(*about_axis.section[:, :2].T) - expected).max() < TRUE
    for spiric in left_cards(region, "x", -310.0, 180.0):
        assert np.abs(off_torus(spiric.section, ring, tube)).max() < TRUE


@pytest.mark.parametrize("normal", [(1.0, 1.0, 0.0), (0.3, -0.5, 0.8), (2.0, 0.1, 1.0)])
@pytest.mark.parametrize(("face", "radius"), [("outside", 500.0), ("inside", 498.4)])
def test_oblique_sections_of_both_faces_of_a_ball_are_circles(
    normal: tuple[float, float, float], face: str, radius: float
) -> None:
    u, v = np.linspace(-2.4, -0.7, 35), np.linspace(-0.7, 0.8, 31)
    region = grid_region("cap", sphere(500.0), u, v, outward=lambda p: p, side="left")
    point = 0.95 * sphere(500.0)(np.array([-1.5]), np.array([0.1]))[0]
    plane = CardPlane(name="oblique", point=tuple(point), normal=normal)
    spec = GaugeSpec(region="cap", planes=(plane,), face=face, metal=1.6)
    across = np.array(normal) / np.linalg.norm(normal)
    gauge = make_gauges((spec,), Skin(regions=(region,)), NONE).gauges[0]
    assert gauge.face == face
    assert np.abs((gauge.section - point) @ across).max() < 1e-9
    centre = (point @ across) * across
    expected = np.sqrt(radius**2 - (point @ across) ** 2)
    assert np.abs(np.linalg.norm(gauge.section - centre, axis=1) - expected).max() < TRUE


RING, TUBE, HALF = 430.0, 230.0, 0.55


def arch_point(x: np.ndarray, tube_angle: np.ndarray) -> np.ndarray:
    """On a torus about y, its middle at (0, -690, 100): like a wing over a wheel."""
    away = RING + TUBE * np.cos(tube_angle)
    y = -690.0 - TUBE * np.sin(tube_angle)
    return np.column_stack([x, y, 100.0 + np.sqrt(away**2 - x**2)])


def off_arch(points: np.ndarray) -> np.ndarray:
    ring = np.hypot(points[..., 0], points[..., 2] - 100.0) - RING
    return np.asarray(np.hypot(ring, points[..., 1] + 690.0) - TUBE)


@cache
def arch_gauges(tolerance: float, face: str = "outside") -> Gauges:
    region = grid_region(
        "wing",
        arch_point,
        480.0 * np.sin(np.linspace(-1.3, 1.3, 49)) / np.sin(1.3),
        np.linspace(-HALF, HALF, 13),
        outward=lambda p: p - [0.0, -690.0, 100.0],
        side="left",
    )
    spec = GaugeSpec(region="wing", tolerance=tolerance, stand=True, face=face, metal=2.0)
    return make_gauges((spec,), Skin(regions=(region,)), NONE)


def exact_section(x: float, count: int = 201) -> np.ndarray:
    """The arch at that station, at equal parts of its length, by quadrature."""
    v = np.linspace(-HALF, HALF, 4001)
    curve = arch_point(np.full(4001, x), v)
    speed = np.linalg.norm(np.gradient(curve, v, axis=0), axis=1)
    length = cumulative_trapezoid(speed, v, initial=0.0)
    even = np.interp(np.linspace(0.0, length[-1], count), length, v)
    return arch_point(np.full(count, x), even)


@pytest.mark.parametrize("tolerance", [2.0, 1.0, 0.5])
def test_chosen_cards_give_their_tolerance_by_another_interpolation(tolerance: float) -> None:
    (told,) = arch_gauges(tolerance).sets
    cards = np.stack([exact_section(x) for x in told.at])
    steps = np.linalg.norm(np.diff(cards, axis=0), axis=2)
    mean = np.concatenate([[0.0], np.cumsum(steps.mean(axis=1))])
    battens = make_interp_spline(mean, cards, k=3, bc_type="natural")
    greatest = np.abs(off_arch(battens(np.linspace(0.0, mean[-1], 600)))).max()
    assert told.error - 0.1 < greatest < told.error <= tolerance
    for part in range(0, 201, 10):
        # Each batten for itself, by its own length, as a person lays it.
        own = np.concatenate([[0.0], np.cumsum(steps[:, part])])
        batten = make_interp_spline(own, cards[:, part], k=3, bc_type="natural")
        assert np.abs(off_arch(batten(np.linspace(0.0, own[-1], 600)))).max() < tolerance


def test_cards_are_the_exact_sections_at_their_stations() -> None:
    for gauge in arch_gauges(1.0).gauges[::2]:
        assert np.abs(off_arch(gauge.section)).max() < TRUE


JOB = Job(name="arch")


@pytest.mark.parametrize("hand", ["left", "right"])
@pytest.mark.parametrize(("face", "depth"), [("outside", 0.0), ("inside", 2.0)])
def test_boards_cut_from_the_files_and_slotted_together_hold_every_card_in_its_plane(
    face: str, depth: float, hand: str
) -> None:
    made = arch_gauges(1.0, face)
    stand = next(s for s in made.stands if s.hand == hand)
    rings = {
        sheet.strokes[-1].name: ring_of(sheet)
        for sheet in (*card_sheets(JOB, made), *stand_sheets(JOB, made))
        if sheet.cut_file
    }
    first, second = stand.boards
    apart = second.origin - first.origin
    across = apart / np.linalg.norm(apart)
    frame = np.stack([first.axes[0], across, first.axes[1]])
    np.testing.assert_allclose(frame @ frame.T, np.eye(3), atol=1e-9)
    for card in (c for c in made.gauges if c.name in stand.cards):
        up = (card.axes @ stand.up).round(9)
        side = np.array([-up[1], up[0]])
        side *= np.sign((side @ card.axes) @ across)
        ring = rings[card.name]
        slots = sorted((m @ side, m @ up, width) for m, width in floors_of(ring, up))
        foot = float((ring @ up).min())
        place = []
        for (_, floor, width), board in zip(slots, stand.boards, strict=True):
            comb = floors_of(rings[board.name], np.array([0.0, 1.0]))
            wanted = board.slots[board.slot_names.index(card.name), 0]
            middle, comb_width = min(comb, key=lambda found: abs(found[0][0] - wanted))
            assert width == pytest.approx(3.1, abs=1e-3)
            assert comb_width == pytest.approx(3.1, abs=1e-3)
            # The floors meet when both stand on the bench: half and half.
            assert floor - foot == pytest.approx(middle[1], abs=1e-3)
            place.append(middle[0])
        assert place[0] == pytest.approx(place[1], abs=1e-3)
        aside = ring @ side - slots[0][0]
        local = np.column_stack([np.full(len(ring), place[0]), aside, ring @ up - foot])
        stood = first.origin + local @ frame
        assert np.abs(stood[:, 0] - card.plane[1]).max() < 0.1
        stood[:, 1] *= 1.0 if hand == "left" else -1.0
        off = np.abs(off_arch(stood) + depth)
        touching = (off[:-1] < 0.12) & (off[1:] < 0.12)
        length = np.linalg.norm(np.diff(stood, axis=0), axis=1)[touching].sum()
        section = np.linalg.norm(np.diff(exact_section(card.plane[1]), axis=0), axis=1).sum()
        assert length == pytest.approx(section, rel=0.02)


def ring_of(sheet: Sheet) -> np.ndarray:
    """The closed outline in the cut layer of the sheet's DXF file, (n, 2), first point again."""
    document = ezdxf.read(StringIO(dxf_text(sheet)))
    (outline,) = document.modelspace().query('LWPOLYLINE[layer=="CUT"]')
    assert outline.closed
    return np.array([(p.x, p.y) for p in make_path(outline).flattening(0.002)])


def floors_of(ring: np.ndarray, up: np.ndarray) -> list[tuple[np.ndarray, float]]:
    """Middle of each slot's floor and its width: short sides square to `up`, walls at both ends."""
    found = []
    for k in range(len(ring) - 1):
        before, a, b, after = (ring[(k + shift) % (len(ring) - 1)] for shift in (-1, 0, 1, 2))
        side = b - a
        walls = [wall / np.linalg.norm(wall) @ up for wall in (a - before, after - b)]
        level = abs(side @ up) < 1e-6 and 2.0 < np.linalg.norm(side) < 5.0
        if level and walls[0] * walls[1] < -0.99:
            found.append((0.5 * (a + b), float(np.linalg.norm(side))))
    return found


def test_cards_and_combs_leave_each_other_room_and_would_not_elsewhere() -> None:
    made = arch_gauges(1.0)
    stand = made.stands[0]
    blocks = [
        slab(card.outline, card.origin, card.axes)
        for card in made.gauges
        if card.name in stand.cards
    ]
    assert all(block.is_watertight for block in blocks)
    for board in stand.boards:
        comb = slab(board.outline, board.origin, board.axes)
        aside = comb.copy().apply_translation(6.0 * board.axes[0])
        for block in blocks:
            assert not comb.contains(block.triangles_center).any()
            assert not block.contains(comb.triangles_center).any()
            assert block.contains(aside.triangles_center).any()


def slab(outline: np.ndarray, origin: np.ndarray, axes: np.ndarray) -> trimesh.Trimesh:
    """The board as a solid, 3 mm thick, finely meshed on its faces and edges."""
    shape = shapely.Polygon(outline)
    flat = shapely.get_parts(shapely.constrained_delaunay_triangles(shape))
    corners = np.array([np.asarray(part.exterior.coords)[:3] for part in flat]).reshape(-1, 2)
    vertices, index = np.unique(corners.round(9), axis=0, return_inverse=True)
    faces = index.reshape(-1, 3)
    solid = trimesh.creation.extrude_triangulation(vertices, faces, 3.0).subdivide_to_size(12.0)
    turn = np.eye(4)
    turn[:3, :3] = np.stack([*axes, np.cross(*axes)]).T
    turn[:3, 3] = origin - 1.5 * np.cross(*axes)
    return solid.apply_transform(turn)


@pytest.mark.parametrize("face", ["outside", "inside"])
def test_files_of_the_two_sides_are_mirror_images(face: str) -> None:
    made = arch_gauges(1.0, face)
    sheets = [*card_sheets(JOB, made), *stand_sheets(JOB, made)]
    left = [s for s in sheets if s.cut_file and s.name.endswith("left")]
    right = [s for s in sheets if s.cut_file and s.name.endswith("right")]
    assert len(left) == len(right) == len(made.gauges) // 2 + 2
    for one, other in zip(left, right, strict=True):
        a, b = (
            ezdxf.read(StringIO(dxf_text(sheet))).modelspace().query('LWPOLYLINE[layer=="CUT"]')[0]
            for sheet in (one, other)
        )
        flat = [np.array(line.get_points("xyb")) for line in (a, b)]
        np.testing.assert_allclose(flat[0] * [-1.0, 1.0, -1.0], flat[1], atol=1e-9)


def test_the_depth_over_a_chord_is_that_of_the_circle_on_a_ball() -> None:
    u, v = np.linspace(-2.2, -0.9, 27), np.linspace(-0.5, 0.6, 23)
    region = grid_region("cap", sphere(500.0), u, v, outward=lambda p: p, side="left")
    for chord in (100.0, 200.0):
        depths = chord_depths(region.vertices, region.triangles, chord)
        exact = 500.0 - np.sqrt(500.0**2 - (0.5 * chord) ** 2)
        inside = np.abs(np.arcsin(region.vertices[:, 2] / 500.0) - 0.05) < 0.3
        inside &= np.abs(np.arctan2(region.vertices[:, 1], region.vertices[:, 0]) + 1.55) < 0.35
        assert inside.sum() > 50
        assert np.abs(depths.greater - exact)[inside].max() < 0.02
        assert np.abs(depths.lesser - exact)[inside].max() < 0.02


def test_the_depths_over_a_chord_on_a_torus_are_the_tubes_circle_and_a_root_along_the_ring() -> (
    None
):
    u, v = np.linspace(3.6, 5.8, 66), np.linspace(-0.6, 0.6, 15)
    region = grid_region(
        "wing", torus(RING, TUBE), u, v, outward=lambda p: p * [1.0, 1.0, 0.0], side="left"
    )
    chord = 150.0
    depths = chord_depths(region.vertices, region.triangles, chord)
    tube = TUBE - np.sqrt(TUBE**2 - (0.5 * chord) ** 2)
    for k in range(12 * 15 + 7, 54 * 15, 15):
        point, normal = region.vertices[k], ring_normal(region.vertices[k])
        foot = point + 0.5 * chord * np.cross([0.0, 0.0, 1.0], normal)
        assert depths.greater[k] == pytest.approx(tube, abs=0.03)
        exact = brentq(drop_to_torus, 0.0, 60.0, args=(foot, normal))
        assert depths.lesser[k] == pytest.approx(exact, abs=0.03)


def drop_to_torus(drop: float, foot: np.ndarray, normal: np.ndarray) -> float:
    return float(off_torus((foot - drop * normal)[None], RING, TUBE)[0])


def ring_normal(point: np.ndarray) -> np.ndarray:
    circle = RING * np.array([point[0], point[1], 0.0]) / np.hypot(point[0], point[1])
    return (point - circle) / np.linalg.norm(point - circle)


def test_sagittas_are_those_of_right_triangles() -> None:
    radii = np.array([80.0, 215.0, 1000.0, 1e7, -300.0])
    for radius, depth in zip(radii, sagitta_of(1.0 / radii, 150.0), strict=True):
        exact = abs(radius) - np.sqrt(radius**2 - 75.0**2)
        assert depth == pytest.approx(np.sign(radius) * exact, rel=1e-7, abs=1e-8)
        assert (abs(radius) - abs(depth)) ** 2 + 75.0**2 == pytest.approx(radius**2, rel=1e-12)
    assert np.isnan(sagitta_of(np.array([1.0 / 74.0]), 150.0)[0])


SERIES = (
    *(100.0, 112.0, 125.0, 140.0, 160.0, 180.0, 200.0, 224.0, 250.0, 280.0, 315.0, 355.0, 400.0),
    *(450.0, 500.0, 560.0, 630.0, 710.0, 800.0, 900.0, 1000.0, 1250.0, 1600.0, 2000.0),
)
"""Radii in steps of the R20 series of ISO 3, rounded as there (R''20), R10 beyond a metre."""


@pytest.mark.parametrize("series", [(), SERIES])
def test_the_set_of_sweeps_is_the_least_that_an_integer_programme_finds(
    series: tuple[float, ...],
) -> None:
    region = grid_region(
        "egg",
        lambda u, v: sphere(1.0)(u, v) * [900.0, 420.0, 300.0],
        np.linspace(-2.3, -0.8, 24),
        np.linspace(-0.6, 0.7, 14),
        outward=lambda p: p,
        side="left",
    )
    spec = SweepSpec(chord=140.0, tolerance=0.6, series=series)
    found = choose_sweeps(region, spec)
    assert found.gap <= spec.tolerance
    fits = np.concatenate([found.greater_sweep, found.lesser_sweep])
    depths = np.concatenate([found.greater, found.lesser])[fits >= 0]
    assert len(depths) > 0.9 * len(fits)
    assert bool(found.findings) == bool((fits < 0).any())
    chosen = np.array([depth_of(sweep.radius, sweep.bends, 140.0) for sweep in found.sweeps])
    assert (np.abs(depths[:, None] - chosen).min(axis=1) <= spec.tolerance + 1e-6).all()
    # Any sweep may as well be the deepest one that still serves the place it serves least.
    offered = (
        np.array(
            [depth_of(r, bends, 140.0) for r in series for bends in ("hollow", "round")] + [0.0]
        )
        if series
        else np.unique(depths + spec.tolerance)
    )
    assert least_cover(depths, offered, spec.tolerance) == len(found.sweeps)


BENDS = ("hollow", "round")


def depth_of(radius: float, bends: str, chord: float) -> float:
    if bends == "straight":
        return 0.0
    depth = radius - np.sqrt(radius**2 - (0.5 * chord) ** 2)
    return float(depth if bends == "hollow" else -depth)


def least_cover(depths: np.ndarray, offered: np.ndarray, tolerance: float) -> int:
    """Size of the least subset that serves every depth, proven by CP-SAT."""
    serves = np.abs(depths[:, None] - offered[None]) <= tolerance + 1e-9
    model = cp_model.CpModel()
    taken = [model.new_bool_var(str(k)) for k in range(len(offered))]
    for row in np.unique(serves, axis=0):
        model.add_bool_or([taken[k] for k in np.flatnonzero(row)])
    model.minimize(sum(taken))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)
