"""Treatments of the skin held to closed forms: meetings, trims, edges, beads."""

import numpy as np
import pytest
import trimesh
from OCP.BRepAlgoAPI import BRepAlgoAPI_Section
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakeSphere
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.GProp import GProp_GProps
from scipy.spatial import Delaunay

from buckwright.errors import JobError
from buckwright.geometry.mesh import boundary_loops, triangle_areas
from buckwright.geometry.mesh_faults import mesh_form
from buckwright.model.skin import LineTrack, Skin, SkinRegion
from buckwright.model.treatments import TrimSpec
from buckwright.skin.meetings import set_off_meetings, skin_meetings
from buckwright.skin.trimming import trim_region, trim_skin
from skins_on_paper import grid_region, sphere


def ball_cap(name: str, radius: float, middle: float, side: str = "whole") -> SkinRegion:
    """The side of a ball, cut off towards its poles, with its middle on x."""
    ticks = np.linspace(-1.4, 1.4, 101)
    region = grid_region(name, sphere(radius), ticks, ticks, outward=lambda p: p, side=side)
    moved = np.asarray(region.vertices) + np.array([middle, 0.0, 0.0])
    moved.setflags(write=False)
    return region.model_copy(update={"vertices": moved})


def test_two_balls_meet_in_the_circle_of_euclid_and_it_has_a_name() -> None:
    # exact: the plane of the circle lies (d^2 + r^2 - s^2) / 2d from the first middle.
    first, second = ball_cap("body", 400.0, 0.0), ball_cap("front wing", 300.0, 150.0, "left")
    (line,) = skin_meetings(Skin(regions=(first, second)))
    along = (150.0**2 + 400.0**2 - 300.0**2) / 300.0
    assert line.name == "front wing left meets body"
    assert np.abs(line.points[:, 0] - along).max() < 0.2
    out = np.linalg.norm(line.points[:, 1:], axis=1)
    assert np.abs(out - np.sqrt(400.0**2 - along**2)).max() < 0.2


def test_a_skin_set_off_meets_the_other_in_the_smaller_circle() -> None:
    first, second = ball_cap("body", 400.0, 0.0), ball_cap("front wing", 300.0, 150.0)
    (line,) = set_off_meetings(Skin(regions=(first, second)), "front wing", -9.0)
    along = (150.0**2 + 400.0**2 - 291.0**2) / 300.0
    assert line.name == "front wing set 9 mm in meets body"
    assert np.abs(line.points[:, 0] - along).max() < 0.2
    with pytest.raises(JobError, match="no region 'tail'"):
        set_off_meetings(Skin(regions=(first, second)), "tail", -9.0)


def cap(radius: float, reach: float = 1.2, fine: int = 61) -> SkinRegion:
    """The top of a ball over a round chart of true arcs from its pole, with its rim as a line."""
    rings = np.linspace(0.0, reach, fine)[1:]
    turns = 2.0 * np.pi * np.arange(4 * fine) / (4 * fine)
    flat = [np.zeros((1, 2))]
    flat += [radius * r * np.column_stack([np.cos(turns), np.sin(turns)]) for r in rings]
    chart = np.vstack(flat)
    polar = np.linalg.norm(chart, axis=1) / radius
    way = chart / np.maximum(np.linalg.norm(chart, axis=1, keepdims=True), 1e-12)
    vertices = radius * np.column_stack([np.sin(polar)[:, None] * way, np.cos(polar)])
    triangles = Delaunay(chart).simplices.astype(np.int64)
    a, b, c = np.moveaxis(chart[triangles], 1, 0)
    turned = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0] < 0.0
    triangles[turned] = triangles[turned][:, ::-1]
    rim = np.arange(len(chart) - len(turns), len(chart))
    across = np.flatnonzero(np.abs(chart[:, 1]) < 1e-9)
    across = across[np.argsort(chart[across, 0])]
    return SkinRegion(
        name="cap",
        side="whole",
        vertices=vertices,
        triangles=triangles,
        chart=chart,
        boundary=(LineTrack(line="rim", vertices=rim, closed=True),),
        inner=(LineTrack(line="keel", vertices=across, closed=False),),
        holes=(),
        line_error_most=0.0,
        line_error_rms=0.0,
    )


