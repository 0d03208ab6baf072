import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.lines import crowd, feel_line, laying, pulling
from buckwright.lines.laying import Laid, lay_network
from buckwright.lines.network import drawn_network
from buckwright.model.lines import Pin
from lattices_on_paper import ball_lattice
from small_cab import SPECS, placed_lines

SAME = 2e-3
"""mm within which the sparse system and the dense one lay and pull the same lines."""


@pytest.fixture(scope="module")
def cab() -> Laid:
    return lay_network(placed_lines(sigma=1.2, draw=5), SPECS)


@pytest.fixture(scope="module")
def lattice() -> Laid:
    placed, specs = ball_lattice(18, 18, sigma=0.5)
    return lay_network(placed, specs)


def with_sparse(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(laying, "CROWD", 0)
    monkeypatch.setattr(pulling, "CROWD", 0)


PULLS = {
    "belt left": (0.4, (None, -6.0, 4.0)),
    "front arch": (0.3, (None, None, 8.0)),
    "roof centre": (0.6, (None, None, -9.0)),
}


@pytest.mark.parametrize("name", PULLS)
def test_the_sparse_system_pulls_as_the_dense_one_does(
    cab: Laid, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    share, by = PULLS[name]
    still = drawn_network(cab)
    now = still.line(name).curve()(share)
    point = tuple(None if b is None else float(v) + b for v, b in zip(now, by, strict=True))
    pin = Pin(line=name, share=share, point=(point[0], point[1], point[2]))
    dense = drawn_network(cab, (pin,))
    with_sparse(monkeypatch)
    sparse = drawn_network(cab, (pin,))
    moved = 0.0
    for one, other in zip(dense.lines, sparse.lines, strict=True):
        np.testing.assert_allclose(one.points(200), other.points(200), atol=SAME)
        moved = max(moved, float(np.abs(one.points(200) - still.line(one.name).points(200)).max()))
    assert moved > 5.0


def test_the_sparse_system_lays_nodes_where_the_dense_one_does(
    cab: Laid, monkeypatch: pytest.MonkeyPatch
) -> None:
    with_sparse(monkeypatch)
    sparse = lay_network(placed_lines(sigma=1.2, draw=5), SPECS)
    # The dense way slides the points along each line between its rounds: less than a tenth of the
    # 1.2 mm that they are good to.
    np.testing.assert_allclose(sparse.points, cab.points, atol=0.1)


def test_a_crowd_of_crossings_is_met_by_every_line(lattice: Laid) -> None:
    assert len(lattice.nodes) == 18 * 18 > crowd.CROWD
    network = drawn_network(lattice)
    assert len(network.crossings) == len(lattice.nodes)
    curves = {line.name: line.curve() for line in network.lines}
    for crossing in network.crossings:
        for name, at in zip(crossing.lines, crossing.parameters, strict=True):
            assert np.linalg.norm(curves[name](at) - crossing.point) < 1e-6


def test_an_edit_of_a_crowd_keeps_every_crossing_and_meets_its_pin(lattice: Laid) -> None:
    before = drawn_network(lattice)
    place = before.line("meridian 9").curve()(0.5)
    pin = Pin(line="meridian 9", share=0.5, point=(None, float(place[1]) - 6.0, None))
    after = drawn_network(lattice, (pin,))
    curves = {line.name: line.curve() for line in after.lines}
    assert curves["meridian 9"](0.5)[1] == pytest.approx(place[1] - 6.0, abs=1e-6)
    worst = max(
        float(np.linalg.norm(curves[name](at) - crossing.point))
        for crossing in after.crossings
        for name, at in zip(crossing.lines, crossing.parameters, strict=True)
    )
    assert worst < 1e-6
    moved = [
        float(np.abs(after.line(name).points(50) - before.line(name).points(50)).max())
        for name in ("meridian 9", "meridian 8", "meridian 0")
    ]
    assert moved[0] > moved[1] > moved[2]


def test_a_line_gets_room_for_its_crossings_and_no_more(lattice: Laid) -> None:
    for line in lattice.lines:
        assert line.draft.batten.basis.shape[1] >= len(line.held.at) + 4
    few = lay_network(*ball_lattice(3, 3))
    assert max(line.draft.batten.basis.shape[1] for line in few.lines) <= 24


def test_a_crowd_is_typed_and_not_dragged(lattice: Laid) -> None:
    with pytest.raises(JobError, match="324 places"):
        feel_line(lattice, "meridian 9", ())
