"""Wires of the buck against closed forms, special functions, beam theory and brute force."""

import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_bvp
from scipy.spatial import cKDTree
from scipy.special import fresnel

from buckwright.buck import make_buck, mark_built, propose_wires, push_deflection
from buckwright.model.buck import Buck, BuckSpec, WireSpec
from buckwright.model.job import Job
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import LineTrack, Skin, SkinRegion
from buckwright.skin import span_skin
from networks_on_paper import network_of
from skins_on_paper import grid_region, line_through
from tubes_in_space import deepest_clash, fine_axis, worst_tack_mark

WREN = Path(__file__).parents[2] / "examples" / "wren"
sys.path.insert(0, str(WREN))
import truelines  # noqa: E402

Array = NDArray[np.float64]
SHEET, ROD = 1.2, 6.35


# --- Lengths ------------------------------------------------------------------------------------


def test_a_wire_along_a_clothoid_has_its_length() -> None:
    """`scipy.special.fresnel` draws it; its length is the parameter's own range (DLMF 7.2)."""
    size, turns = 900.0, 1.4
    t, v = np.linspace(0.0, turns, 181), np.linspace(-40.0, 40.0, 9)

    def plate(t: Array, v: Array) -> Array:
        sine, cosine = fresnel(t)
        angle = 0.5 * np.pi * t**2
        x, y = size * cosine - v * np.sin(angle), size * sine + v * np.cos(angle)
        return np.column_stack([x, y, np.zeros_like(x)])

    track = LineTrack(line="spiral", vertices=np.arange(181) * 9 + 4, closed=False)
    region = grid_region(
        "plate", plate, t, v, outward=lambda p: 0.0 * p + [0.0, 0.0, 1.0], tracks=[track]
    )
    fine = np.linspace(0.0, turns, 1001)
    spiral = line_through("spiral", plate(fine, np.zeros(1001)))
    spec = BuckSpec(wires=(WireSpec(name="spiral", region="plate", line="spiral"),))
    network = LineNetwork(lines=(spiral,), crossings=())
    (wire,) = make_buck(spec, network, Skin(regions=(region,))).wires
    assert wire.length == pytest.approx(size * turns, rel=1e-4)
    # Radius size / (pi t), least at the end; measured over a short window.
    assert wire.least_radius == pytest.approx(size / (np.pi * turns), rel=0.05)


# --- Spacing ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("length", "diameter", "force"), [(300.0, 6.35, 50.0), (410.0, 8.0, 90.0)])
def test_a_pushed_rod_gives_as_the_beam_equation_says(
    length: float, diameter: float, force: float
) -> None:
    """E I w'' = -M integrated numerically from a hinge to the middle, where the slope is 0."""
    stiffness = 205_000.0 * np.pi * diameter**4 / 64.0

    def slope_and_bend(x: Array, state: Array) -> Array:
        return np.vstack([state[1], -0.5 * force * x / stiffness])

    x = np.linspace(0.0, 0.5 * length, 11)
    solved = solve_bvp(
        slope_and_bend, lambda a, b: np.array([a[0], b[1]]), x, np.zeros((2, 11)), tol=1e-8
    )
    found = push_deflection(length, diameter=diameter, force=force)
    assert found == pytest.approx(float(solved.sol(0.5 * length)[0]), rel=1e-6)
    # The handbook's own form (Shigley, table A-9, case 5).
    assert found == pytest.approx(force * length**3 / (48.0 * stiffness), rel=1e-12)


def _barrel(radius: float, stations: Array) -> tuple[Skin, LineNetwork]:
    """Part of a cylinder round z with straight lines along z at even steps of angle."""
    u, v = np.linspace(-0.6, 0.6, 121), np.linspace(0.0, 700.0, 71)
    rows = np.arange(121 * 71).reshape(121, 71)

    def surface(u: Array, v: Array) -> Array:
        return np.column_stack([radius * np.sin(u), radius * np.cos(u), v])

    columns = [int(np.argmin(np.abs(u - angle))) for angle in stations]
    names = [f"upright {k}" for k in range(len(columns))]
    tracks = [
        LineTrack(line=name, vertices=rows[c], closed=False)
        for name, c in zip(names, columns, strict=True)
    ]
    region = grid_region(
        "barrel", surface, u, v, outward=lambda p: p * [1.0, 1.0, 0.0], tracks=tracks
    )
    fine = np.linspace(0.0, 700.0, 101)
    lines = tuple(
        line_through(name, surface(np.full(101, u[c]), fine))
        for name, c in zip(names, columns, strict=True)
    )
    return Skin(regions=(region,)), LineNetwork(lines=lines, crossings=())


