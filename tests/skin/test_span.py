from collections.abc import Callable

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.geometry.mesh import boundary_loops, edges_of, triangle_areas, triangle_normals
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import RegionSpec, SkinRegion
from buckwright.skin import span_region, span_skin
from meshes_on_paper import MOVES
from networks_on_paper import cap, network_of, tunnel, tunnel_surface, two_panels, wing


def _moved(network: LineNetwork, move: Callable[[np.ndarray], np.ndarray]) -> LineNetwork:
    lines = tuple(line.model_copy(update={"control": move(line.control)}) for line in network.lines)
    crossings = tuple(
        c.model_copy(update={"point": move(c.point[None])[0]}) for c in network.crossings
    )
    return network.model_copy(update={"lines": lines, "crossings": crossings})


@pytest.fixture(scope="module", name="vault")
def _vault() -> SkinRegion:
    network, spec = tunnel()
    return span_region(network, spec, edge_length=60.0)


def _off_tunnel(vertices: np.ndarray) -> np.ndarray:
    radius = 500.0 - 40.0 * (vertices[:, 0] / 1600.0) ** 2
    return np.hypot(vertices[:, 1], vertices[:, 2] - 700.0) - radius


def test_a_vault_of_more_than_half_a_turn_is_spanned(vault: SkinRegion) -> None:
    assert np.abs(_off_tunnel(vault.vertices)).max() < 0.6
    angle = np.arctan2(vault.vertices[:, 1], vault.vertices[:, 2] - 700.0)
    assert np.ptp(angle) == pytest.approx(3.5, abs=1e-6)


def test_triangles_are_even_and_outward(vault: SkinRegion) -> None:
    edges, _ = edges_of(vault.triangles)
    length = np.linalg.norm(np.diff(vault.vertices[edges], axis=1)[:, 0], axis=1)
    assert 0.9 * 60.0 < length.mean() < 1.1 * 60.0
    assert length.max() < 2.1 * 60.0
    middle = vault.corners().mean(axis=1) * [0.0, 1.0, 1.0] - [0.0, 0.0, 700.0]
    normals = triangle_normals(vault.vertices, vault.triangles)
    assert np.einsum("ij,ij->i", normals, middle).min() > 0.0


def test_the_chart_has_no_folds_and_nearly_true_lengths(vault: SkinRegion) -> None:
    flat, solid = (triangle_areas(p, vault.triangles) for p in (vault.chart, vault.vertices))
    assert flat.min() > 0.0
    assert flat / solid == pytest.approx(np.ones(len(flat)), abs=0.05)
    assert vault.chart.min() == pytest.approx(0.0, abs=1e-9)
    assert np.ptp(vault.chart[:, 0]) >= np.ptp(vault.chart[:, 1])


def test_tracks_run_along_edges_and_close_the_boundary(vault: SkinRegion) -> None:
    edges = {tuple(e) for e in edges_of(vault.triangles)[0].tolist()}
    for track in (*vault.boundary, *vault.inner, *vault.holes):
        run = track.vertices.tolist()
        pairs = list(zip(run, run[1:] + run[:1] if track.closed else run[1:], strict=False))
        assert all(tuple(sorted(pair)) in edges for pair in pairs)
    around = np.concatenate([t.vertices[:-1] for t in vault.boundary])
    (outer, hole) = boundary_loops(vault.triangles)
    start = int(np.flatnonzero(outer == around[0])[0])
    assert np.array_equal(np.roll(outer, -start), around)
    assert set(hole.tolist()) == set(vault.holes[0].vertices.tolist())


def test_tracks_lie_on_their_lines(vault: SkinRegion) -> None:
    network, _ = tunnel()
    for track in (*vault.boundary, *vault.inner, *vault.holes):
        line = network.line(track.line).points(4001)
        for vertex in vault.vertices[track.vertices]:
            assert np.linalg.norm(line - vertex, axis=1).min() < 1.0


def test_the_line_error_is_that_of_chords_in_the_tightest_bend(vault: SkinRegion) -> None:
    assert 0.05 < vault.line_error_rms < vault.line_error_most < 60.0**2 / (8.0 * 400.0)