def as_region(name: str, mesh: trimesh.Trimesh) -> SkinRegion:
    """A closed mesh in a skin, without lines or a flat picture of its own."""
    return SkinRegion(
        name=name,
        side="whole",
        vertices=mesh.vertices,
        triangles=mesh.faces,
        chart=np.zeros((len(mesh.vertices), 2)),
        boundary=(),
        inner=(),
        holes=(),
        line_error_most=0.0,
        line_error_rms=0.0,
    )


def area_of(region: SkinRegion) -> float:
    return float(triangle_areas(region.vertices, region.triangles).sum())


def looped(region: SkinRegion) -> list[int]:
    """The boundary's vertices, each track beginning where the one before ends."""
    tracks = region.boundary
    for track, after in zip(tracks, (*tracks[1:], tracks[0]), strict=True):
        assert track.closed or track.vertices[-1] == after.vertices[0]
    return [v for t in tracks for v in t.vertices[: None if t.closed else -1]]


@pytest.mark.parametrize("height", [250.0, 331.7])
def test_a_ball_trimmed_by_a_level_loses_a_cap_of_archimedes_area(height: float) -> None:
    # exact: a cap of height h has the area 2 pi r h.
    region = cap(400.0)
    trim = TrimSpec(
        name="level", region="cap", by="plane", axis="z", value=height, away=(0, 0, 400.0)
    )
    left, done = trim_region(region, trim)
    cut_away = 2.0 * np.pi * 400.0 * (400.0 - height)
    assert done.area_away == pytest.approx(cut_away, rel=1.5e-3)
    assert done.area_away + area_of(left) == pytest.approx(area_of(region), rel=1e-5)
    assert done.closed
    np.testing.assert_allclose(done.points[:, 2], height, atol=1e-6)
    assert done.length == pytest.approx(2 * np.pi * np.sqrt(400.0**2 - height**2), rel=1e-3)
    (hole,) = left.holes
    assert hole.line == "level"
    assert mesh_form(left.triangles).boundaries == 2


def test_a_half_ball_trimmed_upright_keeps_its_tracks_in_order() -> None:
    # exact: a belt between two planes a mm apart has the area 2 pi r a, so each side of x = 90
    # of a whole ball is a cap; of this cap the rim is left out, which the mesh measures.
    region = cap(400.0)
    trim = TrimSpec(name="end", region="cap", by="plane", axis="x", value=90.0, away=(380, 0, 90))
    left, done = trim_region(region, trim)
    assert {t.line for t in left.boundary} == {"rim", "end"}
    loops = boundary_loops(left.triangles)
    assert sorted(looped(left)) == sorted(loops[0].tolist())
    assert left.vertices[:, 0].max() == pytest.approx(90.0, abs=1e-6)
    (keel,) = left.inner
    assert keel.line == "keel"
    assert left.vertices[keel.vertices][:, 0].max() == pytest.approx(90.0, abs=1e-6)
    both = area_of(left) + done.area_away
    assert both == pytest.approx(area_of(region), rel=1e-5)


def test_a_trim_along_a_line_of_the_region_cuts_it_in_halves() -> None:
    region = cap(400.0)
    trim = TrimSpec(name="half", region="cap", by="line", line="keel", away=(0, 300, 260))
    left, done = trim_region(region, trim)
    assert done.area_away == pytest.approx(0.5 * area_of(region), rel=1e-9)
    assert len(left.vertices) < len(region.vertices)
    assert left.inner == ()
    assert done.moved_most == 0.0


def test_a_drawn_ring_above_a_ball_falls_on_it_straight_and_says_how_far() -> None:
    region = cap(400.0)
    turns = np.linspace(0.0, 2.0 * np.pi, 73)[:-1]
    ring = [(120.0 * np.cos(t), 120.0 * np.sin(t), 500.0) for t in turns]
    trim = TrimSpec(
        name="ring",
        region="cap",
        by="drawn",
        through=tuple(ring),
        closed=True,
        along=(0, 0, 1),
        away=(0, 0, 400),
    )
    _, done = trim_region(region, trim)
    high = np.sqrt(400.0**2 - 120.0**2)
    assert done.moved_most == pytest.approx(500.0 - high, abs=0.5)
    out = np.hypot(done.points[:, 0], done.points[:, 1])
    assert np.abs(out - 120.0).max() < 0.3
    assert done.area_away == pytest.approx(2.0 * np.pi * 400.0 * (400.0 - high), rel=5e-3)