def test_the_sagitta_of_a_bay_is_that_of_its_arc() -> None:
    radius, angles = 900.0, np.array([-0.5, -0.2, 0.1, 0.5])
    skin, network = _barrel(radius, angles)
    wires = tuple(WireSpec(name=n.name, region="barrel", line=n.name) for n in network.lines)
    spec = BuckSpec(wires=wires, hand_push=60.0)
    bays = {bay.wires: bay for bay in make_buck(spec, network, skin).bays}
    for k, (a, b) in enumerate(pairwise(angles)):
        bay = bays[f"upright {k}", f"upright {k + 1}"]
        arc = radius * (b - a)
        assert bay.width == pytest.approx(arc, rel=1e-3)
        assert bay.sagitta == pytest.approx(radius * (1.0 - np.cos(0.5 * (b - a))), rel=5e-3)
        # s = L^2 / 8 R, which is the arc's to the second order in its angle.
        assert arc**2 / (8.0 * radius) == pytest.approx(bay.sagitta, rel=0.02)
        assert bay.radius == pytest.approx(radius, rel=0.02)
        assert bay.deflection == pytest.approx(
            60.0 * arc**3 / (48.0 * 205_000.0 * np.pi * 6.35**4 / 64.0), rel=5e-3
        )
        assert bay.shape_held == (bay.held_sagitta <= spec.sagitta_limit)
        assert bay.stiff == (bay.deflection <= spec.push_limit)


def test_what_is_proposed_brings_every_bay_within_both_rules() -> None:
    """Counted anew along the cylinder: no arc between neighbours breaks a rule by a fifth."""
    radius = 900.0
    skin, network = _barrel(radius, np.array([-0.6, 0.6]))
    spec = BuckSpec(wires=(), sagitta_limit=6.0)
    found = propose_wires(network, skin, spec)
    assert {p.wire.line for p in found.proposed if p.why == "line"} == {"upright 0", "upright 1"}
    cuts = sorted(
        p.wire.plane[1] for p in found.proposed if p.wire.plane and p.wire.plane[0] == "x"
    )
    angles = np.array([-0.6, *(np.arcsin(x / radius) for x in cuts), 0.6])
    arcs = radius * np.diff(angles)
    stiff = 48.0 * 205_000.0 * np.pi * 6.35**4 / 64.0 * spec.push_limit / spec.hand_push
    assert arcs.max() <= np.cbrt(1.2 * stiff)
    assert (arcs**2 / (8.0 * radius)).max() <= 1.2 * 6.0 * 1.01
    # Dividing twice, once for each rule, costs one wire more than the fewest at most.
    widest = min(np.cbrt(1.2 * stiff), np.sqrt(1.2 * 6.0 * 8.0 * radius))
    assert len(arcs) <= int(np.ceil(radius * 1.2 / widest)) + 1


# --- Creases ------------------------------------------------------------------------------------


def _corner(turn: float) -> tuple[Skin, LineNetwork]:
    """A top and a side that meet along x at an angle; positive turns fold away from outside."""
    x, w = np.linspace(0.0, 600.0, 49), np.linspace(0.0, 200.0, 17)
    across = np.array([np.cos(turn), -np.sin(turn)])

    def top(x: Array, w: Array) -> Array:
        return np.column_stack([x, -w, np.zeros_like(x)])

    def side(x: Array, w: Array) -> Array:
        return np.column_stack([x, w * across[0], w * across[1]])

    edge = LineTrack(line="edge", vertices=np.arange(49) * 17, closed=False)
    outward = np.array([0.0, np.sin(turn), np.cos(turn)])
    regions = (
        grid_region("top", top, x, w, outward=lambda p: 0.0 * p + [0.0, 0.0, 1.0], boundary=[edge]),
        grid_region("side", side, x, w, outward=lambda p: 0.0 * p + outward, boundary=[edge]),
    )
    fine = np.linspace(0.0, 600.0, 61)
    line = line_through("edge", top(fine, np.zeros(61)))
    return Skin(regions=regions), LineNetwork(lines=(line,), crossings=())


@pytest.mark.parametrize("turn", [0.3, np.pi / 2, 1.9])
@pytest.mark.parametrize("region", ["top", "side"])
def test_a_wire_in_a_corner_lies_equally_deep_under_both_sheets(turn: float, region: str) -> None:
    skin, network = _corner(turn)
    spec = BuckSpec(wires=(WireSpec(name="edge", region=region, line="edge"),))
    (wire,) = make_buck(spec, network, skin).wires
    under_top = -wire.axis[:, 2]
    under_side = -(wire.axis[:, 1] * np.sin(turn) + wire.axis[:, 2] * np.cos(turn))
    assert under_top == pytest.approx(wire.set_in, abs=0.01)
    assert under_side == pytest.approx(wire.set_in, abs=0.01)


