import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.lines import apply_departures
from buckwright.lines.departing import depart, moved_along, place_on_reference
from buckwright.lines.zones import plain_zones
from buckwright.model.lines import Departure, LineNetwork
from rings import ring, straight

LONGER = Departure(
    name="longer", reason="two more sacks", axis="x", start=-500.0, end=900.0, by=80.0
)
ARCH = ring("arch", (0.0, 300.0, 250.0), 200.0)


def network() -> LineNetwork:
    return LineNetwork(lines=(ARCH, straight("sill", (-800, 300, 0), (1500, 300, 0))), crossings=())


def test_a_rigid_ring_stays_a_circle_to_the_last_digit_while_the_zone_gives_its_whole_growth() -> (
    None
):
    rigid = LONGER.model_copy(update={"rigid": ("arch",)})
    after = apply_departures(network(), (rigid,), rims=("arch",))
    now, before = after.line("arch").points(400), ARCH.points(400)
    shift = now - before
    np.testing.assert_allclose(shift, np.broadcast_to(shift[0], shift.shape), atol=1e-9)
    assert after.findings == ()
    sill = after.line("sill").points(2)[:, 0]
    np.testing.assert_allclose(sill, [-800.0, 1580.0], atol=1e-9)


def test_without_it_the_same_zone_makes_the_ring_an_oval_and_says_so() -> None:
    after = apply_departures(network(), (LONGER,), rims=("arch",))
    assert [finding.code for finding in after.findings] == ["zone-through-rim"]
    assert np.ptp(after.line("arch").points(400)[:, 0]) > 415.0


def test_pieces_share_the_growth_by_their_length_and_stay_twice_differentiable() -> None:
    rigid = LONGER.model_copy(update={"rigid": ("arch",)})
    first, second = plain_zones((rigid,), network())
    assert (first.start, second.end) == (-500.0, 900.0)
    assert first.end == pytest.approx(-200.0, abs=0.01)
    assert second.start == pytest.approx(200.0, abs=0.01)
    assert first.by == pytest.approx(80.0 * 300.0 / 1000.0, abs=0.01)
    at = np.linspace(-600.0, 1000.0, 400001)
    moved = moved_along(at, (first, second))
    bend = np.diff(moved, n=2) / (at[1] - at[0]) ** 2
    assert np.abs(np.diff(bend)).max() < 1e-4
    assert moved[-1] - at[-1] == pytest.approx(80.0)


def test_widening_passes_over_a_rigid_line_on_both_sides_alike() -> None:
    wider = Departure(
        name="wider", reason="crew", axis="y", start=-600.0, end=600.0, by=60.0, rigid=("plate",)
    )
    plate = ring("plate", (0.0, 300.0, 250.0), 100.0, normal=0)
    lines = LineNetwork(lines=(plate,), crossings=())
    pieces = plain_zones((wider,), lines)
    edges = np.array([[piece.start, piece.end] for piece in pieces])
    np.testing.assert_allclose(edges, -edges[::-1, ::-1], atol=1e-9)
    at = np.linspace(0.0, 700.0, 50)
    np.testing.assert_allclose(moved_along(-at, pieces), -moved_along(at, pieces), atol=1e-9)
    now = depart(lines, (wider,)).network.line("plate").points(300)
    shift = now - plate.points(300)
    np.testing.assert_allclose(shift, np.broadcast_to(shift[0], shift.shape), atol=1e-9)


def test_the_way_back_to_the_reference_knows_the_pieces() -> None:
    zones = plain_zones((LONGER.model_copy(update={"rigid": ("arch",)}),), network())
    for value in (-700.0, -350.0, 0.0, 555.0, 1200.0):
        now = float(moved_along(np.array([value]), zones)[0])
        assert place_on_reference("x", now, zones) == pytest.approx(value, abs=1e-6)


@pytest.mark.parametrize(
    ("update", "sentence"),
    [
        ({"rigid": ("door",)}, "there is no such line"),
        ({"rigid": ("sill",)}, "Nothing is left of the zone"),
    ],
)
def test_a_zone_without_room_is_refused(update: dict[str, object], sentence: str) -> None:
    with pytest.raises(JobError, match=sentence):
        apply_departures(network(), (LONGER.model_copy(update=update),))
