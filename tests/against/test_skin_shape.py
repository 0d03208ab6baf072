"""Curvature, stripes and sections of the skin against closed forms, Open CASCADE and libigl."""

from collections.abc import Callable

import igl
import numpy as np
import pytest
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepAlgoAPI import BRepAlgoAPI_Section
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakeSphere, BRepPrimAPI_MakeTorus
from OCP.gp import gp_Ax2, gp_Dir, gp_Pln, gp_Pnt
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS
from scipy.spatial import cKDTree

from buckwright.geometry.curvature import angle_defects, mesh_curvatures
from buckwright.geometry.mesh import boundary_loops, vertex_areas
from buckwright.geometry.polyline import polyline_length
from buckwright.model.crowns import CrownLimits
from buckwright.model.skin import Skin, SkinRegion
from buckwright.skin import (
    isophotes,
    reflection_stripes,
    section_lines,
    skin_shape,
    span_region,
)
from dips_on_paper import BODIES, NO_LINES, region_of
from meshes_on_paper import MOVES, inner_vertices, sphere_cap
from networks_on_paper import cap, tunnel
from skins_on_paper import cylinder, grid_region, sphere, torus

Implicit = Callable[[np.ndarray], tuple[np.ndarray, np.ndarray]]

# Solids that Open CASCADE has exactly, our meshes of them, and their gradients and second
# derivatives for the curvature of a section: of F = 0 in a plane it is that of the plane curve
# F = 0, (t H t) / |projected gradient|, differential geometry texts.

RING, TUBE, BALL, ROD = 600.0, 250.0, 500.0, 300.0


def _away(points: np.ndarray) -> np.ndarray:
    return points


def _torus_mesh() -> SkinRegion:
    u, v = np.linspace(-1.2, 1.2, 201), np.linspace(-1.9, 1.9, 111)
    middle = lambda p: p - RING * p * [1, 1, 0] / np.hypot(p[:, 0], p[:, 1])[:, None]  # noqa: E731
    return grid_region("torus", torus(RING, TUBE), u, v, outward=middle)


def _ball_mesh() -> SkinRegion:
    u, v = np.linspace(-1.2, 1.2, 131), np.linspace(-1.0, 1.0, 109)
    return grid_region("ball", sphere(BALL), u, v, outward=_away)


def _rod_mesh() -> SkinRegion:
    u, v = np.linspace(-500.0, 500.0, 101), np.linspace(0.1, 3.0, 91)
    return grid_region("rod", cylinder(ROD), u, v, outward=lambda p: p * [0, 1, 1])


