"""Cards in any plane, at places on lines, and on either face of the metal."""

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.gauges import make_gauges
from buckwright.gauges.planes import CutPlane
from buckwright.model.gauges import CardAtLine, CardPlane, Gauge, Gauges, GaugeSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import LineTrack, Skin, SkinRegion
from skins_on_paper import grid_region, line_through

RADIUS = 420.0
FLIP = np.array([1.0, -1.0, 1.0])


def barrel(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    """A barrel about x: u along it, v from the left round the top."""
    radius = RADIUS - u**2 / 4000.0
    return np.column_stack([u, -radius * np.cos(v), 300.0 + radius * np.sin(v)])


def wing() -> SkinRegion:
    u, v = np.linspace(-450.0, 450.0, 41), np.linspace(0.3, 1.3, 21)
    track = LineTrack(line="crown left", vertices=np.arange(41) * 21 + 10, closed=False)
    return grid_region(
        "wing", barrel, u, v, outward=lambda p: p - [0.0, 0.0, 300.0], tracks=[track], side="left"
    )


def network() -> LineNetwork:
    x = np.linspace(-450.0, 450.0, 200)
    lines = (
        line_through("crown left", barrel(x, np.full(200, 0.8))),
        line_through("crown right", barrel(x, np.full(200, 0.8)) * FLIP),
    )
    return LineNetwork(lines=lines, crossings=())


def cards(**asked: object) -> Gauges:
    spec = GaugeSpec(region="wing", **asked)
    return make_gauges((spec,), Skin(regions=(wing(),)), network())


OBLIQUE = CardPlane(name="corner", point=(50.0, -280.0, 600.0), normal=(2.0, 1.0, 0.5))


def placed(gauge: Gauge) -> np.ndarray:
    return np.asarray(gauge.origin + gauge.profile @ gauge.axes)


def test_an_oblique_card_lies_in_its_plane_and_where_it_says() -> None:
    left, right = cards(planes=(OBLIQUE,)).gauges
    assert (left.name, right.name) == ("wing corner left", "wing corner right")
    assert left.oblique
    normal = np.array(OBLIQUE.normal) / np.linalg.norm(OBLIQUE.normal)
    assert np.abs((left.section - OBLIQUE.point) @ normal).max() < 1e-9
    for gauge in (left, right):
        assert np.abs(placed(gauge) - gauge.section).max() < 1e-9
        np.testing.assert_allclose(gauge.axes @ gauge.axes.T, np.eye(2), atol=1e-12)
    assert np.abs(left.section * FLIP - right.section).max() < 1e-9
    assert np.abs(left.outline[::-1] * [-1.0, 1.0] - right.outline).max() < 1e-9


def test_oblique_cards_keep_up_up() -> None:
    for normal in ((1.0, 0.4, 0.3), (-1.0, 0.4, 0.3), (0.3, 1.0, 0.4), (0.3, -1.0, 0.4)):
        axes = CutPlane(np.zeros(3), np.array(normal) / np.linalg.norm(normal)).card_axes()
        assert axes[1, 2] > 0.5
        assert abs(axes[0, 2]) < 1e-12
    axes = CutPlane(np.zeros(3), np.array([0.2, 0.1, 1.0]) / np.sqrt(1.05)).card_axes()
    assert axes[1, 0] < -0.5


def test_a_plane_square_to_an_axis_gives_the_same_card_as_the_axis() -> None:
    plane = CardPlane(name="p", point=(120.0, 5.0, 5.0), normal=(3.0, 0.0, 0.0))
    one, other = cards(planes=(plane,)).gauges[0], cards(axis="x", at=(120.0,)).gauges[0]
    assert not one.oblique
    np.testing.assert_allclose(one.profile, other.profile, atol=1e-9)
    np.testing.assert_allclose(one.outline, other.outline, atol=1e-9)
    assert one.plane == other.plane == ("x", 120.0)


@pytest.mark.parametrize("way", ["across", "along"])
def test_a_card_at_a_line_holds_the_surfaces_normal_there(way: str) -> None:
    (left, _) = cards(lines=(CardAtLine(line="crown left", share=0.7, way=way),)).gauges
    assert left.name == f"wing {way} crown 70 % left"
    line = network().lines[0].points(4000)
    length = np.concatenate([[0.0], np.linalg.norm(np.diff(line, axis=0), axis=1).cumsum()])
    at = line[int(np.argmin(np.abs(length - 0.7 * length[-1])))]
    radius = RADIUS - at[0] ** 2 / 4000.0
    upright = np.array([at[0] / 2000.0, at[1] / radius, (at[2] - 300.0) / radius])
    upright /= np.linalg.norm(upright)
    across = np.cross(*left.axes)
    assert abs((at - left.origin) @ across) < 0.3
    assert abs(upright @ across) < 2e-3
    slope = np.array([1.0, *(-at[1:] + [0.0, 300.0]) / radius * at[0] / 2000.0])
    along = abs(slope @ across) / np.linalg.norm(slope)
    assert along == pytest.approx(1.0 if way == "across" else 0.0, abs=2e-3)


def test_a_reach_keeps_that_much_of_the_profile_to_each_side() -> None:
    left = cards(lines=(CardAtLine(line="crown left", share=0.5, reach=70.0),)).gauges[0]
    length = np.linalg.norm(np.diff(left.profile, axis=0), axis=1).sum()
    assert length == pytest.approx(140.0, abs=0.1)
    (mark,) = left.marks
    ends = np.linalg.norm(left.profile[[0, -1]] - mark, axis=1)
    assert ends == pytest.approx([70.0, 70.0], abs=0.3)


def test_inside_cards_fit_the_inner_face_and_lie_inside() -> None:
    outer, _, inner, _ = cards(axis="x", at=(100.0,), face="both", metal=2.0).gauges
    assert [outer.face, inner.face] == ["outside", "inside"]
    assert inner.name == "wing x 100 inside left"
    radius = RADIUS - 100.0**2 / 4000.0
    slope = np.arctan(100.0 / 2000.0)
    # At the same station the inner face comes from a place a little to the side.
    exact = radius - 2.0 / np.cos(slope)
    away = np.hypot(inner.section[:, 1], inner.section[:, 2] - 300.0)
    assert np.abs(away - exact).max() < 0.03
    for gauge, sign in ((outer, 1.0), (inner, -1.0)):
        points = gauge.origin + gauge.outline @ gauge.axes
        off = np.hypot(points[:, 1], points[:, 2] - 300.0) - (radius if sign > 0.0 else exact)
        assert (sign * off).min() > -0.05
        assert (sign * off).max() == pytest.approx(60.0, abs=0.5)


def test_a_card_that_no_line_crosses_is_marked_at_round_figures() -> None:
    region = wing().model_copy(update={"inner": ()})
    spec = GaugeSpec(region="wing", axis="x", at=(0.0,))
    left, right = make_gauges((spec,), Skin(regions=(region,)), network()).gauges
    assert left.mark_names == right.mark_names == ("z 500", "z 600", "z 700")
    heights = left.origin[2] + left.marks @ left.axes[:, 2]
    np.testing.assert_allclose(heights, [500.0, 600.0, 700.0], atol=0.01)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"planes": (OBLIQUE.model_copy(update={"normal": (0.0, 0.0, 0.0)}),)}, "no direction"),
        ({"planes": (OBLIQUE.model_copy(update={"point": (9e3, 0.0, 0.0)}),)}, "does not cut"),
        ({"lines": (CardAtLine(line="belt left"),)}, "does not have"),
        ({"lines": (CardAtLine(line="crown right"),)}, "does not lie on the region"),
    ],
)
def test_planes_that_cannot_be_are_refused(asked: dict[str, object], words: str) -> None:
    with pytest.raises(JobError, match=words):
        cards(**asked)
