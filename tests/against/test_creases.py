"""Creases inside a region against surfaces known in closed form: cylinders, planes."""

from pathlib import Path

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.geometry.curvature import mesh_curvatures
from buckwright.geometry.mesh import edges_of, triangle_normals
from buckwright.model.creases import CreaseSpec, CreaseTrack
from buckwright.model.crowns import CrownLimits
from buckwright.model.job import Job
from buckwright.model.skin import RegionSpec, SkinRegion
from buckwright.skin import soft_spots, span_region
from buckwright.skin.mirroring import mirrored_region
from creases_on_paper import LONG, RADIUS, gabled, pyramid
from meshes_on_paper import MOVES
from networks_on_paper import cap

ANGLE = 50.0
WHOLE = (CreaseSpec(line="ridge"),)


def _off_gable(region: SkinRegion) -> np.ndarray:
    """Distances from the two cylinders: their axes lie half the crease angle beyond the ridge."""
    lean = 0.5 * np.radians(ANGLE)
    _, y, z = region.vertices.T
    return np.hypot(np.abs(y) + RADIUS * np.sin(lean), z + RADIUS * np.cos(lean)) - RADIUS


@pytest.fixture(scope="module", name="ridged")
def _ridged() -> SkinRegion:
    network, spec = gabled(np.radians(ANGLE), creases=WHOLE)
    return span_region(network, spec, edge_length=13.0)


def test_two_cylinders_meet_in_a_crease_of_the_true_angle(ridged: SkinRegion) -> None:
    assert np.abs(_off_gable(ridged)).max() < 0.02
    (crease,) = ridged.creases
    assert crease.angles == pytest.approx(ANGLE, abs=0.1)
    ridge = ridged.vertices[crease.vertices]
    assert np.abs(ridge[:, 1:]).max() < 1e-9
    assert sorted(ridge[:, 0]) == pytest.approx(np.sort(ridge[:, 0]))
    assert np.ptp(ridge[:, 0]) == pytest.approx(LONG)
    assert not ridged.findings


def test_only_the_crease_breaks(ridged: SkinRegion) -> None:
    jumps = {bound.line: bound for bound in ridged.bounds}
    assert jumps["ridge"].crease
    assert jumps["ridge"].jump == pytest.approx(ANGLE, abs=0.1)
    assert all(abs(b.jump) < 0.1 for name, b in jumps.items() if name != "ridge")
    edges, of_triangle = edges_of(ridged.triangles)
    order = np.argsort(of_triangle.ravel(), kind="stable")
    edge, owner = of_triangle.ravel()[order], order // 3
    paired = np.flatnonzero(edge[:-1] == edge[1:])
    normals = triangle_normals(ridged.vertices, ridged.triangles)
    cosine = np.einsum("ij,ij->i", normals[owner[paired]], normals[owner[paired + 1]])
    sharp = edges[edge[paired[np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))) > 5.0]]]
    (crease,) = ridged.creases
    on = np.sort(np.column_stack([crease.vertices[:-1], crease.vertices[1:]]), axis=1)
    assert {tuple(e) for e in sharp.tolist()} == {tuple(e) for e in on.tolist()}


def test_without_the_crease_the_corner_is_cut_and_told() -> None:
    network, spec = gabled(np.radians(ANGLE))
    region = span_region(network, spec, edge_length=40.0)
    assert np.abs(_off_gable(region)).max() > 2.0
    assert "kink" in {finding.code for finding in region.findings}
    creased = spec.model_copy(update={"creases": WHOLE})
    sharp = span_region(network, creased, edge_length=40.0)
    assert np.abs(_off_gable(sharp)).max() < 0.05


def test_a_pyramid_roof_is_flat_between_its_hips() -> None:
    half, height = 400.0, 300.0
    network, spec = pyramid(half, height)
    region = span_region(network, spec, edge_length=40.0)
    z = height * (1.0 - np.abs(region.vertices[:, :2]).max(axis=1) / half)
    assert region.vertices[:, 2] == pytest.approx(z, abs=1e-6)
    one, two = np.array([height / half, 0.0, 1.0]), np.array([0.0, height / half, 1.0])
    true = np.degrees(np.arccos(one @ two / (one @ one)))
    assert len(region.creases) == 4
    for crease in region.creases:
        assert crease.angles == pytest.approx(true, abs=1e-4)


def test_a_valley_has_an_angle_below_nothing_and_is_no_soft_spot() -> None:
    network, spec = gabled(np.radians(-12.0), creases=WHOLE)
    region = span_region(network, spec, edge_length=30.0)
    (crease,) = region.creases
    assert crease.angles == pytest.approx(-12.0, abs=0.1)
    bends = mesh_curvatures(region.vertices, region.triangles)
    assert soft_spots(region, bends, network, CrownLimits()) == ()