def test_the_hole_is_open(vault: SkinRegion) -> None:
    middle = tunnel_surface(np.array([1200.0]), np.array([-0.87]))
    assert np.linalg.norm(vault.vertices - middle, axis=1).min() > 20.0


@pytest.mark.parametrize("name", MOVES)
def test_the_skin_moves_with_its_lines(name: str) -> None:
    network, spec = cap()
    move = MOVES[name]
    scale = 2.5 if name == "scale" else 1.0
    outward = move(np.array([[0.0, 0.0, 1.0]])) - move(np.zeros((1, 3)))
    first = span_region(network, spec, edge_length=60.0)
    second = span_region(
        _moved(network, move),
        spec.model_copy(update={"outward": tuple(outward[0])}),
        edge_length=scale * 60.0,
    )
    centre, radius = move(np.zeros((1, 3))), scale * 500.0
    for region, middle, size in ((first, np.zeros((1, 3)), 500.0), (second, centre, radius)):
        off = np.linalg.norm(region.vertices - middle, axis=1) - size
        assert np.abs(off).max() < 5e-4 * size
        normals = triangle_normals(region.vertices, region.triangles)
        out = region.corners().mean(axis=1) - middle
        assert np.einsum("ij,ij->i", normals, out).min() > 0.0
    area = triangle_areas(first.vertices, first.triangles).sum() * scale**2
    assert triangle_areas(second.vertices, second.triangles).sum() == pytest.approx(area, rel=1e-3)


def test_the_sense_of_lines_does_not_matter() -> None:
    network, spec = cap()
    turned = [
        line.model_copy(update={"knots": 1.0 - line.knots[::-1], "control": line.control[::-1]})
        if line.name == "along"
        else line
        for line in network.lines
    ]
    crossings = [
        c.model_copy(
            update={
                "parameters": tuple(
                    1.0 - p if n == "along" else p
                    for n, p in zip(c.lines, c.parameters, strict=True)
                )
            }
        )
        for c in network.crossings
    ]
    other = LineNetwork(lines=tuple(turned), crossings=tuple(crossings))
    first, second = (span_region(n, spec, edge_length=60.0) for n in (network, other))
    assert len(first.vertices) == len(second.vertices)
    assert np.sort(first.vertices[:, 2]) == pytest.approx(np.sort(second.vertices[:, 2]), abs=1e-3)


def test_a_flat_panel_is_exactly_flat_and_its_hole_open() -> None:
    network, (first, _) = two_panels()
    region = span_region(network, first, edge_length=40.0)
    assert np.abs(region.vertices[:, 2]).max() < 1e-6
    area = triangle_areas(region.vertices, region.triangles).sum()
    assert area == pytest.approx(600.0 * 400.0 - np.pi * 90.0**2, rel=5e-3)
    assert not region.findings


def test_regions_that_share_a_line_share_its_vertices_exactly() -> None:
    network, specs = two_panels()
    skin = span_skin(network, specs, edge_length=40.0)
    runs = []
    for region in skin.regions:
        (track,) = (t for t in region.boundary if t.line == "seam")
        runs.append({tuple(p) for p in region.vertices[track.vertices].tolist()})
    assert len(runs[0]) > 8
    assert runs[0] == runs[1]


def test_a_left_wing_is_followed_by_its_exact_mirror_image() -> None:
    network, spec = wing()
    left, right = span_skin(network, (spec,), edge_length=40.0).regions
    assert (left.side, right.side) == ("left", "right")
    assert np.array_equal(right.vertices, left.vertices * [1.0, -1.0, 1.0])
    assert np.array_equal(right.triangles, left.triangles[:, ::-1])
    assert triangle_areas(right.chart, right.triangles).min() > 0.0
    for region in (left, right):
        whole = triangle_normals(region.vertices, region.triangles).sum(axis=0)
        assert whole[2] > 0.0
        around = region.boundary[0].vertices
        (loop,) = boundary_loops(region.triangles)
        start = int(np.flatnonzero(loop == around[0])[0])
        assert np.array_equal(np.roll(loop, -start), around)
    assert [t.line for t in right.inner] == ["wing crown right", "wing section right"]
    assert not right.findings


