from itertools import pairwise

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.model.skin import RegionSpec
from buckwright.skin.ruler import Ruler
from buckwright.skin.sampling import Run, sample_network
from networks_on_paper import network_of, tunnel, two_panels


def _straight(start: tuple[float, ...], end: tuple[float, ...]):
    a, b = np.array(start, float), np.array(end, float)
    return lambda t: a + (b - a) * t[:, None]


def _square(overshoot: float = 0.0, gap: float = 0.0):
    """Four lines round a square of 200 mm, sticking out or falling short at their ends."""
    e = overshoot
    curves = {
        "south": _straight((-e, gap, 0), (200 + e, gap, 0)),
        "east": _straight((200, -e, 0), (200, 200 + e, 0)),
        "north": _straight((200 + e, 200, 0), (-e, 200, 0)),
        "west": _straight((0, 200 + e, 0), (0, -e, 0)),
    }
    spec = RegionSpec(name="square", boundary=("south", "east", "north", "west"))
    return network_of(curves), spec


def test_samples_are_evenly_spaced_between_nodes_that_lines_share() -> None:
    network, spec = tunnel()
    samples = sample_network(network, (spec,), edge_length=50.0, step=50.0)
    assert samples.nodes("ridge") & samples.nodes("middle arch")
    for arcs in samples.arcs.values():
        for before, after in pairwise(arcs):
            assert before.ends[1] == after.ends[0]
        for arc in arcs:
            steps = np.linalg.norm(np.diff(samples.points[arc.vertices], axis=0), axis=1)
            assert steps.max() < 1.5 * 50.0
    ridge = samples.points[samples.along(Run("ridge", (0, 1)))]
    steps = np.linalg.norm(np.diff(ridge, axis=0), axis=1)
    assert steps == pytest.approx(np.full(len(steps), steps.mean()), rel=1e-3)


def test_samples_of_another_step_have_the_same_arcs() -> None:
    network, spec = tunnel()
    fine = sample_network(network, (spec,), edge_length=40.0, step=40.0)
    coarse = sample_network(network, (spec,), edge_length=40.0, step=130.0)
    for name, arcs in fine.arcs.items():
        assert len(coarse.arcs[name]) == len(arcs)
        for one, other in zip(arcs, coarse.arcs[name], strict=True):
            assert one.along[[0, -1]] == pytest.approx(other.along[[0, -1]], abs=0.5)
            assert one.ends == other.ends


def test_ends_that_stick_out_are_left_off() -> None:
    network, spec = _square(overshoot=8.0)
    samples = sample_network(network, (spec,), edge_length=20.0, step=20.0)
    assert all(len(arcs) == 1 for arcs in samples.arcs.values())
    assert samples.points.min() == pytest.approx(0.0, abs=1e-6)


def test_long_ends_are_kept() -> None:
    network, spec = _square(overshoot=50.0)
    samples = sample_network(network, (spec,), edge_length=20.0, step=20.0)
    assert all(len(arcs) == 3 for arcs in samples.arcs.values())


def test_corners_that_barely_miss_are_met_half_way() -> None:
    network, spec = _square(gap=4.0)
    west = network.line("west")
    short = west.model_copy(update={"control": west.control * [1.0, 0.92, 1.0] + [0.0, 16.0, 0.0]})
    lines = tuple(short if line.name == "west" else line for line in network.lines)
    crossings = tuple(c for c in network.crossings if "west" not in c.lines or "north" in c.lines)
    missed = network.model_copy(update={"lines": lines, "crossings": crossings})
    samples = sample_network(missed, (spec,), edge_length=25.0, step=25.0)
    (corner,) = samples.nodes("south") & samples.nodes("west")
    assert samples.points[corner] == pytest.approx([0.0, 10.0, 0.0], abs=0.1)


def test_corners_far_apart_are_refused_with_their_distance() -> None:
    network, spec = _square(gap=60.0)
    west = network.line("west")
    short = west.model_copy(update={"control": west.control * [1.0, 0.5, 1.0] + [0.0, 100.0, 0.0]})
    lines = tuple(short if line.name == "west" else line for line in network.lines)
    crossings = tuple(c for c in network.crossings if c.lines != ("south", "west"))
    missed = network.model_copy(update={"lines": lines, "crossings": crossings})
    with pytest.raises(JobError, match="'west' and 'south' do not meet: they are 40 mm apart"):
        sample_network(missed, (spec,), edge_length=25.0, step=25.0)


def test_a_line_that_does_not_exist_is_named() -> None:
    network, _ = _square()
    spec = RegionSpec(name="square", boundary=("south", "roof rail"))
    with pytest.raises(JobError, match="'roof rail', which does not exist"):
        sample_network(network, (spec,), edge_length=25.0, step=25.0)


def test_crossings_of_lines_that_share_no_region_do_not_matter() -> None:
    network, specs = two_panels()
    samples = sample_network(network, specs[1:], edge_length=25.0, step=25.0)
    assert "hole" not in samples.arcs
    assert "left end" not in samples.arcs


def test_steps_get_shorter_in_bends() -> None:
    def track(t: np.ndarray) -> np.ndarray:
        turn = 2.0 * np.pi * t
        return np.stack([400.0 * np.cos(turn), 60.0 * np.sin(turn), 0.0 * t], axis=-1)

    line = network_of({"track": track}, closed=frozenset({"track"})).line("track")
    ruler = Ruler(line, 25.0)
    along = ruler.between(0.0, ruler.length, round(ruler.steps(0.0, ruler.length)))
    points = ruler.places(along)
    middles = ruler.places(0.5 * (along[1:] + along[:-1]))
    sag = np.linalg.norm(middles - 0.5 * (points[1:] + points[:-1]), axis=1)
    steps = np.diff(along)
    # Radius 9 mm at the ends, where even steps of 25 mm would cut off 9 mm.
    assert steps.min() > 12.0
    assert steps.max() < 26.5
    assert sag.max() < 3.0


def test_steps_count_on_past_the_start_of_a_closed_line() -> None:
    network, _ = tunnel()
    ruler = Ruler(network.line("hatch"), 30.0)
    whole = ruler.steps(0.0, ruler.length)
    late = 0.75 * ruler.length
    assert ruler.steps(late, late + ruler.length) == pytest.approx(whole)
    along = ruler.between(late, late + 0.5 * ruler.length, 10)
    assert np.all(np.diff(along) > 0.0)
    assert ruler.places(along)[-1] == pytest.approx(
        ruler.places(np.array([0.25 * ruler.length]))[0]
    )
