"""Soft spots of a whole skin, and the moves of softened lines that drafts take over."""

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.flow.draft import draft_skin
from buckwright.geometry.mesh import MeshLocator
from buckwright.geometry.refine import FineChains, refine_mesh, refined_places
from buckwright.model.crowns import CrownLimits
from buckwright.model.fields import Softening
from buckwright.model.finding import PlacedFinding
from buckwright.model.job import Job, Products, step_digests
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import LineMove, LineTrack, Skin, SkinRegion
from buckwright.skin import skin_spots
from buckwright.skin.mirroring import mirrored_region
from buckwright.skin.moved_lines import line_moves, moved_network
from buckwright.skin.spots import undivided_region
from dips_on_paper import BODIES, NO_LINES, dipped, nearest, region_of
from networks_on_paper import two_panels

LIMITS = CrownLimits()


def _divided(region: SkinRegion, parts: int) -> SkinRegion:
    """The region with its triangles divided, as a fine skin has them."""
    count = len(region.vertices)
    vertices, triangles = refine_mesh(region.vertices, region.triangles, parts)
    owner, weights, _ = refined_places(region.triangles, count, parts)
    chart = np.einsum("ki,kid->kd", weights, region.chart[region.triangles[owner]])
    chains = FineChains(region.triangles, count, parts)
    (rim,) = region.boundary
    track = LineTrack(line="rim", vertices=chains.along(rim.vertices, closed=True), closed=True)
    return region.model_copy(
        update={
            "vertices": vertices,
            "triangles": triangles,
            "chart": chart,
            "boundary": (track,),
        }
    )


@pytest.mark.parametrize("body", ["ellipsoid", "wing"])
def test_a_dip_of_a_divided_skin_is_found_on_the_triangles_it_was_solved_on(body: str) -> None:
    surface, length, width = BODIES[body]
    plain = region_of(surface, length, width, 30.0)
    middle = nearest(plain, 0.1 * length, 0.07 * width)
    bent = dipped(plain, middle, 0.8, 180.0).model_copy(update={"side": "left"})
    fine = _divided(bent, 3)
    assert len(fine.triangles) == 9 * len(bent.triangles)
    assert len(undivided_region(fine).triangles) == len(bent.triangles)
    assert len(undivided_region(fine).boundary[0].vertices) == len(bent.boundary[0].vertices)
    left, right = skin_spots(Skin(regions=(fine, mirrored_region(fine))), NO_LINES, LIMITS)
    assert np.linalg.norm(left.point[0] - middle) < 30.0
    assert left.depth == pytest.approx(0.8, abs=0.1)
    assert right.side == "right"
    assert np.allclose(right.point * [1.0, -1.0, 1.0], left.point)
    told = left.finding()
    assert told.place == pytest.approx(left.point[0], abs=0.1)
    skin = Skin(regions=(bent,), findings=(told,))
    (again,) = Skin.model_validate_json(skin.model_dump_json()).findings
    assert isinstance(again, PlacedFinding)
    assert again.place == told.place


def test_other_limits_of_a_dip_ask_for_the_skin_again_but_for_nothing_built_on_it() -> None:
    plain, other = Job(name="cab"), Job(name="cab", crowns=CrownLimits(least_dip=1.0))
    before, after = step_digests(plain), step_digests(other)
    assert [step for step in before if before[step] != after[step]] == ["skin"]
    coloured = Job(name="cab", crowns=CrownLimits(low=3000.0))
    assert step_digests(coloured) == before


def _bumped(network: LineNetwork, name: str, by: float) -> LineNetwork:
    line = network.line(name)
    control = line.control.copy()
    control[:, 2] += by * np.sin(np.pi * np.linspace(0.0, 1.0, len(control))) ** 2
    moved = line.model_copy(update={"control": control})
    lines = tuple(moved if one.name == name else one for one in network.lines)
    return network.model_copy(update={"lines": lines})


def test_moves_of_softened_lines_are_kept_and_done_again_within_the_tolerance() -> None:
    network, specs = two_panels()
    name = specs[0].boundary[0]
    softened = _bumped(network, name, 2.0)
    (move,) = line_moves(network, softened)
    again = moved_network(network, (move,), {name: 5.0})
    assert np.array_equal(again.line(name).control, softened.line(name).control)
    less = moved_network(network, (move,), {name: 0.5})
    off = np.linalg.norm(less.line(name).control - network.line(name).control, axis=1)
    assert off.max() == pytest.approx(0.5)
    assert np.median(off) == pytest.approx(0.5)
    assert moved_network(network, (move,), {}) is network
    half = LineMove(line=name, control=move.control[::2])
    assert moved_network(network, (half,), {name: 5.0}).line(name).control.shape == (
        softened.line(name).control.shape
    )


class _Lines:
    """What a draft asks of the answer of the lines step."""

    def __init__(self, network: LineNetwork) -> None:
        self.network = network


def test_a_draft_has_softened_lines_where_softening_put_them() -> None:
    network, specs = two_panels()
    name = specs[0].boundary[0]
    softened = _bumped(network, name, 3.0)
    job = Job(
        name="cab",
        regions=specs,
        softened=(Softening(region=specs[0].name, tolerance=4.0),),
    )
    skin = Skin(regions=(), moves=line_moves(network, softened))
    products = Products.model_construct(lines=_Lines(network), skin=skin)
    shown, _ = draft_skin(job, products, None, {})
    (region,) = (r for r, _ in shown if r.name == specs[0].name)
    place = softened.line(name).points(9)[2]
    gap = abs(MeshLocator(region.vertices, region.triangles).closest(place[None])[0][0])
    assert gap < 0.5
    off = abs(
        MeshLocator(region.vertices, region.triangles).closest(network.line(name).points(9)[2:3])[0]
    )
    assert off[0] > 0.9
    with pytest.raises(JobError):
        draft_skin(job.model_copy(update={"regions": ()}), products, None, {})
