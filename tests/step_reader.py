"""The STEP file of the demo, read by Open CASCADE, which had no part in writing it."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_FACE
from OCP.TopExp import TopExp_Explorer

from buckwright.geometry.mesh import triangle_areas
from buckwright.model.skin import Skin


def read(path: Path) -> Any:
    reader = STEPControl_Reader()
    assert reader.ReadFile(str(path)) == IFSelect_RetDone
    reader.TransferRoots()
    return reader.OneShape()


def hold_step_to_skin(path: Path, skin: Skin) -> None:
    """Assert that the file's shape is valid and has the mesh's area and extent, to 0.1 %."""
    shape = read(path)
    assert BRepCheck_Analyzer(shape).IsValid()
    explorer, faces = TopExp_Explorer(shape, TopAbs_FACE), 0
    while explorer.More():
        faces += 1
        explorer.Next()
    assert faces >= len(skin.regions)
    properties = GProp_GProps()
    BRepGProp.SurfaceProperties_s(shape, properties)
    area = sum(float(triangle_areas(r.vertices, r.triangles).sum()) for r in skin.regions)
    assert properties.Mass() == pytest.approx(area, rel=1e-3)
    # Boxes of untrimmed surfaces reach past the edges of a face, so the faces are meshed first.
    BRepMesh_IncrementalMesh(shape, 0.2, False, 0.1, True)
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, box, True, False)
    vertices = np.vstack([region.vertices for region in skin.regions])
    low, high = vertices.min(axis=0), vertices.max(axis=0)
    ends = [[p.X(), p.Y(), p.Z()] for p in (box.CornerMin(), box.CornerMax())]
    found = np.array(ends).ravel()
    np.testing.assert_allclose(found[:3], low, atol=1e-3 * float((high - low).max()))
    np.testing.assert_allclose(found[3:], high, atol=1e-3 * float((high - low).max()))
