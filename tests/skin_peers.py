"""Other ways to span lines: Open CASCADE's filling, Gordon and Coons; the tri-Laplacian."""

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.BRepOffsetAPI import BRepOffsetAPI_MakeFilling
from OCP.collections import Array1_double, Array1_Geom_Curve, Array1_gp_Pnt, Array1_int
from OCP.Geom import Geom_BSplineCurve
from OCP.GeomAbs import GeomAbs_Shape
from OCP.GeomFill import GeomFill_BSplineCurves, GeomFill_FillingStyle, GeomFill_Gordon
from OCP.gp import gp_Pnt, gp_Vec
from OCP.TopAbs import TopAbs_FACE
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS
from scipy import sparse
from scipy.spatial import cKDTree

from buckwright.geometry.flat_start import factor_positive
from buckwright.geometry.mesh import boundary_loops, cotangent_laplacian, vertex_areas
from buckwright.model.lines import Line, LineNetwork
from buckwright.model.skin import RegionSpec

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def filled(network: LineNetwork, spec: RegionSpec, near: Array) -> Array:
    """Open CASCADE's filling (degree 3, 20 points on a line, 2 rounds, C0): points near others.

    Every boundary line is taken whole.
    """
    filling = BRepOffsetAPI_MakeFilling(3, 20, 2)
    for name in spec.boundary:
        filling.Add(_edge(network.line(name)), GeomAbs_Shape.GeomAbs_C0, True)
    for name in spec.inner:
        filling.Add(_edge(network.line(name)), GeomAbs_Shape.GeomAbs_C0, False)
    filling.Build()
    assert filling.IsDone()
    shape = filling.Shape()
    BRepMesh_IncrementalMesh(shape, 0.5, False, 0.3, False)
    face = TopoDS.Face(TopExp_Explorer(shape, TopAbs_FACE).Current())
    mesh = BRep_Tool.Triangulation_s(face, TopLoc_Location())
    numbers = range(1, mesh.NbNodes() + 1)
    nodes = np.array([[mesh.Node(k).X(), mesh.Node(k).Y(), mesh.Node(k).Z()] for k in numbers])
    flat = np.array([[mesh.UVNode(k).X(), mesh.UVNode(k).Y()] for k in numbers])
    start = flat[cKDTree(nodes).query(near)[1]]
    return _feet(BRep_Tool.Surface_s(face), start, near)


def gordon(network: LineNetwork, spec: RegionSpec, count: int = 81) -> tuple[Array, Index]:
    """Open CASCADE's Gordon surface through lines named 'arch k' and 'long k', on a grid."""
    names = [*spec.boundary, *spec.inner]
    families = [sorted(n for n in names if n.startswith(kind)) for kind in ("arch", "long")]
    if len(families[0]) < 2 or len(families[1]) < 2 or sum(map(len, families)) < len(names):
        message = "the lines are no grid"
        raise ValueError(message)
    arrays = []
    for family in families:
        array = Array1_Geom_Curve(1, len(family))
        for k, name in enumerate(family, start=1):
            array.SetValue(k, _curve(network.line(name)))
        arrays.append(array)
    maker = GeomFill_Gordon()
    maker.Init(*arrays, 5.0)
    maker.SetApproximationMode(GeomFill_Gordon.ApproximationMode_e.AllowApproximateFallback)
    maker.Perform()
    if not maker.IsDone():
        message = "Gordon's construction fails"
        raise ValueError(message)
    return _on_grid(maker.Surface(), count)


def coons(network: LineNetwork, spec: RegionSpec, count: int = 81) -> tuple[Array, Index]:
    """Open CASCADE's Coons patch over four boundary lines taken whole, on a grid."""
    if len(spec.boundary) != 4:
        message = f"{len(spec.boundary)} sides are not four"
        raise ValueError(message)
    curves = [_curve(network.line(name)) for name in spec.boundary]
    style = GeomFill_FillingStyle.GeomFill_CoonsStyle
    return _on_grid(GeomFill_BSplineCurves(*curves, style).Surface(), count)


def _on_grid(surface: object, count: int) -> tuple[Array, Index]:
    ends = surface.Bounds()
    u, v = np.linspace(ends[0], ends[1], count), np.linspace(ends[2], ends[3], count)
    found = [surface.Value(float(a), float(b)) for a in u for b in v]
    number = np.arange(count * count).reshape(count, count)
    a, b, c, d = number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]
    triangles = [np.stack(q, axis=-1).reshape(-1, 3) for q in ((a, b, c), (a, c, d))]
    return np.array([[p.X(), p.Y(), p.Z()] for p in found]), np.vstack(triangles)


def _edge(line: Line) -> object:
    return BRepBuilderAPI_MakeEdge(_curve(line)).Edge()


def _curve(line: Line) -> Geom_BSplineCurve:
    knots, counts = np.unique(line.knots, return_counts=True)
    poles = Array1_gp_Pnt(1, len(line.control))
    for k, point in enumerate(line.control, start=1):
        poles.SetValue(k, gp_Pnt(*point))
    places, repeats = Array1_double(1, len(knots)), Array1_int(1, len(knots))
    for k, (knot, count) in enumerate(zip(knots, counts, strict=True), start=1):
        places.SetValue(k, float(knot))
        repeats.SetValue(k, int(count))
    return Geom_BSplineCurve(poles, places, repeats, line.degree)


def _feet(surface: object, flat: Array, near: Array) -> Array:
    """Points of a surface nearest to others, by Newton steps in the tangent plane."""
    found = np.empty_like(near)
    point, along, across = gp_Pnt(), gp_Vec(), gp_Vec()
    for k, (u, v) in enumerate(flat):
        for _ in range(6):
            surface.D1(u, v, point, along, across)
            jacobian = np.array(
                [[along.X(), across.X()], [along.Y(), across.Y()], [along.Z(), across.Z()]]
            )
            found[k] = point.X(), point.Y(), point.Z()
            step = np.linalg.lstsq(jacobian, near[k] - found[k], rcond=None)[0]
            u, v = u + step[0], v + step[1]
    return found


def tri_laplacian(
    vertices: Array, triangles: Index, held: Index, at: Array, rounds: int = 4
) -> Array:
    """Least integral |grad laplacian x|^2 with natural edges, `held` vertices kept at `at`.

    The prototype of the design notes; boundary vertices must be held.
    """
    count, rim = len(vertices), np.concatenate(boundary_loops(triangles))
    inner = np.ones(count)
    inner[rim] = 0.0
    pick = sparse.csr_matrix(
        (np.ones(len(rim)), (rim, np.arange(len(rim)))), shape=(count, len(rim))
    )
    free = np.setdiff1d(np.arange(count + len(rim)), held)
    found = vertices.copy()
    for _ in range(rounds):
        stiffness = cotangent_laplacian(found, triangles)
        laplacian = sparse.diags(inner / vertex_areas(found, triangles)) @ stiffness
        both = sparse.hstack([laplacian, pick], format="csr")
        energy = (both.T @ stiffness @ both).tocsr()[free]
        scale = sparse.diags(1.0 / np.sqrt(energy[:, free].diagonal()))
        solver = factor_positive(scale @ energy[:, free] @ scale)
        answer = scale @ solver.solve(scale @ (-energy[:, held] @ at))
        found[held] = at
        found[free[free < count]] = answer[free < count]
    return found
