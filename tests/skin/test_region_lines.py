import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.geometry.mesh import triangle_areas
from buckwright.geometry.triangulation import crossing_sides
from buckwright.model.skin import RegionSpec
from buckwright.skin.layout import lay_out_lines
from buckwright.skin.loops import outer_loop
from buckwright.skin.region_lines import gather_lines
from buckwright.skin.sampling import Samples, sample_network
from networks_on_paper import cap, network_of, tunnel, two_panels


def _gathered(network, spec, step: float = 60.0):
    samples = sample_network(network, (spec,), edge_length=step, step=step)
    return samples, *gather_lines(samples, spec)


def test_the_loop_follows_the_lines_from_corner_to_corner() -> None:
    network, spec = tunnel()
    samples, lines, _ = _gathered(network, spec)
    for before, after in zip(lines.boundary, lines.boundary[1:], strict=False):
        assert samples.along(before)[-1] == samples.along(after)[0]
    assert {run.line for run in lines.boundary} == set(spec.boundary)


def test_a_boundary_line_is_used_between_its_corners_only() -> None:
    network, (first, second) = two_panels()
    for spec, width in ((first, 600.0), (second, 400.0)):
        samples, lines, _ = _gathered(network, spec, 40.0)
        points = samples.points[lines.loop(samples)]
        assert np.ptp(points[:, 0]) == pytest.approx(width, abs=1e-6)


def test_a_line_may_occur_twice_and_two_lines_may_share_both_corners() -> None:
    def arch(t: np.ndarray) -> np.ndarray:
        turn = np.pi * (1.0 - t)
        return np.stack([0.0 * t, 300.0 * np.cos(turn), 400.0 * np.sin(turn)], axis=-1)

    def beam(y: float, z: float):
        return lambda t: np.stack([0.0 * t, y * (2.0 * t - 1.0), z + 0.0 * t], axis=-1)

    half = 300.0 * np.cos(np.arcsin(0.5))
    network = network_of({"arch": arch, "sill": beam(300.0, 0.0), "beam": beam(half, 200.0)})
    spec = RegionSpec(name="end", boundary=("arch", "sill"), outward=(1.0, 0.0, 0.0))
    samples, lines, _ = _gathered(network, spec)
    assert len(lines.loop(samples)) > 20
    low = RegionSpec(name="low end", boundary=("sill", "arch", "beam", "arch"))
    samples, lines, _ = _gathered(network, low)
    assert samples.points[lines.loop(samples), 2].max() == pytest.approx(200.0)
    assert sorted(run.line for run in lines.boundary) == ["arch", "arch", "beam", "sill"]


def test_an_open_line_cannot_bound_a_region_alone() -> None:
    network, _ = cap()
    samples = sample_network(
        network, (RegionSpec(name="cap", boundary=("along",)),), edge_length=50.0, step=50.0
    )
    with pytest.raises(JobError, match="not a closed line"):
        outer_loop(samples, RegionSpec(name="cap", boundary=("along",)))


def test_lines_out_of_order_close_no_loop() -> None:
    network, (first, _) = two_panels()
    wrong = first.model_copy(update={"boundary": ("bottom", "seam", "left end", "top")})
    # 'seam' and 'left end' come nowhere near each other: that is said first.
    with pytest.raises(JobError, match="do not meet"):
        _gathered(network, wrong, 40.0)
    three = first.model_copy(update={"boundary": ("bottom", "seam", "bottom")})
    with pytest.raises(JobError, match="do not close to a loop"):
        _gathered(network, three, 40.0)


def test_an_open_hole_is_refused() -> None:
    network, spec = cap()
    bad = spec.model_copy(update={"holes": ("along",), "inner": ("across",)})
    with pytest.raises(JobError, match="'along' is to be a hole"):
        _gathered(network, bad)


def test_a_line_of_another_part_is_refused() -> None:
    network, spec = cap()

    def far(t: np.ndarray) -> np.ndarray:
        return np.stack([2000.0 + 100.0 * t, 0.0 * t, 0.0 * t], axis=-1)

    curves = {line.name: _curve_of(line) for line in network.lines} | {"far": far}
    strange = network_of(curves, closed=frozenset({"rim"}))
    with pytest.raises(JobError, match="'far' lies nowhere near 'cap'"):
        _gathered(strange, spec.model_copy(update={"inner": ("along", "across", "far")}))


