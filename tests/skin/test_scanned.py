"""Scans as regions of the skin: even meshes, openings, and what cannot be."""

import numpy as np
import pytest
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.mesh import boundary_loops, triangle_areas, triangle_normals
from buckwright.skin.scan_faults import clean_scan
from buckwright.skin.scanned import refuse_wrong_unit, scanned_region
from meshes_on_paper import plane_rectangle, sphere_cap

Array = NDArray[np.float64]
Index = NDArray[np.int64]
RADIUS = 400.0


def cap(step: float = 12.0) -> tuple[Array, Index]:
    return sphere_cap(RADIUS, 1.0, step)


def with_hole(vertices: Array, triangles: Index, at: tuple[float, float], reach: float) -> Index:
    x, y = at
    middle = np.array([x, y, np.sqrt(RADIUS**2 - x**2 - y**2)])
    away = np.linalg.norm(vertices[triangles].mean(axis=1) - middle, axis=1)
    return triangles[away > reach]


def lengths(region) -> Array:
    corners = region.vertices[region.triangles]
    return np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).ravel()


@pytest.mark.parametrize("edge", [40.0, 20.0])
def test_a_scanned_ball_gets_an_even_mesh_that_lies_on_it(edge: float) -> None:
    vertices, triangles = cap()
    region = scanned_region("bonnet", vertices, triangles, edge_length=edge)
    assert np.abs(np.linalg.norm(region.vertices, axis=1) - RADIUS).max() < 0.1
    found = lengths(region)
    assert np.mean(found) == pytest.approx(edge, rel=0.06)
    assert np.percentile(found, 99) < 1.45 * edge
    assert np.percentile(found, 1) > 0.6 * edge
    exact = 2.0 * np.pi * RADIUS**2 * (1.0 - np.cos(1.0))
    area = triangle_areas(region.vertices, region.triangles).sum()
    assert area == pytest.approx(exact, rel=0.4 * (edge / RADIUS) ** 2 + 2e-4)
    (rim,) = boundary_loops(region.triangles)
    assert set(region.boundary[0].vertices.tolist()) == set(rim.tolist())
    assert np.all(triangle_areas(region.chart, region.triangles) > 0.0)


def test_openings_stay_and_gaps_are_closed_as_asked() -> None:
    vertices, triangles = cap()
    holed = with_hole(vertices, triangles, (150.0, 0.0), 70.0)
    holed = with_hole(vertices, holed, (-150.0, 40.0), 20.0)
    open_ = scanned_region("lid", vertices, holed, edge_length=20.0)
    assert [track.line for track in open_.holes] == ["lid opening 1", "lid opening 2"]
    assert len(boundary_loops(open_.triangles)) == 3
    mended = scanned_region("lid", vertices, holed, edge_length=20.0, close_below=80.0)
    assert len(mended.holes) == 1
    stays, closed = mended.findings
    assert "stays open" in stays.message
    assert "closed flat" in closed.message
    assert closed.place[0] == pytest.approx(-150.0, abs=6.0)
    assert np.abs(np.linalg.norm(mended.vertices, axis=1) - RADIUS).max() < 3.0


def test_the_outside_is_where_it_is_said_to_be() -> None:
    vertices, triangles = cap()
    for given in (triangles, triangles[:, ::-1]):
        up = scanned_region("roof", vertices, given, edge_length=40.0)
        assert triangle_normals(up.vertices, up.triangles)[:, 2].mean() > 0.5
    down = scanned_region("pan", vertices, triangles, edge_length=40.0, outward=(0, 0, -1))
    assert triangle_normals(down.vertices, down.triangles)[:, 2].mean() < -0.5
    assert np.all(triangle_areas(down.chart, down.triangles) > 0.0)


def test_turned_triangles_copies_and_crumbs_are_mended_and_told_with_their_place() -> None:
    vertices, triangles = cap()
    bad = triangles.copy()
    bad[5] = bad[5][::-1]
    bad = np.vstack([bad, bad[40:43]])
    crumb = np.array([[900.0, 0.0, 0.0], [905.0, 0.0, 0.0], [900.0, 5.0, 0.0]])
    bad = np.vstack([bad, len(vertices) + np.arange(3)])
    scan = clean_scan("roof", np.vstack([vertices, crumb]), bad)
    assert [note.code for note in scan.findings] == ["scan-mended"] * 3
    said = " ".join(note.message for note in scan.findings)
    for words in ("lying twice", "loose crumbs", "inside out"):
        assert words in said
    assert len(scan.triangles) == len(triangles)
    turned = next(note for note in scan.findings if "inside out" in note.message)
    assert turned.place == pytest.approx(tuple(vertices[triangles[5]].mean(axis=0)), abs=1e-6)


def _fin(vertices: Array, triangles: Index) -> tuple[Array, Index]:
    a, b = triangles[100][:2]
    point = vertices[[a, b]].mean(axis=0) * 1.1
    return np.vstack([vertices, point]), np.vstack([triangles, [a, b, len(vertices)]])


def _two(vertices: Array, triangles: Index) -> tuple[Array, Index]:
    other = vertices + np.array([2000.0, 0.0, 0.0])
    return np.vstack([vertices, other]), np.vstack([triangles, triangles + len(vertices)])


