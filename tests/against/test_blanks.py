"""Blanks and grids held to what we did not write: theorems, handbook formulas, SciPy, libigl."""

import igl
import numpy as np
import pytest
from scipy.integrate import solve_bvp, trapezoid
from scipy.optimize import Bounds, LinearConstraint, minimize

import flat_peers
from buckwright.geometry.flat_energy import FlatEnergy
from buckwright.geometry.flatten import flatten_least_work, flatten_one_way, outer_loop
from buckwright.geometry.mesh import MeshLocator, boundary_loops, triangle_areas
from buckwright.geometry.strain import hencky_measure, normal_measure
from buckwright.model.panels import SheetStock
from buckwright.panels import flatten_panel, panel_grid
from discs_on_paper import as_panel, cap, opened, ring_disc, tube, wing

RADIUS = 500.0
SHEET = SheetStock(alloy="3003-O", thickness=1.6)
Mesh = tuple[np.ndarray, np.ndarray]


def logs(mesh: Mesh, flat: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    found = FlatEnergy(*mesh, hencky_measure).logs(flat)
    assert found is not None
    return found


def mean_work(mesh: Mesh, flat: np.ndarray, ratio: float = 1.0) -> float:
    energy = FlatEnergy(*mesh, normal_measure(ratio))
    return energy.value(flat) / float(energy.areas.sum())


@pytest.mark.parametrize("ratio", [0.6, 1.0, 1.6, 2.1])
def test_the_work_measure_is_that_of_hills_yield_ellipse(ratio: float) -> None:
    """R. Hill, Proc. Roy. Soc. A 193 (1948): in plane stress with normal anisotropy the yield
    locus is s1^2 + s2^2 - 2 r / (1 + r) s1 s2 = Y^2. The work of a strain is the greatest
    s1 e1 + s2 e2 on it (maximum plastic work), found here by walking the ellipse."""
    turn = np.linspace(0.0, 2.0 * np.pi, 400_001)
    way = np.stack([np.cos(turn), np.sin(turn)])
    size = np.sqrt(way[0] ** 2 + way[1] ** 2 - 2.0 * ratio / (1.0 + ratio) * way[0] * way[1])
    stress = way / size
    for strain in ([0.02, 0.01], [0.03, -0.03], [-0.05, 0.0], [0.01, -0.04]):
        effective = float((np.array(strain) @ stress).max())
        value = normal_measure(ratio)(*(np.array([part]) for part in strain))[0]
        assert float(value[0]) == pytest.approx(0.75 * effective**2, rel=1e-8)


@pytest.mark.parametrize(
    ("angle", "diameter", "height"),
    [(np.pi / 2, 2.0 * RADIUS, RADIUS), (np.pi / 3, np.sqrt(3.0) * RADIUS, 0.5 * RADIUS)],
    ids=["hemisphere 1.414 d", "segment sqrt(d^2 + 4 h^2)"],
)
def test_shell_blanks_of_the_handbook_without_change_of_thickness(
    angle: float, diameter: float, height: float
) -> None:
    """Handbook blank diameters of drawn shells at constant thickness. Metal with a large r keeps
    its thickness: the blank that our own energy then gives has that diameter."""
    mesh = cap(40, angle, RADIUS)
    found = flatten_least_work(*mesh, normal_ratio=1e4)
    e1, e2 = logs(mesh, found.points)
    assert found.settled
    assert np.abs(e1 + e2).max() < 1e-3
    area = float(triangle_areas(found.points, mesh[1]).sum())
    handbook = np.sqrt(diameter**2 + 4.0 * height**2)
    # The facets of the mesh have 3e-4 less area than the sphere.
    assert np.sqrt(4.0 * area / np.pi) == pytest.approx(handbook, rel=3e-4)


def cup(rings: int, diameter: float, height: float) -> Mesh:
    disc, triangles = ring_disc(rings)
    away, turn = np.hypot(*disc.T), np.arctan2(disc[:, 1], disc[:, 0])
    edge = round(rings * diameter / (diameter + 2.0 * height)) / rings
    out = 0.5 * diameter * np.minimum(away / edge, 1.0)
    down = height * np.maximum((away - edge) / (1.0 - edge), 0.0)
    return np.column_stack([out * np.cos(turn), out * np.sin(turn), -down]), triangles


def test_the_handbook_blank_of_a_cup_without_change_of_thickness() -> None:
    """D = sqrt(d^2 + 4 d h), a drawn cup with a sharp bottom edge."""
    mesh = cup(30, 400.0, 100.0)
    found = flatten_least_work(*mesh, normal_ratio=1e4)
    e1, e2 = logs(mesh, found.points)
    assert np.abs(e1 + e2).max() < 3e-3
    area = float(triangle_areas(found.points, mesh[1]).sum())
    assert np.sqrt(4.0 * area / np.pi) == pytest.approx(np.sqrt(400.0**2 + 4e4 * 4.0), rel=3e-4)


def test_the_area_preserving_limit_of_a_cap_is_lamberts_map() -> None:
    """J. H. Lambert: radius 2 R sin(t / 2), and no change of area.

    Triangles that may not change their area are stiff: the nearer the limit, the more of the
    mesh's own six-fold pattern is seen at the rim. So the area is held to the far limit, the map
    itself to a nearer one.
    """
    angle = np.radians(30.0)
    mesh = cap(40, angle, RADIUS)
    theta = np.arccos(np.clip(mesh[0][:, 2] / RADIUS, -1.0, 1.0))
    lambert = 2.0 * RADIUS * np.sin(theta / 2.0)
    far = flatten_least_work(*mesh, normal_ratio=1e4).points
    e1, e2 = logs(mesh, far)
    assert np.abs(e1 + e2).max() < 1e-4
    area = float(triangle_areas(far, mesh[1]).sum())
    assert np.sqrt(area / np.pi) == pytest.approx(lambert.max(), rel=3e-4)
    rim = far[boundary_loops(mesh[1])[0]]
    assert np.linalg.norm(rim - far[0], axis=1).mean() == pytest.approx(lambert.max(), rel=1e-4)
    near = flatten_least_work(*mesh, normal_ratio=100.0).points
    assert np.abs(np.linalg.norm(near - near[0], axis=1) - lambert).max() < 1e-3 * lambert.max()


def test_a_cap_that_may_only_be_shrunk_has_a_blank_as_wide_as_its_arc() -> None:
    """No length may grow from blank to cap, so the blank's radius is at least the arc R a; with
    rho' = 1 every strain is the least that is left: the azimuthal equidistant map, exactly."""
    angle, slack = np.radians(40.0), 1e-3
    mesh = cap(30, angle, RADIUS)
    found = flatten_one_way(*mesh, sense=-1.0, slack=slack)
    assert found.settled
    e1, e2 = logs(mesh, found.points)
    assert min(e1.min(), e2.min()) > -slack
    theta = np.arccos(np.clip(mesh[0][:, 2] / RADIUS, -1.0, 1.0))
    away = np.linalg.norm(found.points - found.points[0], axis=1)
    assert np.abs(away - RADIUS * theta).max() < 3e-3 * RADIUS * angle
    assert e1.max() == pytest.approx(np.log(angle / np.sin(angle)), rel=0.03)


def test_a_cap_that_may_only_be_stretched_is_that_of_a_radial_optimum() -> None:
    """On a round cap the blank is rho(theta); SciPy's trust-region method finds the least work
    under rho' <= 1 and rho <= sin theta, node by node, and shares nothing with ours."""
    angle, slack, nodes = np.radians(50.0), 1e-3, 61
    theta = np.linspace(0.0, angle, nodes)
    middle, step = 0.5 * (theta[1:] + theta[:-1]), theta[1] - theta[0]
    most = np.exp(slack)
    slope = (np.eye(nodes)[1:] - np.eye(nodes)[:-1])[:, 1:] / step

    def work(rho: np.ndarray) -> float:
        whole = np.concatenate([[0.0], rho])
        e1 = np.log(np.diff(whole) / step)
        e2 = np.log(0.5 * (whole[1:] + whole[:-1]) / np.sin(middle))
        return float(((e1**2 + e2**2 + e1 * e2) * np.sin(middle)).sum() * step)

    begin = 0.9 * np.sin(theta[1:])
    best = minimize(
        work,
        begin,
        method="SLSQP",
        bounds=Bounds(1e-4, most * np.sin(theta[1:])),
        constraints=[LinearConstraint(slope, 1e-3, most)],
        options={"maxiter": 400, "ftol": 1e-12},
    )
    assert best.success, best.message
    mesh = cap(40, angle, RADIUS)
    found = flatten_one_way(*mesh, sense=1.0, slack=slack)
    e1, e2 = logs(mesh, found.points)
    assert max(e1.max(), e2.max()) < slack
    wanted = best.fun / (1.0 - np.cos(angle))
    assert mean_work(mesh, found.points) == pytest.approx(wanted, rel=0.02)
    rim = found.points[boundary_loops(mesh[1])[0]]
    assert np.linalg.norm(rim - found.points[0], axis=1).mean() == pytest.approx(
        RADIUS * best.x[-1], rel=3e-3
    )


def test_least_work_on_a_cap_with_a_hole_is_that_of_the_radial_equation() -> None:
    """The Euler-Lagrange equation of e1^2 + e2^2 + e1 e2, free at both edges, solved by SciPy."""
    inner, outer = np.radians(20.0), np.radians(60.0)

    def slopes(theta: np.ndarray, state: np.ndarray) -> np.ndarray:
        rho, e1 = state
        e2 = np.log(rho / np.sin(theta))
        along, across = 2.0 * e1 + e2, e1 + 2.0 * e2
        de2 = np.exp(e1) / rho - 1.0 / np.tan(theta)
        force = across * np.exp(e1) / rho - along / np.tan(theta) - de2
        return np.vstack([np.exp(e1), force / (2.0 - along)])

    def ends(first: np.ndarray, last: np.ndarray) -> np.ndarray:
        return np.array(
            [2.0 * s[1] + np.log(s[0] / np.sin(t)) for s, t in ((first, inner), (last, outer))]
        )

    theta = np.linspace(inner, outer, 300)
    found = solve_bvp(slopes, ends, theta, np.vstack([theta, 0.0 * theta]), tol=1e-8)
    assert found.success
    theta = np.linspace(inner, outer, 4000)
    rho, e1 = found.sol(theta)
    e2 = np.log(rho / np.sin(theta))
    density = (e1**2 + e2**2 + e1 * e2) * np.sin(theta)
    wanted = trapezoid(density, theta) / (np.cos(inner) - np.cos(outer))
    mesh = ring_of_cap(inner, outer, 30)
    flat = flatten_least_work(*mesh).points
    assert mean_work(mesh, flat) == pytest.approx(wanted, rel=1e-2)
    rim, holes = outer_loop(flat, mesh[1])
    middle = flat[rim].mean(axis=0)
    assert np.linalg.norm(flat[rim] - middle, axis=1).mean() == pytest.approx(
        RADIUS * rho[-1], rel=1e-3
    )
    assert np.linalg.norm(flat[holes[0]] - middle, axis=1).mean() == pytest.approx(
        RADIUS * rho[0], rel=1e-3
    )


def ring_of_cap(inner: float, outer: float, along: int) -> Mesh:
    """The cap between two half-angles, top up, its outside up."""
    unit, triangles = tube(1.0, 1.0, 6 * along, along)
    theta, turn = outer + unit[:, 2] * (inner - outer), np.arctan2(unit[:, 1], unit[:, 0])
    across = RADIUS * np.sin(theta)
    points = [across * np.cos(turn), across * np.sin(turn), RADIUS * np.cos(theta)]
    return np.column_stack(points), triangles


def test_a_dart_let_into_a_ring_strains_its_edges_as_reckoned_by_hand() -> None:
    """A flat ring of mean radius r with a gusset of angle b taken out and closed is a cone: at s
    from its middle it measures (r + s)(2 pi - b) round. Laid flat in one piece it measures
    2 pi (r' + s) there, with r' = r (1 - b / 2 pi) so that the middle keeps its length. By hand:
    the edges differ in length by s b / (r (2 pi - b)), one longer and one shorter; here 3.33 %.
    """
    mean, half, dart = 300.0, 10.0, np.radians(180.0)
    round_way = 2.0 * np.pi - dart
    unit, triangles = tube(1.0, 1.0, 360, 9)
    slant = mean + half - 2.0 * half * unit[:, 2]
    sine = round_way / (2.0 * np.pi)
    turn = np.arctan2(unit[:, 1], unit[:, 0])
    points = np.column_stack(
        [slant * sine * np.cos(turn), slant * sine * np.sin(turn), -slant * np.sqrt(1.0 - sine**2)]
    )
    flat = flatten_least_work(points, triangles).points
    middle = flat.mean(axis=0)
    change = []
    for loop in outer_loop(flat, triangles)[0], outer_loop(flat, triangles)[1][0]:
        here = np.linalg.norm(points[loop] - np.roll(points[loop], 1, axis=0), axis=1).sum()
        there = np.linalg.norm(flat[loop] - np.roll(flat[loop], 1, axis=0), axis=1).sum()
        change.append(np.log(here / there))
        assert np.ptp(np.linalg.norm(flat[loop] - middle, axis=1)) < 0.1
    by_hand = half * dart / (mean * round_way)
    assert by_hand == pytest.approx(1.0 / 30.0)
    # The outer edge must shrink from blank to panel and the inner one stretch, by as much.
    assert change[0] == pytest.approx(-by_hand, rel=0.05)
    assert change[1] == pytest.approx(by_hand, rel=0.05)


def test_with_openings_our_work_is_below_that_of_libigl() -> None:
    """libigl 2.6 (MPL 2) on a wing and a cap with holes: LSCM, ARAP, SLIM with its log energy."""
    holed = opened(cap(30, np.radians(45.0)), (90.0, 40.0, 60.0), (-150.0, -60.0, 40.0))
    for mesh in (holed, opened(wing(24), (0.0, -715.0, 45.0))):
        assert len(boundary_loops(mesh[1])) > 1
        start = flat_peers.conformal(*mesh)
        ours = mean_work(mesh, flatten_least_work(*mesh).points)
        for flat in (
            start,
            flat_peers.rigid(*mesh, start, 100),
            flat_peers.injective(*mesh, start, 10),
        ):
            assert ours < 0.999 * mean_work(mesh, flat)


def test_grid_lengths_are_those_of_libigls_exact_geodesics() -> None:
    """Mitchell, Mount and Papadimitriou's exact geodesics as libigl has them, from crossing to
    crossing. The line on the panel is no shortest way, but over one square nearly so: 0.02 mm."""
    panel = as_panel(wing(16))
    blank = flatten_panel(panel, SHEET, allowance=0.0)
    grid = panel_grid(panel, blank, square=50.0)
    _, _, triangle, weights = MeshLocator(panel.vertices, panel.triangles).closest(
        np.vstack([line.places for line in grid.lines])
    )
    inside = weights.min(axis=1) > 1e-3
    starts = np.concatenate([[0], np.cumsum([len(line.places) for line in grid.lines])])
    compared = 0
    for number, line in enumerate(grid.lines):
        for k in range(1, len(line.places) - 2):
            ends = starts[number] + k, starts[number] + k + 1
            apart = triangle[ends[0]] != triangle[ends[1]]
            if (number + k) % 5 or not (inside[list(ends)].all() and apart):
                continue
            exact = geodesic(
                panel.vertices, panel.triangles, triangle[list(ends)], line.places[k : k + 2]
            )
            assert -1e-6 < line.panel_lengths[k] - exact < 0.02
            compared += 1
    assert compared > 15


def geodesic(
    vertices: np.ndarray, triangles: np.ndarray, owners: np.ndarray, places: np.ndarray
) -> float:
    """Between two points inside two triangles, each of which is split at its point in three."""
    count = len(vertices)
    split = [
        [(a, b, count + k), (b, c, count + k), (c, a, count + k)]
        for k, (a, b, c) in enumerate(triangles[owners].tolist())
    ]
    kept = np.delete(triangles, owners, axis=0)
    fine = np.vstack([kept, *np.array(split)]).astype(np.int64)
    none = np.zeros(0, dtype=np.int64)
    found = igl.exact_geodesic(
        np.asfortranarray(np.vstack([vertices, places])),
        np.asfortranarray(fine),
        np.array([count]),
        none,
        np.array([count + 1]),
        none,
    )
    return float(np.ravel(found)[0])