def test_a_wire_along_a_reverse_crease_keeps_its_depth_from_the_edge() -> None:
    skin, network = _corner(-1.0)
    spec = BuckSpec(wires=(WireSpec(name="edge", region="top", line="edge"),))
    (wire,) = make_buck(spec, network, skin).wires
    assert np.hypot(wire.axis[:, 1], wire.axis[:, 2]) == pytest.approx(wire.set_in, abs=0.01)


# --- The demo van -------------------------------------------------------------------------------


def _raised(z: Array, by: float) -> Array:
    """How far points at a height are moved up: not below 1250, whole above 1500 mm."""
    share = np.clip((z - 1250.0) / 250.0, 0.0, 1.0)
    return by * share**3 * (10.0 - 15.0 * share + 6.0 * share**2)


def _van(job: Job, roof_up: float) -> tuple[LineNetwork, Skin]:
    used = {n for r in job.regions for n in (*r.boundary, *r.inner, *r.holes)}
    lines = {name: line for name, line in truelines.lines().items() if name in used}
    closed = frozenset(name for name, (_, ring) in lines.items() if ring)

    def lifted(curve: truelines.Curve) -> truelines.Curve:
        def points(t: Array) -> Array:
            at = np.array(curve(t), dtype=np.float64)
            at[:, 2] += _raised(at[:, 2], roof_up)
            return at

        return points

    curves = {name: lifted(curve) for name, (curve, _) in lines.items()}
    network = network_of(curves, closed=closed, points=241)
    return network, span_skin(network, job.regions, edge_length=25.0)


@pytest.fixture(scope="module", name="van")
def _the_van() -> tuple[Job, LineNetwork, Skin, Buck]:
    """The example with its true lines, without the frame, which is another check's business."""
    job = Job.model_validate_json((WREN / "job.json").read_text(encoding="utf-8"))
    assert job.buck is not None
    spec = job.buck.model_copy(update={"frame_x": (0.0, 0.0)})
    job = job.model_copy(update={"buck": spec})
    network, skin = _van(job, 0.0)
    return job, network, skin, make_buck(spec, network, skin)


@pytest.mark.slow
def test_no_two_tubes_of_the_van_intersect(van: tuple[Job, LineNetwork, Skin, Buck]) -> None:
    depth, which = deepest_clash(van[3].wires)
    assert depth < 0.05, which


def _off_quadrics(points: Array, region: SkinRegion) -> Array:
    """Signed height of points over the paraboloids nearest to the vertices round each.

    Infinite for points far from the region.
    """
    tree = cKDTree(region.vertices)
    away, near = tree.query(points, k=14)
    heights = np.full(len(points), np.inf)
    triangles = region.vertices[region.triangles]
    normals = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    outward = cKDTree(triangles.mean(axis=1))
    for k in np.flatnonzero(away[:, 0] < 60.0):
        point = points[k]
        patch = region.vertices[near[k]]
        centre = patch.mean(axis=0)
        axes = np.linalg.svd(patch - centre)[2]
        if axes[2] @ normals[outward.query(point)[1]] < 0.0:
            axes = axes * np.array([[1.0], [1.0], [-1.0]])
        local, at = (patch - centre) @ axes.T, (point - centre) @ axes.T
        x, y = local[:, 0], local[:, 1]
        terms = np.column_stack([np.ones_like(x), x, y, x * x, x * y, y * y])
        c = np.linalg.lstsq(terms, local[:, 2], rcond=None)[0]
        # Newton's foot of the perpendicular on z = f(x, y).
        u = at[:2].copy()
        for _ in range(6):
            f = c @ [1.0, u[0], u[1], u[0] ** 2, u[0] * u[1], u[1] ** 2]
            slope = np.array([c[1] + 2 * c[3] * u[0] + c[4] * u[1], c[2] + c[4] * u[0]])
            slope[1] += 2.0 * c[5] * u[1]
            u = at[:2] - slope * (f - at[2])
        f = c @ [1.0, u[0], u[1], u[0] ** 2, u[0] * u[1], u[1] ** 2]
        foot = np.array([u[0], u[1], f])
        heights[k] = np.copysign(np.linalg.norm(at - foot), at[2] - f)
    return heights