def _closed(vertices: Array, triangles: Index) -> tuple[Array, Index]:
    (rim,) = boundary_loops(triangles)
    fan = np.column_stack([np.roll(rim, -1), rim, np.full(len(rim), len(vertices))])
    return np.vstack([vertices, vertices[rim].mean(axis=0)]), np.vstack([triangles, fan])


def _bow_tie(vertices: Array, triangles: Index) -> tuple[Array, Index]:
    middle = np.array([0.0, 0.0, RADIUS])
    nearest = int(np.argmin(np.linalg.norm(vertices - middle, axis=1)))
    round_ = triangles[(triangles == nearest).any(axis=1)]
    gone = round_[[0, len(round_) // 2]]
    keep = ~(triangles[:, None] == gone[None]).all(axis=2).any(axis=1)
    return vertices, triangles[keep]


def _moebius(vertices: Array, triangles: Index) -> tuple[Array, Index]:
    turn = 2.0 * np.pi * np.arange(60) / 60
    wide = np.linspace(-40.0, 40.0, 5)
    out = 200.0 + wide * np.cos(0.5 * turn)[:, None]
    strip = np.stack(
        [
            out * np.cos(turn)[:, None],
            out * np.sin(turn)[:, None],
            wide * np.sin(0.5 * turn)[:, None],
        ],
        axis=-1,
    ).reshape(-1, 3)
    faces = []
    for i in range(60):
        for j in range(4):
            a, b = i * 5 + j, i * 5 + j + 1
            c, d = (a + 5, b + 5) if i < 59 else (4 - j, 3 - j)
            faces += [(a, c, d), (a, d, b)]
    return strip, np.array(faces)


FAULTS = [
    (_fin, "More than two triangles"),
    (_two, "2 large pieces"),
    (_closed, "closed all round"),
    (_bow_tie, "1 single point"),
    (_moebius, "one side only"),
    (lambda v, t: (v[:0], t[:0]), "no size"),
    (lambda v, t: (v, t[:0]), "Nothing is left"),
    (lambda v, t: (v / 25.4 / 10.0, t), "too small for triangles"),
]


@pytest.mark.parametrize(("spoil", "sentence"), FAULTS, ids=[s for _, s in FAULTS])
def test_a_scan_that_is_no_single_sheet_is_refused_in_one_sentence(spoil, sentence: str) -> None:
    vertices, triangles = spoil(*cap(30.0))
    with pytest.raises(JobError) as refusal:
        scanned_region("roof", vertices, triangles, edge_length=20.0)
    assert sentence in refusal.value.problem
    assert refusal.value.problem.count(".") >= 1
    assert refusal.value.remedy.endswith(".")
    if "first at" in refusal.value.problem:
        # The place it names can be shown in space.
        x, y, z = refusal.value.place
        assert f"x {x:.1f}, y {y:.1f}, z {z:.1f}" in refusal.value.problem
        assert np.linalg.norm(vertices - [x, y, z], axis=1).min() < 60.0


def test_a_handle_is_refused() -> None:
    # A plate with two openings whose rims are joined by a tube.
    vertices, triangles = plane_rectangle(600.0, 300.0, 10.0)
    left = np.linalg.norm(vertices[triangles].mean(axis=1)[:, :2] - [150.0, 150.0], axis=1) > 40.0
    right = np.linalg.norm(vertices[triangles].mean(axis=1)[:, :2] - [450.0, 150.0], axis=1) > 40.0
    holed = triangles[left & right]
    loops = boundary_loops(holed)[1:]
    count = min(len(loop) for loop in loops)
    one, two = (
        loop[np.linspace(0, len(loop), count, endpoint=False).astype(int)] for loop in loops
    )
    if len(loops[0]) != len(loops[1]):
        pytest.fail("both rims must have the same count")
    two = two[::-1]
    walls = np.vstack(
        [
            np.column_stack([np.roll(one, -1), one, two]),
            np.column_stack([np.roll(one, -1), two, np.roll(two, -1)]),
        ]
    )
    space = (
        vertices if vertices.shape[1] == 3 else np.column_stack([vertices, np.zeros(len(vertices))])
    )
    with pytest.raises(JobError, match="handle of a cup"):
        clean_scan("plate", space, np.vstack([holed, walls]))


@pytest.mark.parametrize(
    ("size", "words"),
    [
        (3300.0 / 25.4, "in inches"),
        (3300.0 * 25.4, "taken for inches"),
        (330.0, "in centimetres"),
        (3.3, "in metres"),
        (3300.0 / 304.8, "in feet"),
    ],
)
def test_a_scan_in_another_unit_is_refused_with_the_unit(size: float, words: str) -> None:
    with pytest.raises(JobError, match=words):
        refuse_wrong_unit("roof", size, 3200.0)


@pytest.mark.parametrize("size", [2400.0, 3200.0, 3900.0, 800.0])
def test_a_scan_of_the_right_unit_is_taken(size: float) -> None:
    refuse_wrong_unit("roof", size, 3200.0)
