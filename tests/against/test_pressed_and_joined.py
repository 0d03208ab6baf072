"""Beads, louvres and turned edges in the skin's own mesh and on the scale model."""

from io import BytesIO

import numpy as np
import pytest
import trimesh

from buckwright.files.scene import glb_bytes, ply_bytes, solid_bytes
from buckwright.model.louvres import LouvreSpec
from buckwright.model.panels import EdgeSpec
from buckwright.model.skin import LineTrack, Skin
from buckwright.model.treatments import Bead, BeadSpec, EdgeTreatment
from buckwright.skin.beads import make_bead
from buckwright.skin.edge_strips import edge_strips
from buckwright.skin.louvres import make_louvres
from buckwright.skin.pressing import pressed_skin
from buckwright.skin.solid import Solid, solid_model
from skins_on_paper import cylinder, grid_region

RADIUS, TURN, LENGTH = 300.0, 1.2, 400.0
RIB = BeadSpec(name="rib", region="tube", line="crown", width=40.0, depth=4.0, radius=20.0)
VENT = LouvreSpec(
    name="vent",
    region="tube",
    at=(200.0, 110.0, 280.0),
    length=80.0,
    width=24.0,
    height=6.0,
    row_pitch=0.0,
    column_pitch=0.0,
)


def tube() -> Skin:
    """An arch of 300 mm along x, 400 mm long."""
    u, v = np.linspace(0.0, LENGTH, 17), np.linspace(0.5 * np.pi - 0.6, 0.5 * np.pi + 0.6, 19)
    sides = {
        "low": np.arange(0, 323, 19),
        "far": np.arange(304, 323),
        "high": np.arange(322, -1, -19),
        "near": np.arange(18, -1, -1),
    }
    region = grid_region(
        "tube",
        cylinder(RADIUS),
        u,
        v,
        outward=lambda p: p * [0.0, 1.0, 1.0],
        boundary=[LineTrack(line=k, vertices=n, closed=False) for k, n in sides.items()],
        tracks=[LineTrack(line="crown", vertices=np.arange(9, 323, 19), closed=False)],
    )
    chart = np.array(region.chart) * [1.0, RADIUS]
    return Skin(regions=(region.model_copy(update={"chart": chart}),))


def turned(along: str, treatment: str = "flange", **sizes: object) -> EdgeTreatment:
    asked = {"along": along, "treatment": treatment, **sizes}
    return EdgeTreatment(region="tube", edge=EdgeSpec.model_validate(asked))


def treated(*edges: EdgeTreatment, bead: BeadSpec | None = None, louvres: bool = False) -> Skin:
    skin = tube()
    update = {
        "strips": edge_strips(skin, edges),
        "beads": make_bead(skin, bead) if bead else (),
        "louvres": make_louvres(skin, VENT) if louvres else (),
    }
    return skin.model_copy(update=update)


def judged(solid: Solid) -> trimesh.Trimesh:
    mesh = trimesh.Trimesh(solid.vertices, solid.triangles, process=False)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(solid.volume)
    return mesh


def corners(skin: Skin) -> tuple[np.ndarray, np.ndarray]:
    return skin.regions[0].vertices, skin.regions[0].triangles


def rim(mesh: trimesh.Trimesh) -> np.ndarray:
    """(k, 2) edges that one triangle has alone."""
    edges, times = np.unique(mesh.edges_sorted, axis=0, return_counts=True)
    return edges[times == 1]


def rim_length(mesh: trimesh.Trimesh, edges: np.ndarray) -> float:
    a, b = np.moveaxis(mesh.vertices[edges], 1, 0)
    return float(np.linalg.norm(b - a, axis=1).sum())


