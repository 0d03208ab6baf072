from collections.abc import Callable

import numpy as np
import pytest

from buckwright.geometry.curvature import mesh_curvatures
from buckwright.model.crowns import CrownLimits, SoftSpot
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import LineTrack, Skin, SkinRegion
from buckwright.skin import skin_shape, soft_spots, span_region
from buckwright.skin.mirroring import mirrored_region
from buckwright.skin.soft_spots import line_dip
from dips_on_paper import BODIES, NO_LINES, dip, dipped, nearest, region_of
from meshes_on_paper import MOVES
from networks_on_paper import cap, tunnel, wing
from skins_on_paper import line_through

LIMITS = CrownLimits()


def _spots(region: SkinRegion, network: LineNetwork = NO_LINES) -> tuple[SoftSpot, ...]:
    bends = mesh_curvatures(region.vertices, region.triangles)
    return soft_spots(region, bends, network, LIMITS)


@pytest.mark.parametrize("body", BODIES)
def test_a_body_without_dips_has_no_soft_spot(body: str) -> None:
    assert _spots(region_of(*BODIES[body], 20.0)) == ()


@pytest.mark.parametrize("body", BODIES)
def test_a_planted_dip_is_found_with_its_place_depth_and_size_and_nothing_else(body: str) -> None:
    surface, length, width = BODIES[body]
    region = region_of(surface, length, width, 20.0)
    middle = nearest(region, 0.1 * length, 0.07 * width)
    (spot,) = _spots(dipped(region, middle, 0.8, 150.0))
    assert np.linalg.norm(spot.point[0] - middle) < 20.0
    assert spot.depth == pytest.approx(0.8, abs=0.08)
    # A tenth of a raised cosine's depth is reached at 0.795 of its width; vertices are 20 mm apart.
    assert 0.795 * 150.0 - 45.0 < spot.width <= spot.length < 0.795 * 150.0 + 20.0
    away = np.linalg.norm(spot.outline - middle, axis=1)
    assert away == pytest.approx(0.5 * 0.795 * 150.0, abs=10.0)


def test_a_bump_and_a_shallow_dip_are_no_soft_spots() -> None:
    region = region_of(*BODIES["ellipsoid"], 20.0)
    middle = nearest(region, 100.0, 50.0)
    assert _spots(dipped(region, middle, -0.8, 150.0)) == ()
    assert _spots(dipped(region, middle, 0.15, 150.0)) == ()


def test_a_dip_wider_than_the_limit_is_the_body_s_shape() -> None:
    region = region_of(*BODIES["board"], 25.0)
    middle = nearest(region, 0.0, 0.0)
    (spot,) = _spots(dipped(region, middle, 0.8, 150.0))
    assert spot.depth > LIMITS.least_dip
    narrow = CrownLimits(widest_dip=60.0)
    bent = dipped(region, middle, 0.8, 150.0)
    bends = mesh_curvatures(bent.vertices, bent.triangles)
    assert soft_spots(bent, bends, NO_LINES, narrow) == ()


def test_hollow_and_flat_spot_are_told_apart() -> None:
    flatter = region_of(*BODIES["small ellipsoid"], 15.0)
    (spot,) = _spots(dipped(flatter, nearest(flatter, 0.0, 0.0), 0.5, 150.0))
    assert spot.kind == "flat spot"
    hollow = region_of(*BODIES["board"], 15.0)
    (spot,) = _spots(dipped(hollow, nearest(hollow, 0.0, 0.0), 0.5, 150.0))
    assert spot.kind == "hollow"
    finding = spot.finding()
    assert (finding.code, finding.where) == ("soft-spot", "body")
    assert "dips by 0.5 mm" in finding.message
    assert finding.remedy


def test_two_dips_come_deepest_first() -> None:
    region = region_of(*BODIES["ellipsoid"], 20.0)
    one, two = nearest(region, -300.0, 100.0), nearest(region, 300.0, -100.0)
    spots = _spots(dipped(dipped(region, one, 0.6, 150.0), two, 1.0, 150.0))
    assert [round(s.depth, 1) for s in spots] == [1.0, 0.6]


def _lined(depth_of_line: float) -> tuple[SkinRegion, LineNetwork]:
    """A board with a dip, and a line across it that dips so far itself."""
    region = region_of(*BODIES["board"], 20.0)
    middle = nearest(region, 0.0, 0.0)
    u = np.linspace(-400.0, 400.0, 161)
    points = np.column_stack(
        [u, 0.0 * u + middle[1], dip(np.abs(u - middle[0]), depth_of_line, 150.0)]
    )
    track = LineTrack(line="belt", vertices=np.array([0, 1]), closed=False)
    network = LineNetwork(lines=(line_through("belt", points),), crossings=())
    return dipped(region, middle, 0.8, 150.0).model_copy(update={"inner": (track,)}), network


def test_a_dip_that_a_line_asks_for_is_none() -> None:
    assert _spots(*_lined(0.8)) == ()
    assert len(_spots(*_lined(0.0))) == 1
    assert len(_spots(*_lined(0.1))) == 1