@pytest.mark.slow
def test_every_wire_of_the_van_lies_where_it_should(
    van: tuple[Job, LineNetwork, Skin, Buck],
) -> None:
    """Depth under paraboloids fitted to the skin's own vertices by least squares, every 40 mm."""
    _, _, skin, buck = van
    worst: dict[str, float] = {}
    for wire in buck.wires:
        if wire.side == "right":
            continue
        regions = [r for r in skin.regions if r.name == wire.region and r.side == wire.side]
        axis = fine_axis(wire.axis, closed=wire.closed, step=40.0)
        # A line may run on over a neighbour where the metal goes on without a crease.
        regions += [r for r in skin.regions if r.side == "whole" and r.name != wire.region]
        heights = np.min(
            [np.abs(_off_quadrics(axis, region) + wire.set_in) for region in regions], axis=0
        )
        worst[wire.name] = float(heights.max())
    assert max(worst.values()) < 0.3, max(worst, key=lambda name: worst[name])


@pytest.mark.slow
def test_no_tube_of_the_van_stands_out_of_the_inner_face(
    van: tuple[Job, LineNetwork, Skin, Buck],
) -> None:
    """Points all over the skin against every axis: none of the metal lies within a tube."""
    job, _, skin, buck = van
    assert job.buck is not None
    cuts = 5
    weights = np.array(
        [(i, j, cuts - i - j) for i in range(cuts + 1) for j in range(cuts + 1 - i)]
    ) / float(cuts)
    metal = np.vstack(
        [np.einsum("wk,mkd->mwd", weights, r.corners()).reshape(-1, 3) for r in skin.regions]
    )
    axes = [fine_axis(wire.axis, closed=wire.closed, step=1.0) for wire in buck.wires]
    tree = cKDTree(np.vstack(axes))
    owner = np.repeat(np.arange(len(axes)), [len(axis) for axis in axes])
    starts = np.concatenate([[0], np.cumsum([len(axis) for axis in axes])])
    gap, nearest = tree.query(metal, distance_upper_bound=20.0)
    needed = 0.5 * job.buck.rod_diameter + job.buck.sheet_thickness
    # Flat triangles lie up to h^2 / 8 R = 0.55 mm inside the skin that they stand for, with
    # edges of 28 mm on a radius of 175 mm.
    close = np.flatnonzero(gap < needed - 0.55)
    for point, place in zip(metal[close], nearest[close], strict=True):
        axis = axes[owner[place]]
        at = place - starts[owner[place]]
        # Only metal beyond a flat end may come nearer.
        assert at in (0, len(axis) - 1), buck.wires[owner[place]].name
        inner = axis[1] if at == 0 else axis[-2]
        outward = axis[at] - inner
        beyond = (point - axis[at]) @ outward / np.linalg.norm(outward)
        assert beyond > -1.0, buck.wires[owner[place]].name


@pytest.mark.slow
def test_every_tack_mark_of_the_van_lies_where_the_rods_meet(
    van: tuple[Job, LineNetwork, Skin, Buck],
) -> None:
    assert len(van[3].tacks) > 80
    assert worst_tack_mark(van[3]) < 0.5


@pytest.mark.slow
def test_a_roof_twenty_millimetres_up_marks_the_right_wires_and_no_other(
    van: tuple[Job, LineNetwork, Skin, Buck],
) -> None:
    """The change's own formula at the points of each wire that stands says what must change."""
    job, _, _, buck = van
    assert job.buck is not None
    built = mark_built(job, buck, [wire.name for wire in buck.wires], "2026-03-14").built
    moved = {wire.name: float(_raised(wire.axis[:, 2], 20.0).max()) for wire in buck.wires}
    assert not [name for name, by in moved.items() if 0.8 < by < 1.3]
    network, skin = _van(job, 20.0)
    after = make_buck(job.buck, network, skin, built=built)
    verdicts = {change.wire: change.verdict for change in after.changes}
    assert set(verdicts) == set(moved)
    assert {n for n, v in verdicts.items() if v != "right"} == {
        n for n, by in moved.items() if by > 1.0
    }
    for change in after.changes:
        # The skin over a wire is moved, and lies no higher than its axis by more than its depth.
        wire = next(wire for wire in buck.wires if wire.name == change.wire)
        most = float(_raised(wire.axis[:, 2] + wire.set_in, 20.0).max())
        assert change.most <= most + 0.1
    assert verdicts["roof centre line"] == "move"
    assert set(after.to_make) == {n for n, v in verdicts.items() if v == "bend again"}