def test_lines_in_doubt_are_smoothed_within_their_doubt() -> None:
    network, spec = cap()
    wobble = np.random.default_rng(5)
    bent = []
    for line in network.lines:
        control = line.control.copy()
        if line.name != "rim":
            control[8:-8] += 0.8 * wobble.normal(size=control[8:-8].shape)
        bent.append(line.model_copy(update={"control": control, "sigma": 0.8}))
    # The crossing of the two arcs moves with them.
    rough = network.model_copy(update={"lines": tuple(bent)})
    sure = rough.model_copy(
        update={"lines": tuple(line.model_copy(update={"sigma": 0.0}) for line in bent)}
    )
    off = []
    for case in (rough, sure):
        region = span_region(case, spec, edge_length=30.0)
        off.append(np.std(np.linalg.norm(region.vertices, axis=1)))
    assert off[0] < 0.7 * off[1]


def test_a_long_empty_field_is_a_finding() -> None:
    def straight(start: list[float], end: list[float]):
        a, b = np.array(start, float), np.array(end, float)
        return lambda t: a + (b - a) * t[:, None]

    corners = [[0, 0, 0], [1800, 0, 0], [1800, 500, 0], [0, 500, 0]]
    names = ("sill", "rear", "rail", "front")
    curves = {name: straight(corners[k], corners[(k + 1) % 4]) for k, name in enumerate(names)}
    network = network_of(curves)
    region = span_region(network, RegionSpec(name="side", boundary=names), edge_length=60.0)
    (finding,) = region.findings
    assert finding.code == "long-field"
    assert "1800 by 500 mm" in finding.message


def test_lines_that_fight_are_a_finding() -> None:
    network, spec = cap()
    lines = []
    for line in network.lines:
        control = line.control.copy()
        if line.name == "along":
            # A bump 120 mm long that the arc across and the rim know nothing of.
            part = np.linspace(0.0, 1.0, len(control))
            control[:, 2] += 6.0 * np.exp(-(((part - 0.3) / 0.08) ** 2))
        lines.append(line.model_copy(update={"control": control, "sigma": 0.05}))
    fighting = network.model_copy(update={"lines": tuple(lines)})
    region = span_region(fighting, spec, edge_length=60.0)
    assert [f.where for f in region.findings if f.code == "lines-fight"] == ["along"]


def test_a_region_that_overlaps_itself_when_flat_is_refused() -> None:
    def ramp(radius: float):
        def curve(t: np.ndarray) -> np.ndarray:
            turn = 7.5 * t
            return np.stack([radius * np.cos(turn), radius * np.sin(turn), 60.0 * turn], axis=-1)

        return curve

    def step(turn: float):
        return lambda t: np.stack(
            [
                (300.0 + 300.0 * t) * np.cos(turn),
                (300.0 + 300.0 * t) * np.sin(turn),
                np.full_like(t, 60.0 * turn),
            ],
            axis=-1,
        )

    network = network_of(
        {"near": ramp(300.0), "far": ramp(600.0), "start": step(0.0), "end": step(7.5)}
    )
    spec = RegionSpec(name="ramp", boundary=("near", "end", "far", "start"))
    with pytest.raises(JobError, match="Laid flat, 'ramp' overlaps itself"):
        span_region(network, spec, edge_length=60.0)


def test_an_edge_length_that_is_not_positive_is_the_callers_fault() -> None:
    network, spec = cap()
    with pytest.raises(ValueError, match="positive"):
        span_region(network, spec, edge_length=0.0)


def test_lines_that_pass_over_each_other_without_meeting_are_refused_in_a_sentence() -> None:
    network, spec = cap()
    apart = tuple(c for c in network.crossings if set(c.lines) != {"along", "across"})
    along = network.line("along")
    # The ends stay where they meet the boundary; the middle is lifted by more than lines may miss.
    rise = 30.0 * np.sin(np.pi * np.linspace(0.0, 1.0, len(along.control)))
    lifted = along.model_copy(update={"control": along.control + rise[:, None] * [0.0, 0.0, 1.0]})
    lines = tuple(lifted if line.name == "along" else line for line in network.lines)
    over = network.model_copy(update={"crossings": apart, "lines": lines})
    with pytest.raises(JobError, match=r"'cap'"):
        span_region(over, spec, edge_length=60.0)
