import pytest

from buckwright.model.lines import LineNetwork
from buckwright.skin import span_region
from buckwright.skin.drafting import draft_region
from networks_on_paper import cap
from truths_on_paper import Truth, grid_spec, judged, parts_of, traced_lines


def _told(network: LineNetwork, doubt: float | None) -> LineNetwork:
    lines = (line.model_copy(update={"fair_sigma": doubt}) for line in network.lines)
    return network.model_copy(update={"lines": tuple(lines)})


@pytest.fixture(scope="module", name="torus")
def _torus() -> tuple[LineNetwork, Truth]:
    (surface,) = parts_of("torus wing")
    return traced_lines(surface, 3.0, 1), Truth.of(surface, 151)


def test_lines_are_followed_as_far_as_they_are_sure(torus: tuple[LineNetwork, Truth]) -> None:
    network, truth = torus
    off = {}
    for name, lines in (
        ("honest", network),
        ("hard", _told(network, 0.0)),
        ("points", _told(network, None)),
    ):
        region = span_region(lines, grid_spec(), edge_length=40.0)
        off[name] = judged(region.vertices, region.triangles, truth)[1]
    assert off["honest"] < 0.93 * off["hard"]
    assert off["honest"] < 0.93 * off["points"]


def test_a_draft_is_as_limber_as_the_skin(torus: tuple[LineNetwork, Truth]) -> None:
    network, _ = torus
    spec = grid_spec()
    sheet = draft_region(network, (spec,), spec.name).sheet
    assert set(sheet.stiffness) == {line.name for line in network.lines}
    sure = draft_region(_told(network, 0.0), (spec,), spec.name).sheet
    assert not sure.stiffness


def test_two_lines_are_too_few_to_tell_the_grain() -> None:
    network, spec = cap()
    assert draft_region(network, (spec,), spec.name).sheet.grain == 4.0