def section_area(bead: Bead) -> float:
    """mm^2 between a bead's whole section and the tube under it."""
    rows = bead.vertices.reshape(len(bead.axis), -1, 3)[len(bead.axis) // 2]
    turn, out = np.arctan2(rows[:, 1], rows[:, 2]), np.hypot(rows[:, 1], rows[:, 2])
    return abs(0.5 * float(np.trapezoid(out**2 - RADIUS**2, turn)))


def test_a_bead_is_pressed_into_the_mesh_and_the_rim_stays_where_it_was() -> None:
    skin = treated(bead=RIB)
    (region,) = pressed_skin(skin).regions
    mesh = trimesh.Trimesh(region.vertices, region.triangles, process=False)
    assert mesh.is_winding_consistent
    assert mesh.euler_number == 1
    out = np.hypot(region.vertices[:, 1], region.vertices[:, 2]) - RADIUS
    assert out.max() == pytest.approx(4.0, abs=0.01)
    assert out.min() > -0.05
    first, plain = rim(mesh), trimesh.Trimesh(*corners(tube()), process=False)
    assert rim_length(mesh, first) == pytest.approx(rim_length(plain, rim(plain)), rel=1e-12)
    # Read back at the middle of the bead: its own section, point by point.
    middle = np.abs(region.vertices[:, 0] - 200.0) < 60.0
    across = RADIUS * np.arctan2(region.vertices[middle, 1], region.vertices[middle, 2])
    rows = skin.beads[0].vertices.reshape(len(skin.beads[0].axis), -1, 3)
    drawn = rows[len(rows) // 2]
    place = RADIUS * np.arctan2(drawn[:, 1], drawn[:, 2])
    order = np.argsort(place)
    height = np.hypot(drawn[:, 1], drawn[:, 2])[order] - RADIUS
    assert np.abs(np.interp(across, place[order], height) - out[middle]).max() < 0.12


def test_a_louvre_opens_the_mesh_along_its_cut_as_far_as_its_lip_stands_off() -> None:
    (region,) = pressed_skin(treated(louvres=True)).regions
    mesh = trimesh.Trimesh(region.vertices, region.triangles, process=False)
    # A disc with one hole: the mouth of the louvre.
    assert mesh.euler_number == 0
    assert mesh.is_winding_consistent
    out = np.hypot(region.vertices[:, 1], region.vertices[:, 2]) - RADIUS
    assert out.max() == pytest.approx(6.0, abs=0.05)
    ends = region.vertices[rim(mesh)]
    inside = (np.abs(ends[..., 0] - 200.0) < 100.0) & (np.abs(ends[..., 1] - 110.0) < 30.0)
    around = ends[inside.all(axis=1)].reshape(-1, 3)
    assert np.ptp(around[:, 0]) == pytest.approx(80.0, abs=4.0)
    assert np.ptp(np.hypot(around[:, 1], around[:, 2])) == pytest.approx(6.0, abs=0.1)


def test_turned_edges_are_named_meshes_of_their_own() -> None:
    skin = treated(turned("far", width=15.0), turned("low", "wired edge", wire=6.0))
    scene = trimesh.load(BytesIO(glb_bytes(skin, ())), file_type="glb", process=False)
    assert set(scene.geometry) == {"tube", "flange of far", "wired edge of low"}
    flange = scene.geometry["flange of far"]
    assert 1e6 * flange.area == pytest.approx(skin.strips[0].area, rel=1e-6)
    whole = trimesh.load(BytesIO(ply_bytes(skin)), file_type="ply", process=False)
    areas = [mesh.area for mesh in (trimesh.Trimesh(r.vertices, r.triangles) for r in skin.regions)]
    assert whole.area == pytest.approx(sum(areas) + sum(s.area for s in skin.strips))
    assert b"1 flange of far; 2 wired edge of low" in ply_bytes(skin)[:600]


@pytest.fixture(name="plain", scope="module")
def _plain() -> Solid:
    return solid_model(tube(), scale=0.5, thickness=1.0)


def test_a_flange_on_the_model_adds_the_ring_that_stands_inside_the_wall(plain: Solid) -> None:
    # exact: of a ring from R - w to R, as thick as the wall, what the wall does not hold already.
    solid = solid_model(treated(turned("far", width=15.0)), scale=0.5, thickness=1.0)
    judged(solid)
    ring = 0.5 * TURN * (149.0**2 - 142.5**2) * 1.0
    assert solid.volume - plain.volume == pytest.approx(ring, rel=5e-3)
    assert (solid.pieces, solid.findings) == (1, ())
    # Outward it stands on the wall's end, outside: a ring up to R + w, and its root in the wall.
    outward = solid_model(treated(turned("far", width=15.0, way="out")), scale=0.5, thickness=1.0)
    judged(outward)
    above = 0.5 * TURN * (157.5**2 - 150.0**2)
    below = 0.5 * TURN * (150.0**2 - 149.0**2)
    added = outward.volume - plain.volume
    assert above + 0.5 * below < added < above + 1.5 * below
    assert outward.size[0] == pytest.approx(201.0, abs=0.01)


def test_a_wired_edge_on_the_model_is_a_solid_rod(plain: Solid) -> None:
    solid = solid_model(treated(turned("far", "wired edge", wire=6.0)), scale=0.5, thickness=1.0)
    judged(solid)
    # Most of a circle of 3 mm, outside the end of the wall for more than a half.
    rod = np.pi * 1.5**2 * TURN * 148.5
    assert 0.6 * rod < solid.volume - plain.volume < rod
    assert solid.size[0] == pytest.approx(201.5, abs=0.02)


def test_a_bead_on_the_model_adds_its_section_and_leaves_the_inside_plain(plain: Solid) -> None:
    skin = treated(bead=RIB.model_copy(update={"run_out": 0.0}))
    (bead,) = skin.beads
    solid = solid_model(skin, scale=0.5, thickness=1.0)
    judged(solid)
    exact = 0.25 * section_area(bead) * 0.5 * bead.length
    assert solid.volume - plain.volume == pytest.approx(exact, rel=0.03)
    inside = np.hypot(solid.vertices[:, 1], solid.vertices[:, 2])
    assert inside.min() == pytest.approx(149.0, abs=0.1)


def test_louvres_on_the_model_are_shut_and_told() -> None:
    solid = solid_model(treated(louvres=True), scale=0.5, thickness=1.0)
    assert judged(solid).euler_number == 2
    assert [f.code for f in solid.findings] == ["louvres-shut"]
    read = trimesh.load_mesh(
        BytesIO(solid_bytes(solid.vertices, solid.triangles, "stl")), file_type="stl"
    )
    assert read.is_watertight


def test_what_is_too_small_for_the_wall_is_left_out_and_told() -> None:
    small = (turned("far", width=12.0), turned("low", "hem", width=9.0))
    solid = solid_model(treated(*small), scale=0.125, thickness=1.6)
    bare = solid_model(tube(), scale=0.125, thickness=1.6)
    assert solid.volume == pytest.approx(bare.volume, rel=1e-12)
    assert [f.code for f in solid.findings] == ["strip-left-out"] * 2
    inward = treated(bead=RIB.model_copy(update={"way": "in"}))
    thin = solid_model(inward, scale=0.5, thickness=2.5)
    assert [f.code for f in thin.findings] == ["bead-left-out"]
    for finding in (*solid.findings, *thin.findings):
        assert finding.message.endswith(".")
        assert "wall of" in finding.message
