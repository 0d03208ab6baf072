import numpy as np
import pytest

from buckwright.geometry.mesh import (
    boundary_loops,
    edges_of,
    triangle_areas,
    vertex_normals,
)
from buckwright.model.skin import SkinRegion
from buckwright.skin import refining, span_region, span_skin
from buckwright.skin.refining import parts_of_steps
from networks_on_paper import cap, network_of, tunnel, two_panels


@pytest.fixture(scope="module", name="vault")
def _vault() -> SkinRegion:
    network, spec = tunnel()
    return span_region(network, spec, edge_length=20.0, solved=60.0)


def test_a_divided_vault_is_as_near_as_the_one_that_was_solved(vault: SkinRegion) -> None:
    radius = 500.0 - 40.0 * (vault.vertices[:, 0] / 1600.0) ** 2
    off = np.hypot(vault.vertices[:, 1], vault.vertices[:, 2] - 700.0) - radius
    assert np.abs(off).max() < 0.6
    edges, _ = edges_of(vault.triangles)
    length = np.linalg.norm(np.diff(vault.vertices[edges], axis=1)[:, 0], axis=1)
    assert 0.9 * 20.0 < length.mean() < 1.1 * 20.0


def test_chords_of_a_divided_skin_lie_a_ninth_as_far_off_its_lines(vault: SkinRegion) -> None:
    network, spec = tunnel()
    solved = span_region(network, spec, edge_length=60.0)
    assert vault.line_error_most < 0.2 * solved.line_error_most
    assert triangle_areas(vault.chart, vault.triangles).min() > 0.0


def test_tracks_of_a_divided_skin_follow_edges_and_lines(vault: SkinRegion) -> None:
    network, _ = tunnel()
    edges = {tuple(e) for e in edges_of(vault.triangles)[0].tolist()}
    for track in (*vault.boundary, *vault.inner, *vault.holes):
        run = track.vertices.tolist()
        pairs = list(zip(run, run[1:] + run[:1] if track.closed else run[1:], strict=False))
        assert all(tuple(sorted(pair)) in edges for pair in pairs)
        line = network.line(track.line).points(8001)
        for vertex in vault.vertices[track.vertices]:
            assert np.linalg.norm(line - vertex, axis=1).min() < 0.4
    (outer, hole) = boundary_loops(vault.triangles)
    assert set(hole.tolist()) == set(vault.holes[0].vertices.tolist())
    assert set(outer.tolist()) == {v for t in vault.boundary for v in t.vertices.tolist()}


def test_the_edges_of_the_solved_triangles_cannot_be_felt() -> None:
    network, spec = cap()
    region = span_region(network, spec, edge_length=15.0, solved=60.0)
    outward = region.vertices / np.linalg.norm(region.vertices, axis=1, keepdims=True)
    inside = np.setdiff1d(
        np.arange(len(outward)), np.concatenate([t.vertices for t in region.boundary])
    )
    lean = np.einsum("ij,ij->i", outward, vertex_normals(region.vertices, region.triangles))
    assert np.degrees(np.arccos(lean[inside].min())) < 0.2


def test_regions_divided_otherwise_share_their_lines_vertices_exactly(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(refining, "QUICK", 2000)

    def straight(*ends: tuple[float, float, float]):
        a, b = (np.array(end) for end in ends)
        return lambda t: a + (b - a) * t[:, None]

    corners = {
        "a": (0.0, 0.0, 0.0),
        "b": (1600.0, 0.0, 300.0),
        "c": (1600.0, 600.0, 200.0),
        "d": (0.0, 600.0, 0.0),
        "e": (0.0, 720.0, -60.0),
        "f": (1600.0, 720.0, 90.0),
    }
    sides = {
        "near": "ab",
        "end": "bc",
        "seam": "cd",
        "start": "da",
        "far": "fe",
        "left": "ed",
        "right": "fc",
    }
    network = network_of({n: straight(corners[p], corners[q]) for n, (p, q) in sides.items()})
    _, (first, second) = two_panels()
    big = first.model_copy(
        update={"boundary": ("near", "end", "seam", "start"), "holes": (), "inner": ()}
    )
    small = second.model_copy(
        update={"boundary": ("seam", "left", "far", "right"), "holes": (), "inner": ()}
    )
    skin = span_skin(network, (big, small), edge_length=18.0, solved=37.0)
    count = [len(region.triangles) for region in skin.regions]
    assert count[1] < 2000 < 4000 < count[0]
    runs = []
    for region in skin.regions:
        (track,) = (t for t in region.boundary if t.line == "seam")
        runs.append({tuple(p) for p in region.vertices[track.vertices].tolist()})
    assert len(runs[0]) > 80
    assert runs[0] == runs[1]


@pytest.mark.parametrize(
    ("edge", "shortest", "parts"),
    [(25.0, 9000.0, 1), (10.0, 9000.0, 3), (5.0, 9000.0, 6), (10.0, 1000.0, 2), (40.0, 9000.0, 1)],
)
def test_steps_are_divided_so_far_as_lengths_and_bends_allow(
    edge: float, shortest: float, parts: int
) -> None:
    assert parts_of_steps(edge, shortest) == parts