def test_a_ball_trimmed_where_another_meets_it_ends_in_their_circle() -> None:
    mesh = trimesh.creation.icosphere(subdivisions=5, radius=200.0)
    mesh.apply_translation([150.0, 0.0, 380.0])
    wing = as_region("wing", mesh)
    body = cap(400.0)
    skin = Skin(regions=(body, wing))
    meetings = skin_meetings(skin)
    assert meetings[0].name == "wing meets cap"
    trim = TrimSpec(
        name="opening", region="cap", by="meeting", line="wing meets cap", away=(250, 0, 312)
    )
    after = trim_skin(skin.model_copy(update={"meetings": meetings}), trim, None)
    (done,) = after.trims
    gap = np.linalg.norm(done.points - [150.0, 0.0, 380.0], axis=1)
    np.testing.assert_allclose(gap, 200.0, atol=0.6)
    np.testing.assert_allclose(np.linalg.norm(done.points, axis=1), 400.0, atol=0.3)


def test_trims_turn_and_mirror_with_their_region() -> None:
    region = cap(400.0)
    trim = TrimSpec(
        name="end",
        region="cap",
        by="drawn",
        through=((90, -380, 90), (60, 0, 395), (90, 380, 90)),
        away=(380, 0, 90),
    )
    _, done = trim_region(region, trim)
    spin = np.array([[0.0, -1, 0], [1, 0, 0], [0, 0, 1]])
    turned = region.model_copy(update={"vertices": region.vertices @ spin.T})
    moved = trim.model_copy(
        update={
            "through": tuple(tuple(spin @ p) for p in np.array(trim.through)),
            "away": tuple(spin @ np.array(trim.away)),
        }
    )
    _, again = trim_region(turned, moved)
    assert again.area_away == pytest.approx(done.area_away, rel=1e-6)
    assert again.length == pytest.approx(done.length, rel=1e-6)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"by": "drawn", "through": ((0, 0, 400), (60, 0, 395))}, "does not part"),
        ({"by": "plane", "value": 900.0}, "passes region"),
        ({"by": "line", "line": "nowhere"}, "does not exist"),
        ({"by": "meeting", "line": "a meets b"}, "does not exist"),
        ({"away": (0.0, 0.0, 4000.0)}, "off region"),
        ({"by": "drawn", "through": ((9000, 0, 400), (9060, 0, 395))}, "by"),
    ],
)
def test_a_trim_that_parts_nothing_is_refused_in_a_sentence(change, words) -> None:
    asked = {"name": "t", "region": "cap", "by": "plane", "axis": "x", "value": 90.0}
    trim = TrimSpec.model_validate({**asked, "away": (380.0, 0.0, 90.0), **change})
    with pytest.raises(JobError, match=words) as refusal:
        trim_region(cap(400.0, fine=21), trim)
    assert refusal.value.problem.endswith(".")
    assert refusal.value.remedy.endswith(".")


def test_a_ball_cut_by_a_tube_beside_its_middle_is_cut_as_open_cascade_cuts_it() -> None:
    axis = gp_Ax2(gp_Pnt(60.0, 25.0, -500.0), gp_Dir(0.0, 0.0, 1.0))
    solids = BRepPrimAPI_MakeSphere(300.0), BRepPrimAPI_MakeCylinder(axis, 120.0, 1000.0)
    section = BRepAlgoAPI_Section(solids[0].Shape(), solids[1].Shape())
    section.Build()
    measured = GProp_GProps()
    BRepGProp.LinearProperties_s(section.Shape(), measured)
    ball = as_region("ball", trimesh.creation.icosphere(subdivisions=5, radius=300.0))
    tube = grid_region(
        "tube",
        lambda u, v: np.column_stack([60 + 120 * np.cos(u), 25 + 120 * np.sin(u), v]),
        np.linspace(0.0, 2.0 * np.pi, 145),
        np.linspace(-320.0, 320.0, 129),
        outward=lambda p: (p - [60.0, 25.0, 0.0]) * [1.0, 1.0, 0.0],
    )
    lines = skin_meetings(Skin(regions=(ball, tube)))
    assert [line.name for line in lines] == ["tube meets ball", "tube meets ball 2"]
    assert sum(line.length for line in lines) == pytest.approx(measured.Mass(), rel=1e-3)
    for line in lines:
        off_ball = np.linalg.norm(line.points, axis=1) - 300.0
        off_tube = np.hypot(line.points[:, 0] - 60.0, line.points[:, 1] - 25.0) - 120.0
        assert max(np.abs(off_ball).max(), np.abs(off_tube).max()) < 0.1