def _torus_form(p: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    rho = np.hypot(p[:, 0], p[:, 1])
    e = np.column_stack([p[:, 0] / rho, p[:, 1] / rho, 0 * rho])
    f = np.column_stack([-e[:, 1], e[:, 0], 0 * rho])
    gradient = (rho - RING)[:, None] * e + p * [0, 0, 1]
    hessian = e[:, :, None] * e[:, None, :] + np.diag([0.0, 0.0, 1.0])
    hessian += ((rho - RING) / rho)[:, None, None] * f[:, :, None] * f[:, None, :]
    return gradient, hessian


def _ball_form(p: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    return p, np.tile(np.eye(3), (len(p), 1, 1))


def _rod_form(p: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    return p * [0, 1, 1], np.tile(np.diag([0.0, 1.0, 1.0]), (len(p), 1, 1))


def _solid(name: str) -> object:
    if name == "torus":
        return BRepPrimAPI_MakeTorus(RING, TUBE).Shape()
    if name == "ball":
        return BRepPrimAPI_MakeSphere(BALL).Shape()
    axis = gp_Ax2(gp_Pnt(-500.0, 0.0, 0.0), gp_Dir(1.0, 0.0, 0.0))
    return BRepPrimAPI_MakeCylinder(axis, ROD, 1000.0).Shape()


SOLIDS: dict[str, tuple[Callable[[], SkinRegion], Implicit, float]] = {
    "torus": (_torus_mesh, _torus_form, TUBE),
    "ball": (_ball_mesh, _ball_form, BALL),
    "rod": (_rod_mesh, _rod_form, ROD),
}
"""Our mesh, the solid's derivatives, its tightest radius."""

PLANES = {
    "torus": ((620.0, 0.0, 20.0), (0.3, 1.0, 0.4)),
    "ball": ((380.0, 30.0, 20.0), (1.0, 0.3, 0.2)),
    "rod": ((40.0, 0.0, 100.0), (1.0, 0.2, 0.5)),
}


def _exact_section(solid: object, origin: np.ndarray, normal: np.ndarray) -> np.ndarray:
    """Points 1 mm and less apart on Open CASCADE's section."""
    plane = gp_Pln(gp_Pnt(*origin), gp_Dir(*normal))
    section = BRepAlgoAPI_Section(solid, plane)
    explorer, points = TopExp_Explorer(section.Shape(), TopAbs_EDGE), []
    while explorer.More():
        curve = BRepAdaptor_Curve(TopoDS.Edge(explorer.Current()))
        at = np.linspace(curve.FirstParameter(), curve.LastParameter(), 6001)
        found = [curve.Value(float(t)) for t in at]
        points += [[p.X(), p.Y(), p.Z()] for p in found]
        explorer.Next()
    return np.array(points)


@pytest.mark.parametrize("name", SOLIDS)
def test_sections_lie_on_open_cascade_s_and_have_the_curvature_of_the_solid(name: str) -> None:
    make, form, tightest = SOLIDS[name]
    region = make()
    origin, normal = (np.array(v) for v in PLANES[name])
    bends = mesh_curvatures(region.vertices, region.triangles)
    (line,) = section_lines(region.vertices, region.triangles, bends, origin=origin, normal=normal)
    unit = normal / np.linalg.norm(normal)
    assert np.abs((line.points - origin) @ unit).max() < 1e-9
    exact = _exact_section(_solid(name), origin, normal)
    edges = region.vertices[region.triangles] - region.vertices[region.triangles[:, [1, 2, 0]]]
    # A chord as long as the longest edge lies inside by at most e^2 / 8 R; seen in the plane, by
    # that over the sine of the angle between plane and skin. Points are 0.5 mm apart at most.
    gradient, hessian = form(line.points)
    steep = np.linalg.norm(gradient - (gradient @ unit)[:, None] * unit, axis=1)
    steep /= np.linalg.norm(gradient, axis=1)
    deep = (np.linalg.norm(edges, axis=2).max() ** 2) / (8.0 * tightest) / steep
    gap, _ = cKDTree(exact).query(line.points)
    assert (gap < np.hypot(deep, 0.5)).all()
    assert np.median(gap) < 0.3
    # Curvature of the plane curve, and its outside.
    flat = gradient - (gradient @ unit)[:, None] * unit
    size = np.linalg.norm(flat, axis=1)
    along = np.cross(unit, flat / size[:, None])
    true = np.einsum("ki,kij,kj->k", along, hessian, along) / size
    inner = slice(6, -6)
    assert line.curvature[inner] == pytest.approx(true[inner], rel=0.02, abs=2e-5)
    assert line.outward[inner] == pytest.approx((flat / size[:, None])[inner], abs=2e-3)


def test_the_length_of_a_section_is_that_of_open_cascade_within_a_hundredth_of_a_percent() -> None:
    u, v = np.linspace(-np.pi, np.pi, 481), np.linspace(0.1, 0.4, 25)
    region = grid_region("ball", sphere(BALL), u, v, outward=_away)
    bends = mesh_curvatures(region.vertices, region.triangles)
    up = np.array([0.0, 0.0, 1.0])
    exact = polyline_length(_exact_section(_solid("ball"), 120.7 * up, up))
    assert exact == pytest.approx(2.0 * np.pi * np.sqrt(BALL**2 - 120.7**2), rel=1e-6)
    lines = section_lines(region.vertices, region.triangles, bends, origin=120.7 * up, normal=up)
    assert sum(polyline_length(s.points, closed=s.closed) for s in lines) == pytest.approx(
        exact, rel=1e-4
    )


@pytest.mark.parametrize("move", [*MOVES, "reverse"])
def test_a_section_moves_with_the_skin(move: str) -> None:
    region = _torus_mesh()
    origin, normal = (np.array(v) for v in PLANES["torus"])
    bends = mesh_curvatures(region.vertices, region.triangles)
    (first,) = section_lines(region.vertices, region.triangles, bends, origin=origin, normal=normal)
    moves = MOVES.get(move, lambda p: p)
    vertices = moves(region.vertices)
    triangles = region.triangles[:, ::-1] if move in ("mirror", "reverse") else region.triangles
    ends = moves(np.vstack([origin, origin + normal]))
    bends = mesh_curvatures(vertices, triangles)
    (second,) = section_lines(vertices, triangles, bends, origin=ends[0], normal=ends[1] - ends[0])
    scale = 2.5 if move == "scale" else 1.0
    sense = -1.0 if move == "reverse" else 1.0
    tree = cKDTree(second.points)
    gap, at = tree.query(moves(first.points))
    assert gap.max() < 1e-6
    assert second.curvature[at] * scale * sense == pytest.approx(first.curvature, abs=1e-8)


# Stripes: on a ball of radius R seen along -z, with lights along y, a mirrored ray meets the
# lights at twice the angle of the normal in the x, z plane: atan2(2 nx nz, 2 nz^2 - 1).


def _misses(step: float) -> np.ndarray:
    """Sines by which mirrored rays miss the planes of their lights, on a ball."""
    # Within 45 degrees: there the mirrored ray runs along the lights.
    points, triangles = sphere_cap(500.0, 0.75, step)
    normals = mesh_curvatures(points, triangles).normals
    stripes = reflection_stripes(
        points,
        triangles,
        normals,
        look=np.array([0.0, 0.0, -1.0]),
        tubes=np.array([0.0, 1.0, 0.0]),
        edges=36,
    )
    assert len({round(s.level, 9) for s in stripes}) > 12
    misses = []
    for stripe in stripes:
        exact = stripe.points / np.linalg.norm(stripe.points, axis=1, keepdims=True)
        across, back = 2.0 * exact[:, 0] * exact[:, 2], 2.0 * exact[:, 2] ** 2 - 1.0
        towards = across * np.sin(stripe.level) + back * np.cos(stripe.level)
        assert towards.min() > -2e-3
        misses.append(across * np.cos(stripe.level) - back * np.sin(stripe.level))
    return np.concatenate(misses)


def test_stripes_on_a_ball_are_where_the_mirror_law_puts_them() -> None:
    coarse, fine = _misses(24.0), _misses(12.0)
    assert np.abs(fine).max() < 2e-3
    # Straight between vertices: of second order in the edge length.
    assert np.mean(fine**2) < 0.4**2 * np.mean(coarse**2)


def test_stripes_on_a_cylinder_are_straight_and_at_half_the_angle() -> None:
    region = region_of(*BODIES["vault"], 15.0)
    normals = mesh_curvatures(region.vertices, region.triangles).normals
    stripes = reflection_stripes(
        region.vertices,
        region.triangles,
        normals,
        look=np.array([0.0, 0.0, -1.0]),
        tubes=np.array([1.0, 0.0, 0.0]),
        edges=24,
    )
    assert len(stripes) > 8
    for stripe in stripes:
        turn = np.arctan2(stripe.points[:, 1], stripe.points[:, 2])
        # Right hand round +x from the viewer: y goes over to -z.
        assert np.abs(np.exp(2j * turn) - np.exp(-1j * stripe.level)).max() < 5e-3
        assert np.ptp(stripe.points[:, 1]) < 0.7


def test_shades_on_a_ball_are_circles_round_the_light() -> None:
    points, triangles = sphere_cap(500.0, 0.8, 12.0)
    normals = mesh_curvatures(points, triangles).normals
    light = np.array([0.2, -0.1, 1.0])
    shades = isophotes(points, triangles, normals, light=light, count=17)
    assert len(shades) > 3
    unit = light / np.linalg.norm(light)
    for shade in shades:
        assert shade.points @ unit == pytest.approx(500.0 * np.cos(shade.level), abs=0.15)


@pytest.mark.parametrize("move", ["turn", "shift", "mirror", "scale"])
def test_stripes_move_with_skin_viewer_and_lights(move: str) -> None:
    region = region_of(*BODIES["small ellipsoid"], 25.0)
    look, tubes = np.array([0.2, 0.3, -1.0]), np.array([1.0, 0.4, 0.0])

    def stripes(points: np.ndarray, triangles: np.ndarray, ways: np.ndarray) -> np.ndarray:
        normals = mesh_curvatures(points, triangles).normals
        found = reflection_stripes(
            points, triangles, normals, look=ways[0], tubes=ways[1], edges=24
        )
        return np.vstack([s.points for s in found])

    first = stripes(region.vertices, region.triangles, np.array([look, tubes]))
    moves = MOVES[move]
    ways = moves(np.array([look, tubes])) - moves(np.zeros((1, 3)))
    turned = region.triangles[:, ::-1] if move == "mirror" else region.triangles
    second = stripes(moves(region.vertices), turned, ways)
    assert cKDTree(second).query(moves(first))[0].max() < 1e-5


def test_a_viewer_along_the_lights_and_no_stripes_are_refused() -> None:
    points, triangles = sphere_cap(500.0, 0.3, 40.0)
    way = np.array([0.0, 0.0, 1.0])
    with pytest.raises(ValueError, match="along the lights"):
        reflection_stripes(points, triangles, points / 500.0, look=way, tubes=-way, edges=9)
    with pytest.raises(ValueError, match="two edges"):
        reflection_stripes(points, triangles, points / 500.0, look=way, tubes=way[::-1], edges=1)
    with pytest.raises(ValueError, match="one shade"):
        isophotes(points, triangles, points / 500.0, light=way, count=0)


# Gauss and Bonnet: round any closed loop of edges, curvature inside and turning along it make
# 2 pi times the Euler number of what it bounds.


def _patches(region: SkinRegion) -> list[np.ndarray]:
    """Triangles inside balls round places all over the region, one piece without holes each."""
    centres = region.vertices[region.triangles].mean(axis=1)
    rng = np.random.default_rng(5)
    found = []
    for middle in region.vertices[rng.integers(0, len(region.vertices), 40)]:
        inside = region.triangles[np.linalg.norm(centres - middle, axis=1) < 150.0]
        try:
            loops = boundary_loops(inside)
        except ValueError:
            continue
        if len(loops) == 1:
            found.append(inside)
    return found


def test_gauss_and_bonnet_hold_round_closed_loops_all_over_a_spanned_skin() -> None:
    for network, spec in (cap(), tunnel()):
        region = span_region(network, spec, edge_length=30.0)
        patches = _patches(region)
        assert len(patches) >= 10
        for triangles in patches:
            defects = angle_defects(region.vertices, triangles)
            loop = boundary_loops(triangles)[0]
            turning = defects[loop].sum()
            inside = np.setdiff1d(np.unique(triangles), loop)
            assert turning + defects[inside].sum() == pytest.approx(2.0 * np.pi, abs=1e-6)


def test_the_defects_of_a_skin_are_its_gauss_curvature_summed_as_libigl_sums_it() -> None:
    region = region_of(*BODIES["ellipsoid"], 20.0)
    (shape,) = skin_shape(Skin(regions=(region,)), NO_LINES, CrownLimits()).regions
    inside = inner_vertices(region.triangles, len(region.vertices))
    areas = vertex_areas(region.vertices, region.triangles)
    defects = igl.gaussian_curvature(region.vertices, region.triangles.astype(np.int64))
    ours = (shape.greater * shape.lesser * areas)[inside].sum()
    assert ours == pytest.approx(np.ravel(defects)[inside].sum(), rel=2e-3)


def test_crown_classes_of_an_ellipsoid_are_those_of_its_closed_form() -> None:
    a, b, c = 1500.0, 900.0, 700.0
    region = region_of(*BODIES["ellipsoid"], 20.0)
    x, y, z = region.vertices.T
    q = x**2 / a**4 + y**2 / b**4 + z**2 / c**4
    mean_radius = a * b * c * q
    (shape,) = skin_shape(
        Skin(regions=(region,)), NO_LINES, CrownLimits(low=2000.0, medium=1600.0)
    ).regions
    exact = np.where(mean_radius >= 2000.0, 2, np.where(mean_radius >= 1600.0, 3, 4))
    clear = np.abs(mean_radius / np.where(exact == 2, 2000.0, 1600.0) - 1.0) > 0.01
    clear &= np.abs(mean_radius / 2000.0 - 1.0) > 0.01
    assert len(np.unique(exact)) > 1
    assert (shape.crown[clear] == exact[clear]).mean() > 0.995