def test_a_line_dips_by_what_was_taken_from_it() -> None:
    _, network = _lined(0.8)
    up = np.array([0.0, 0.0, 1.0])
    assert line_dip(network.lines[0], np.zeros(3), up, 60.0) == pytest.approx(0.8, abs=0.05)
    assert line_dip(network.lines[0], np.array([0.0, 200.0, 0.0]), up, 60.0) == 0.0
    assert line_dip(network.lines[0], np.array([390.0, 0.0, 0.0]), up, 60.0) == 0.0


def test_a_round_line_has_no_dip_anywhere() -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 161)
    rim = np.column_stack([500.0 * np.cos(turn), 500.0 * np.sin(turn), 0.0 * turn])
    line = line_through("rim", rim, closed=True)
    for k in (0, 40, 155):
        away = rim[k] / 500.0
        assert abs(line_dip(line, rim[k], away, 75.0)) < 0.01


@pytest.mark.parametrize("name", [*MOVES, "reverse"])
def test_a_soft_spot_does_not_mind_where_the_body_lies(name: str) -> None:
    region = region_of(*BODIES["ellipsoid"], 25.0)
    middle = nearest(region, 100.0, 50.0)
    (first,) = _spots(dipped(region, middle, 0.8, 150.0))
    scale = 2.5 if name == "scale" else 1.0
    move = MOVES.get(name, lambda p: p)
    moved = dipped(region, middle, 0.8, 150.0)
    order = np.arange(len(moved.vertices))[:: -1 if name == "reverse" else 1]
    triangles = np.array(order[moved.triangles])
    if name == "mirror":
        triangles = triangles[:, ::-1]
    chart = moved.chart[order] * scale
    moved = moved.model_copy(
        update={"vertices": move(moved.vertices[order]), "triangles": triangles, "chart": chart}
    )
    limits = CrownLimits(
        flat=1e4 * scale,
        low=2500.0 * scale,
        medium=800.0 * scale,
        least_dip=0.3 * scale,
        widest_dip=300.0 * scale,
    )
    bends = mesh_curvatures(moved.vertices, moved.triangles)
    (second,) = soft_spots(moved, bends, NO_LINES, limits)
    assert second.depth == pytest.approx(scale * first.depth, rel=1e-4)
    assert second.point == pytest.approx(move(first.point), abs=1e-6)
    assert second.kind == first.kind


def test_the_right_side_has_the_soft_spots_of_the_left() -> None:
    region = region_of(*BODIES["wing"], 25.0)
    region = region.model_copy(
        update={"vertices": region.vertices - [0.0, 700.0, 0.0], "side": "left", "name": "wing"}
    )
    left = dipped(region, nearest(region, 0.0, 0.0), 0.8, 150.0)
    shape = skin_shape(Skin(regions=(left, mirrored_region(left))), NO_LINES, LIMITS)
    one, other = shape.spots
    assert {one.side, other.side} == {"left", "right"}
    assert one.point * [1.0, -1.0, 1.0] == pytest.approx(other.point)
    assert "wing right" in next(s for s in shape.spots if s.side == "right").words


def test_limits_out_of_order_are_refused() -> None:
    with pytest.raises(ValueError, match="must fall"):
        CrownLimits(low=12000.0)
    with pytest.raises(ValueError, match="positive"):
        CrownLimits(least_dip=0.0)


@pytest.mark.parametrize("made", [cap, tunnel, wing])
def test_skins_spanned_over_exact_lines_have_no_soft_spot(made: Callable[[], tuple]) -> None:
    network, spec = made()
    assert _spots(span_region(network, spec, edge_length=30.0), network) == ()


def _waved(lines_wave: bool) -> tuple[SkinRegion, LineNetwork]:
    """A vault with waves along it, 3 mm deep and 400 mm long; and a line along the vault."""
    region = region_of(*BODIES["vault"], 20.0)
    u = region.chart[:, 0]
    normals = mesh_curvatures(region.vertices, region.triangles).normals
    wave = 1.5 * np.cos(2.0 * np.pi * u / 400.0)
    moved = region.vertices - wave[:, None] * normals
    at = np.linspace(-400.0, 400.0, 161)
    dipping = 1.5 * np.cos(2.0 * np.pi * at / 400.0) if lines_wave else 0.0 * at
    points = np.column_stack([at, 0.0 * at, 300.0 - dipping])
    track = LineTrack(line="ridge", vertices=np.array([0, 1]), closed=False)
    network = LineNetwork(lines=(line_through("ridge", points),), crossings=())
    return region.model_copy(update={"vertices": moved, "inner": (track,)}), network


def test_a_place_that_turns_inward_is_told_unless_a_line_turns_with_it() -> None:
    spots = _spots(*_waved(lines_wave=False))
    reverse = [s for s in spots if s.kind == "reverse"]
    assert reverse
    # Bent inward by b cos(q u), b = 1.5 q^2, tighter than flat up to an angle t from the middle;
    # on the mean by b sin(t) / t, over 2 t / q: the gap under a straightedge over that.
    q = 2.0 * np.pi / 400.0
    b = 1.5 * q**2
    t = np.arccos(1.0 / (LIMITS.flat * b))
    gap = b * np.sin(t) / t * (2.0 * t / q) ** 2 / 8.0
    middle = min(reverse, key=lambda s: abs(s.point[0, 0]))
    assert middle.depth == pytest.approx(gap, rel=0.2)
    assert "turns inward" in middle.words
    assert [s for s in _spots(*_waved(lines_wave=True)) if s.kind == "reverse"] == []
