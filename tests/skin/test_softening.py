import numpy as np
import pytest

from buckwright.geometry.mesh import MeshLocator
from buckwright.model.fields import Softening
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import RegionSpec
from buckwright.skin import soften_lines, soften_regions, span_region
from networks_on_paper import network_of

RADIUS, HALF = 600.0, 0.7


def _vault(s: np.ndarray, t: np.ndarray) -> np.ndarray:
    """A crowned vault, mirrored in y = 0."""
    turn = 2.0 * HALF * (t - 0.5)
    radius = RADIUS - 60.0 * (2.0 * s - 1.0) ** 2
    return np.stack([900.0 * s, radius * np.sin(turn), radius * np.cos(turn)], axis=-1)


def _wavy(s: np.ndarray, t: np.ndarray) -> np.ndarray:
    """The vault with waves, alike on both sides."""
    across = np.abs(t - 0.5)
    off = 0.4 * np.sin(7.3 * np.pi * s + 1.0) * np.cos(17.0 * across)
    off += 0.4 * np.sin(11.6 * np.pi * s) * np.cos(29.0 * across + 1.0) * (1.0 - across)
    p = _vault(s, t)
    out = p * [0.0, 1.0, 1.0]
    return p + off[..., None] * out / np.linalg.norm(out, axis=-1, keepdims=True)


def _lines(surface) -> tuple[LineNetwork, RegionSpec]:
    places = np.linspace(0.0, 1.0, 5)
    curves = {f"arch {k}": (lambda t, c=c: surface(c + 0.0 * t, t)) for k, c in enumerate(places)}
    curves |= {f"long {k}": (lambda t, c=c: surface(t, c + 0.0 * t)) for k, c in enumerate(places)}
    inner = tuple(f"{kind} {k}" for kind in ("arch", "long") for k in range(1, 4))
    spec = RegionSpec(name="vault", boundary=("arch 0", "long 4", "arch 4", "long 0"), inner=inner)
    return network_of(curves), spec


@pytest.fixture(scope="module", name="wavy")
def _wavy_lines() -> tuple[LineNetwork, RegionSpec]:
    return _lines(_wavy)


def _off(network: LineNetwork) -> float:
    """Rms mm of all lines from the true vault."""
    points = np.vstack([line.points(200) for line in network.lines])
    radius = RADIUS - 60.0 * (2.0 * points[:, 0] / 900.0 - 1.0) ** 2
    return float(np.sqrt(np.mean((np.hypot(points[:, 1], points[:, 2]) - radius) ** 2)))


def test_waves_that_the_other_lines_do_not_ask_for_are_taken_down(wavy) -> None:
    network, spec = wavy
    before = _off(network)
    softened = soften_lines(network, spec, tolerance=1.0)
    assert 0.15 < before < 0.4
    assert _off(softened.network) < 0.75 * before
    assert softened.moved_most <= 1.0
    assert min(miss for _, miss in softened.foretold) < softened.foretold[0][1]


def test_no_line_moves_farther_than_its_tolerance_and_none_that_is_kept(wavy) -> None:
    network, spec = wavy
    softened = soften_lines(network, spec, tolerance=0.2, wave=900.0, kept=frozenset({"arch 2"}))
    assert softened.moved_most <= 0.2 + 1e-9
    for line in network.lines:
        moved = np.linalg.norm(
            softened.network.line(line.name).points(300) - line.points(300), axis=1
        )
        # The spline follows the moves of its samples to a few hundredths.
        assert moved.max() < 0.25, line.name
    assert softened.network.line("arch 2").control == pytest.approx(network.line("arch 2").control)


def test_lines_still_meet_and_mirror_each_other(wavy) -> None:
    network, spec = wavy
    softened = soften_lines(network, spec, tolerance=1.0, wave=700.0).network
    assert max(crossing.gap for crossing in softened.crossings) < 0.05
    left, right = softened.line("long 0").control, softened.line("long 4").control
    assert right == pytest.approx(left * [1.0, -1.0, 1.0], abs=1e-9)
    arch = softened.line("arch 2").control
    assert arch[::-1] == pytest.approx(arch * [1.0, -1.0, 1.0], abs=1e-9)


@pytest.mark.slow
def test_clean_lines_stay_where_they_are() -> None:
    network, spec = _lines(_vault)
    softened = soften_lines(network, spec, tolerance=1.0)
    assert softened.moved_rms < 0.03


def test_a_job_s_regions_are_softened_in_turn_and_say_so(wavy) -> None:
    network, spec = wavy
    asked = [Softening(region="vault", tolerance=0.8), Softening(region="gone", tolerance=1.0)]
    softened, (note,) = soften_regions(network, (spec,), asked)
    assert note.kind == "note"
    assert "within the 0.8 mm" in note.message
    region = span_region(softened, spec, edge_length=40.0)
    fine = np.linspace(0.0, 1.0, 241)
    s, t = (g.ravel() for g in np.meshgrid(fine, fine, indexing="ij"))
    number = np.arange(len(s)).reshape(241, 241)
    a, b, c, d = number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]
    triangles = np.vstack([np.stack(q, -1).reshape(-1, 3) for q in ((a, b, c), (a, c, d))])
    off = MeshLocator(_vault(s, t), triangles).closest(region.vertices)[0]
    assert np.sqrt(np.mean(off**2)) < 0.15
    # Nobody asked: nothing moves.
    same, none = soften_regions(network, (spec,), ())
    assert same is network
    assert none == ()


def test_a_tolerance_that_is_none_is_refused(wavy) -> None:
    network, spec = wavy
    with pytest.raises(ValueError, match="positive"):
        soften_lines(network, spec, tolerance=0.0)


def test_lines_of_a_rich_shape_are_left_alone() -> None:
    """A roof of parabolas both ways: nothing can be foretold over a piece left out."""

    def roof(s: np.ndarray, t: np.ndarray) -> np.ndarray:
        x, y = 0.8 * (2.0 * s - 1.0), 0.8 * (2.0 * t - 1.0)
        z = 450.0 * (1.0 - x * x) * (1.0 - y * y)
        return np.stack([1000.0 * x, 700.0 * y, z], axis=-1)

    network, spec = _lines(roof)
    same, (note,) = soften_regions(network, (spec,), [Softening(region="vault", tolerance=1.0)])
    assert "No line of 'vault' was moved" in note.message
    for line in network.lines:
        assert same.line(line.name).control == pytest.approx(line.control, abs=1e-9)
