"""Turned edges, beads and louvres in STEP, read back by Open CASCADE and held to the meshes."""

import re
from pathlib import Path

import igl
import numpy as np
import pytest
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.TopAbs import TopAbs_FACE
from OCP.TopExp import TopExp_Explorer

from against.test_pressed_and_joined import RIB, VENT, treated, turned
from against.test_step import Face, _face
from buckwright.files.step import step_text
from buckwright.geometry.mesh import triangle_areas
from buckwright.model.skin import Skin
from step_reader import read

WITHIN = 0.2
"""mm from the mesh, which has chords 0.17 mm inside the tube."""


def faces_of(skin: Skin, folder: Path) -> list[tuple[str, Face]]:
    """The faces and their names, in order."""
    text = step_text(skin, name="Tube", stamp="2026-01-01T00:00:00")
    path = folder / "skin.step"
    path.write_text(text, encoding="ascii")
    shape = read(path)
    assert BRepCheck_Analyzer(shape).IsValid()
    BRepMesh_IncrementalMesh(shape, 0.1, False, 0.2, False)
    explorer, found = TopExp_Explorer(shape, TopAbs_FACE), []
    while explorer.More():
        found.append(_face(explorer.Current()))
        explorer.Next()
    names = re.findall(r"ADVANCED_FACE\('([^']*)'", text)
    return list(zip(names, found, strict=True))


def test_what_is_done_to_the_skin_comes_as_named_faces_near_its_meshes(tmp_path: Path) -> None:
    edges = (
        turned("far", width=15.0, way="out"),
        turned("low", "wired edge", wire=6.0),
        turned("near", "hem", width=10.0),
        turned("high", "double hem", width=10.0),
    )
    skin = treated(*edges, bead=RIB, louvres=True)
    (_, region), *rest = faces_of(skin, tmp_path)
    assert [name for name, _ in rest] == [
        "flange of far",
        "wired edge of low",
        "hem of near",
        "double hem of high",
        "bead rib on tube",
        "louvres vent on tube",
    ]
    for (_, face), drawn in zip(rest, (*skin.strips, *skin.beads, *skin.louvres), strict=True):
        assert face.valid
        area = triangle_areas(drawn.vertices, drawn.triangles).sum()
        # A mesh of chords on the wire of 6 mm is short of it by 0.8 %.
        assert face.area == pytest.approx(area, rel=8e-3)
        vertices, triangles = np.array(drawn.vertices), np.array(drawn.triangles)
        square, _, _ = igl.point_mesh_squared_distance(face.points, vertices, triangles)
        assert np.sqrt(square.max()) < WITHIN
        size = np.ptp(face.points, axis=0)
        assert np.abs(size - np.ptp(drawn.vertices, axis=0)).max() < WITHIN
    # exact: an arch of 300 mm less what the bead and the louvre take the place of.
    (bead,) = skin.beads
    left = 300.0 * 1.2 * 400.0 - bead.length * 40.0 - 80.0 * 24.0
    assert region.area == pytest.approx(left, rel=1e-3)
    assert np.linalg.norm(region.points - VENT.at, axis=1).min() > 11.0
    assert np.linalg.norm(region.points - bead.axis[len(bead.axis) // 2], axis=1).min() > 19.0


def test_the_skin_stays_whole_beneath_beads_that_cross(tmp_path: Path) -> None:
    first = treated(bead=RIB)
    across = RIB.model_copy(
        update={"name": "cross", "line": "", "through": ((200, -110, 280), (200, 110, 280))}
    )
    second = treated(bead=across)
    both = first.model_copy(update={"beads": (*first.beads, *second.beads)})
    faces = dict(faces_of(both, tmp_path))
    assert all(face.valid for face in faces.values())
    left = 300.0 * 1.2 * 400.0 - first.beads[0].length * 40.0
    assert faces["tube"].area == pytest.approx(left, rel=1e-3)