def test_fields_are_counted_right() -> None:
    network, spec = tunnel()
    _, lines, fields = _gathered(network, spec)
    # Two bays, each of four fields between sills, belts and ridge; the hatch divides two of them,
    # and the porthole is a field inside the hatch, without metal.
    assert len(fields.walks) == 8 + 2 + 1
    assert sum(fields.metal) == 10
    assert len(fields.links) == 1
    assert {run.line for run in lines.inner} == set(spec.inner)
    assert [run.line for run in lines.holes] == ["porthole"]


def test_what_lies_beyond_the_boundary_is_left_out() -> None:
    network, (first, _) = two_panels()

    def rail(t: np.ndarray) -> np.ndarray:
        return np.stack([100.0 + 800.0 * t, 330.0 + 0.0 * t, 0.0 * t], axis=-1)

    longer = network_of(
        {line.name: _curve_of(line) for line in network.lines} | {"rail": rail},
        closed=frozenset({"hole"}),
    )
    spec = first.model_copy(update={"inner": ("rail",)})
    samples, lines, _ = _gathered(longer, spec, 40.0)
    (run,) = lines.inner
    assert samples.points[samples.along(run), 0].max() == pytest.approx(600.0, abs=1e-6)


def test_what_lies_in_a_hole_is_left_out() -> None:
    network, (first, _) = two_panels()

    def rail(t: np.ndarray) -> np.ndarray:
        return np.stack([600.0 * t, 200.0 + 0.0 * t, 0.0 * t], axis=-1)

    longer = network_of(
        {line.name: _curve_of(line) for line in network.lines} | {"rail": rail},
        closed=frozenset({"hole"}),
    )
    spec = first.model_copy(update={"inner": ("rail",)})
    samples, lines, _ = _gathered(longer, spec, 40.0)
    found = sorted(tuple(samples.points[samples.along(run), 0][[0, -1]]) for run in lines.inner)
    assert np.array(found) == pytest.approx(np.array([[0.0, 210.0], [390.0, 600.0]]), abs=1.0)


def _curve_of(line):
    return lambda t: np.asarray(line.curve()(t))


def test_lines_that_cannot_lie_on_one_surface_are_refused() -> None:
    def straight(a: list[float], b: list[float]):
        return lambda t: np.array(a) + (np.array(b) - np.array(a)) * t[:, None]

    curves = {
        "south": straight([0, 0, 0], [300, 0, 0]),
        "east": straight([300, 0, 0], [300, 300, 0]),
        "north": straight([300, 300, 0], [0, 300, 0]),
        "west": straight([0, 300, 0], [0, 0, 0]),
        # Two lines that would have to cross on any surface, 80 mm apart in space.
        "low": lambda t: np.stack([300 * t, 150 + 0 * t, 0 * t], -1),
        "high": lambda t: np.stack([150 + 0 * t, 300 * t, 80 * np.sin(np.pi * t)], -1),
    }
    network = network_of(curves)
    spec = RegionSpec(
        name="square", boundary=("south", "east", "north", "west"), inner=("low", "high")
    )
    with pytest.raises(JobError, match="do not lie in order on one surface"):
        _gathered(network, spec, 30.0)


def _laid_out(samples: Samples, lines, fields):
    used, flat = lay_out_lines(samples.points, fields)
    places = np.zeros((len(samples.points), 2))
    places[used] = flat
    return places, lines.sides(samples), lines.loop(samples)


@pytest.mark.parametrize("case", [tunnel, cap])
def test_lines_are_laid_flat_without_crossing_at_their_true_lengths(case) -> None:
    network, spec = case()
    samples, lines, fields = _gathered(network, spec)
    places, sides, loop = _laid_out(samples, lines, fields)
    assert len(crossing_sides(places, sides)) == 0
    x, y = places[loop].T
    assert (x * np.roll(y, -1) - y * np.roll(x, -1)).sum() > 0.0
    solid, flat = (
        np.linalg.norm(p[sides[:, 0]] - p[sides[:, 1]], axis=1) for p in (samples.points, places)
    )
    assert flat / solid == pytest.approx(np.ones(len(solid)), abs=0.12)


def test_a_region_without_inner_lines_is_laid_out_too() -> None:
    network, (_, second) = two_panels()
    samples, lines, fields = _gathered(network, second, 40.0)
    places, _, loop = _laid_out(samples, lines, fields)
    area = triangle_areas(
        places[loop[[0, len(loop) // 3, 2 * len(loop) // 3]]], np.array([[0, 1, 2]])
    )
    assert area[0] > 0.0
