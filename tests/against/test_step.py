"""STEP files read back by Open CASCADE (cadquery-ocp-novtk 8), which shares nothing with ours."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from OCP.BRep import BRep_Tool
from OCP.BRepBuilderAPI import BRepBuilderAPI_Sewing
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_FACE, TopAbs_SHELL
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS
from scipy.integrate import dblquad

from buckwright.files.step import step_text
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.mesh import triangle_areas
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import RegionSpec, Skin
from buckwright.skin import span_skin
from networks_on_paper import cap, network_of, tunnel, tunnel_surface, two_panels, wing


@dataclass(frozen=True)
class Face:
    """What the reader found: whether it is valid, its area, and points all over it."""

    valid: bool
    area: float
    points: np.ndarray


def _read(skin: Skin, folder: Path) -> list[Face]:
    path = folder / "skin.step"
    path.write_text(step_text(skin, name="Wren é", stamp="2026-01-01T00:00:00"), encoding="ascii")
    reader = STEPControl_Reader()
    assert reader.ReadFile(str(path)) == IFSelect_RetDone
    reader.TransferRoots()
    shape = reader.OneShape()
    assert BRepCheck_Analyzer(shape).IsValid()
    BRepMesh_IncrementalMesh(shape, 0.3, False, 0.3, False)
    explorer, faces = TopExp_Explorer(shape, TopAbs_FACE), []
    while explorer.More():
        faces.append(_face(explorer.Current()))
        explorer.Next()
    return faces


def _face(face: object) -> Face:
    properties = GProp_GProps()
    BRepGProp.SurfaceProperties_s(face, properties)
    mesh = BRep_Tool.Triangulation_s(TopoDS.Face(face), TopLoc_Location())
    nodes = [mesh.Node(k) for k in range(1, mesh.NbNodes() + 1)]
    points = np.array([[n.X(), n.Y(), n.Z()] for n in nodes])
    return Face(BRepCheck_Analyzer(face).IsValid(), properties.Mass(), points)


def test_the_face_of_a_cap_has_the_area_and_height_of_the_cap(tmp_path: Path) -> None:
    network, spec = cap(radius=500.0, half_angle=0.6)
    (face,) = _read(span_skin(network, (spec,), edge_length=25.0), tmp_path)
    assert face.valid
    # 2 pi R^2 (1 - cos a), exact.
    assert face.area == pytest.approx(2.0 * np.pi * 500.0**2 * (1.0 - np.cos(0.6)), rel=2e-4)
    assert np.linalg.norm(face.points, axis=1) == pytest.approx(500.0, abs=0.06)
    assert face.points[:, 2].min() == pytest.approx(500.0 * np.cos(0.6), abs=0.06)
    assert face.points[:, 2].max() == pytest.approx(500.0, abs=0.06)


def test_the_face_of_a_vault_with_a_porthole_has_its_area(tmp_path: Path) -> None:
    network, spec = tunnel()
    (face,) = _read(span_skin(network, (spec,), edge_length=40.0), tmp_path)

    def element(angle: float, x: float) -> float:
        radius, slope = 500.0 - 40.0 * (x / 1600.0) ** 2, -80.0 * x / 1600.0**2
        return float(radius * np.hypot(1.0, slope)) + 0.0 * angle

    whole = dblquad(element, 0.0, 1600.0, -1.75, 1.75)[0]

    def reach(x: float) -> float:
        return 0.06 * float(np.sqrt(max(1.0 - ((x - 1200.0) / 80.0) ** 2, 0.0)))

    hole = dblquad(element, 1120.0, 1280.0, lambda x: -reach(x), reach)[0]
    assert face.area == pytest.approx(whole - hole, rel=3e-4)
    middle = tunnel_surface(np.array([1200.0]), np.array([-0.87]))
    assert np.linalg.norm(face.points - middle, axis=1).min() > 20.0


def test_faces_have_the_box_of_their_mesh_and_lie_close_to_it(tmp_path: Path) -> None:
    network, spec = wing()
    skin = span_skin(network, (spec,), edge_length=25.0)
    faces = _read(skin, tmp_path)
    assert len(faces) == 2
    for face, region in zip(faces, skin.regions, strict=True):
        assert face.valid
        size = np.ptp(region.vertices, axis=0)
        for end in (np.min, np.max):
            off = end(face.points, axis=0) - end(region.vertices, axis=0)
            assert np.abs(off / size).max() < 1e-3
        # Its curved triangles are the surface behind the mesh; its rim is cut by chords.
        behind, upright = CurvedMesh(region.vertices, region.triangles).lift(face.points)
        off = np.einsum("ij,ij->i", behind - face.points, upright)
        assert np.abs(off).max() < 0.2
    left, right = (face.area for face in faces)
    assert left == pytest.approx(right, rel=1e-4)


def test_flat_panels_are_flat_and_meet_along_their_seam(tmp_path: Path) -> None:
    network, specs = two_panels()
    skin = span_skin(network, specs, edge_length=40.0)
    near, far = _read(skin, tmp_path)
    assert near.area == pytest.approx(600.0 * 400.0 - np.pi * 90.0**2, rel=2e-4)
    assert far.area == pytest.approx(400.0 * 400.0, rel=1e-6)
    for face in (near, far):
        assert np.abs(face.points[:, 2]).max() < 1e-5
        seam = face.points[np.abs(face.points[:, 0] - 600.0) < 1.0]
        assert np.ptp(seam[:, 1]) == pytest.approx(400.0, abs=1e-3)
        assert seam[:, 0] == pytest.approx(600.0, abs=1e-3)


def test_the_area_of_the_mesh_agrees_with_the_faces(tmp_path: Path) -> None:
    network, spec = tunnel()
    skin = span_skin(network, (spec,), edge_length=25.0)
    (face,) = _read(skin, tmp_path)
    (region,) = skin.regions
    assert triangle_areas(region.vertices, region.triangles).sum() == pytest.approx(
        face.area, rel=1e-3
    )


def _ridge() -> tuple[LineNetwork, tuple[RegionSpec, RegionSpec]]:
    """The two panels bent over a crowned roof, without the hole."""
    flat, specs = two_panels()
    curves = {
        line.name: (lambda t, of=line: _lifted(np.asarray(of.curve()(t))))
        for line in flat.lines
        if line.name != "hole"
    }
    first, second = specs
    return network_of(curves), (first.model_copy(update={"holes": ()}), second)


def _lifted(points: np.ndarray) -> np.ndarray:
    x, y, z = points.T
    return np.column_stack([x, y, z + 80.0 * np.cos(x / 400.0) * np.cos(y / 300.0)])


def test_neighbouring_faces_are_sewn_at_a_hundredth_and_leave_no_edge_free_but_the_border(
    tmp_path: Path,
) -> None:
    network, specs = _ridge()
    skin = span_skin(network, specs, edge_length=25.0)
    path = tmp_path / "ridge.step"
    path.write_text(step_text(skin, name="ridge", stamp="2026-01-01T00:00:00"), encoding="ascii")
    reader = STEPControl_Reader()
    assert reader.ReadFile(str(path)) == IFSelect_RetDone
    reader.TransferRoots()
    sewing = BRepBuilderAPI_Sewing(0.01)
    sewing.Add(reader.OneShape())
    sewing.Perform()
    assert sewing.NbContigousEdges() == 1
    assert sewing.NbFreeEdges() == sum(len(region.boundary) for region in skin.regions) - 2
    shells = TopExp_Explorer(sewing.SewedShape(), TopAbs_SHELL)
    shells.Next()
    assert not shells.More()