def test_a_crease_that_ends_inside_fades_out() -> None:
    half = (CreaseSpec(line="ridge", end=0.5 * LONG),)
    network, spec = gabled(np.radians(ANGLE), rear=0.0, creases=half)
    region = span_region(network, spec, edge_length=30.0)
    (crease,) = region.creases
    ends = region.vertices[crease.vertices[[0, -1]], 0]
    assert sorted(ends) == pytest.approx([0.0, 0.5 * LONG])
    angles = crease.angles if ends[0] < ends[1] else crease.angles[::-1]
    assert angles[0] == pytest.approx(ANGLE, abs=4.0)
    assert np.all(np.diff(angles) < 0.0)
    assert angles[-1] < 0.1 * ANGLE
    # Nowhere beyond the crease's end is there a break.
    normals = triangle_normals(region.vertices, region.triangles)
    _, of_triangle = edges_of(region.triangles)
    order = np.argsort(of_triangle.ravel(), kind="stable")
    edge, owner = of_triangle.ravel()[order], order // 3
    paired = np.flatnonzero(edge[:-1] == edge[1:])
    middle = region.corners().mean(axis=1)[owner[paired], 0]
    cosine = np.einsum("ij,ij->i", normals[owner[paired]], normals[owner[paired + 1]])
    beyond = middle > 0.5 * LONG + 60.0
    assert np.degrees(np.arccos(cosine[beyond].min())) < 6.0


@pytest.mark.parametrize("name", MOVES)
def test_creases_move_with_their_lines(name: str) -> None:
    network, spec = pyramid(240.0, 90.0)
    move = MOVES[name]
    lines = tuple(line.model_copy(update={"control": move(line.control)}) for line in network.lines)
    crossings = tuple(
        c.model_copy(update={"point": move(c.point[None])[0]}) for c in network.crossings
    )
    outward = move(np.array([[0.0, 0.0, 1.0]])) - move(np.zeros((1, 3)))
    moved = network.model_copy(update={"lines": lines, "crossings": crossings})
    first = span_region(network, spec, edge_length=60.0)
    scale = 2.5 if name == "scale" else 1.0
    second = span_region(
        moved, spec.model_copy(update={"outward": tuple(outward[0])}), edge_length=scale * 60.0
    )
    means = [[float(np.mean(c.angles)) for c in r.creases] for r in (first, second)]
    assert means[1] == pytest.approx(means[0], abs=1e-3)
    assert min(means[0]) > 20.0


def test_the_right_side_has_the_creases_of_the_left() -> None:
    network, spec = pyramid()
    left = span_region(network, spec, edge_length=80.0)
    named = left.model_copy(
        update={
            "creases": tuple(
                CreaseTrack(
                    line=f"{c.line} left", vertices=c.vertices, closed=c.closed, angles=c.angles
                )
                for c in left.creases
            )
        }
    )
    right = mirrored_region(named)
    assert [c.line for c in right.creases] == [f"hip {k} right" for k in range(4)]
    assert np.array_equal(right.creases[0].angles, left.creases[0].angles)
    assert right.bounds[0].place[1] == -left.bounds[0].place[1]


def test_a_crease_that_does_not_break_is_told() -> None:
    network, spec = cap()
    region = span_region(
        network, spec.model_copy(update={"creases": (CreaseSpec(line="along"),)}), edge_length=60.0
    )
    assert [f.code for f in region.findings] == ["blunt-crease"]
    assert "'along'" in region.findings[0].message


def test_a_crease_must_be_a_line_on_the_region() -> None:
    network, spec = cap()
    with pytest.raises(JobError, match="'rim' is to be sharp in 'cap', but is no line on it"):
        span_region(
            network,
            spec.model_copy(update={"creases": (CreaseSpec(line="rim"),)}),
            edge_length=60.0,
        )


@pytest.mark.parametrize(("start", "end"), [(-1.0, None), (300.0, 300.0), (300.0, 200.0)])
def test_a_crease_runs_from_a_place_to_a_later_one(start: float, end: float | None) -> None:
    with pytest.raises(ValueError, match="later one"):
        CreaseSpec(line="ridge", start=start, end=end)


def test_jobs_and_skins_from_before_creases_are_still_read(ridged: SkinRegion) -> None:
    old = ridged.model_dump(mode="json", exclude={"creases", "bounds"})
    region = SkinRegion.model_validate(old)
    assert region.creases == ()
    again = SkinRegion.model_validate_json(ridged.model_dump_json())
    assert np.array_equal(again.creases[0].angles, ridged.creases[0].angles)
    wren = Path(__file__).parents[2] / "examples" / "wren" / "job.json"
    job = Job.model_validate_json(wren.read_text(encoding="utf-8"))
    assert all(spec.creases == () for spec in job.regions)
    assert RegionSpec(name="a", boundary=("b",)).creases == ()
