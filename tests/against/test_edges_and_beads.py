"""Edges turned and beads pressed into the skin, held to closed forms."""

import numpy as np
import pytest
import scipy.integrate

from buckwright.errors import JobError
from buckwright.geometry.bead_profile import bead_profile
from buckwright.model.panels import EdgeSpec, SheetStock
from buckwright.model.skin import LineTrack, Skin, SkinRegion
from buckwright.model.treatments import BeadSpec, EdgeTreatment
from buckwright.skin.bead_metal import bead_verdict
from buckwright.skin.beads import beads_beside, make_bead, profile_of
from buckwright.skin.edge_strips import edge_strips
from buckwright.tables.alloys import find_alloy
from buckwright.tables.bending import least_bend_radius
from buckwright.tables.forming import forming_limit
from skins_on_paper import cylinder, grid_region, sphere

SHEET = SheetStock(alloy="3003-O", thickness=1.2)


def on_cylinder(side: str = "whole") -> SkinRegion:
    """A quarter of a tube of 300 mm along x, 800 long; its end at x = 800 and its lower side."""
    u, v = np.linspace(0.0, 800.0, 41), np.linspace(0.2, 1.7, 61)
    end = np.arange(40 * 61, 41 * 61)
    lower, start, upper = np.arange(0, 41 * 61, 61), np.arange(61), np.arange(60, 41 * 61, 61)
    middle = np.arange(30, 41 * 61, 61)
    tracks = (
        LineTrack(line="low", vertices=lower, closed=False),
        LineTrack(line="end", vertices=end, closed=False),
        LineTrack(line="high", vertices=upper[::-1], closed=False),
        LineTrack(line="start", vertices=start[::-1], closed=False),
    )
    inner = (LineTrack(line="crown left", vertices=middle, closed=False),)
    return grid_region(
        "tube",
        cylinder(300.0),
        u,
        v,
        outward=lambda p: p * [0.0, 1.0, 1.0],
        boundary=tracks,
        tracks=inner,
        side=side,
    )


def flange(along: str, angle: float, way: str = "in", width: float = 15.0) -> EdgeTreatment:
    edge = EdgeSpec(along=along, treatment="flange", width=width, angle_deg=angle, way=way)
    return EdgeTreatment(region="tube", edge=edge)


@pytest.mark.parametrize("angle", [30.0, 90.0, 135.0])
@pytest.mark.parametrize("way", ["in", "out"])
def test_a_flange_at_the_end_of_a_tube_has_its_angle_and_width_exactly(angle, way) -> None:
    # exact: out along the tube, in towards its axis.
    (strip,) = edge_strips(Skin(regions=(on_cylinder(),)), (flange("end", angle, way),))
    rows = strip.vertices.reshape(-1, 2, 3)
    side = rows[:, 1] - rows[:, 0]
    np.testing.assert_allclose(np.linalg.norm(side, axis=1), 15.0, rtol=1e-12)
    radial = rows[:, 0] * [0.0, 1.0, 1.0] / 300.0
    inward = -np.einsum("kd,kd->k", side, radial) * (1.0 if way == "in" else -1.0)
    turned = np.degrees(np.arctan2(inward, side[:, 0]))
    np.testing.assert_allclose(turned, angle, atol=0.02)
    reach = 300.0 - (1.0 if way == "in" else -1.0) * 15.0 * np.sin(np.radians(angle))
    assert strip.free_length / strip.length == pytest.approx(reach / 300.0, rel=1e-3)


def test_a_right_angled_flange_round_a_ball_stands_on_it_radially() -> None:
    # exact: its free edge lies on the ball of radius R - w.
    ticks = np.linspace(-0.6, 0.6, 61)
    rim = np.concatenate(
        [
            np.arange(0, 61 * 61, 61),
            np.arange(60 * 61 + 1, 61 * 61),
            np.arange(60 * 61 - 1, 60, -61),
            np.arange(60, 0, -1),
        ]
    )
    tracks = (LineTrack(line="rim", vertices=rim, closed=True),)
    region = grid_region("tube", sphere(900.0), ticks, ticks, outward=lambda p: p, boundary=tracks)
    (strip,) = edge_strips(Skin(regions=(region,)), (flange("rim", 90.0),))
    rows = strip.vertices.reshape(-1, 2, 3)
    np.testing.assert_allclose(np.linalg.norm(rows[:, 1], axis=1), 885.0, atol=0.02)


def test_wire_and_hem_go_round_as_far_as_they_should() -> None:
    wired = EdgeTreatment(
        region="tube", edge=EdgeSpec(along="low", treatment="wired edge", wire=6.0)
    )
    hem = EdgeTreatment(region="tube", edge=EdgeSpec(along="low", treatment="hem", width=8.0))
    skin = Skin(regions=(on_cylinder(),))
    around, folded = edge_strips(skin, (wired, hem))
    rows = around.vertices.reshape(41, -1, 3)
    axis = rows[:, 0] - 3.0 * np.array([0.0, np.cos(0.2), np.sin(0.2)])
    gap = np.linalg.norm(rows - axis[:, None], axis=2)
    np.testing.assert_allclose(gap, 3.0, atol=5e-3)
    girth = np.linalg.norm(np.diff(rows[5], axis=0), axis=1).sum()
    assert girth == pytest.approx(3.0 * np.radians(290.0), rel=0.01)
    turned = folded.vertices.reshape(41, -1, 3)
    inside = turned[:, -1] - turned[:, 0]
    np.testing.assert_allclose(np.linalg.norm(inside, axis=1), np.hypot(8.0, 3.0), atol=1e-6)


def test_a_left_edge_comes_with_its_mirror_image_and_a_tight_one_tells_that_it_folds() -> None:
    left, right = edge_strips(Skin(regions=(on_cylinder("left"),)), (flange("low", 90.0),))
    assert (left.region, right.region) == ("tube left", "tube right")
    np.testing.assert_allclose(right.vertices, left.vertices * [1, -1, 1])
    (wide,) = edge_strips(Skin(regions=(on_cylinder(),)), (flange("end", 90.0, width=320.0),))
    assert [f.code for f in wide.findings] == ["edge-folds"]
    with pytest.raises(JobError, match="no edge along 'nowhere'"):
        edge_strips(Skin(regions=(on_cylinder(),)), (flange("nowhere", 90.0),))
    with pytest.raises(JobError, match="does not exist"):
        edge_strips(Skin(regions=()), (flange("low", 90.0),))


@pytest.mark.parametrize(
    ("width", "depth", "radius", "flat"),
    [(30.0, 5.0, 8.0, 0.0), (40.0, 20.0, 10.0, 0.0), (60.0, 12.0, 4.0, 20.0), (24, 3, 12, 0)],
)
def test_the_girth_of_a_bead_is_that_of_its_arcs_and_lines(width, depth, radius, flat) -> None:
    # exact: the section is tangent everywhere, so its slope is that of an arc or of the flank.
    profile = bead_profile(width, depth, radius, flat)
    turn = profile.angle
    across = 2 * radius * np.sin(turn) + profile.flank * np.cos(turn)
    assert 2.0 * across + flat == pytest.approx(width)
    assert 2 * radius * (1 - np.cos(turn)) + profile.flank * np.sin(turn) == pytest.approx(depth)

    def slope(x: float) -> float:
        """Of the left half, from the foot."""
        foot, line = radius * np.sin(turn), profile.flank * np.cos(turn)
        if x < foot:
            return float(x / np.sqrt(radius**2 - x**2))
        if x < foot + line:
            return float(np.tan(turn))
        left = max(across - x, 0.0)
        return float(left / np.sqrt(radius**2 - left**2))

    if turn < 1.5:
        rising = scipy.integrate.quad(lambda x: np.hypot(1.0, slope(x)), 0.0, across, limit=200)[0]
        assert profile.girth == pytest.approx(2.0 * rising + flat, rel=1e-6)
    drawn = np.linalg.norm(np.diff(profile.points(), axis=0), axis=1).sum()
    # Six sides to a quarter turn are short of it by (15 degrees / 2)^2 / 6.
    assert drawn == pytest.approx(profile.girth, rel=3e-3)
    assert drawn <= profile.girth


def test_two_quarter_turns_make_the_half_round_bead_of_the_handbooks() -> None:
    # exact: width 4 r and depth 2 r with radius r everywhere has the girth 2 pi r.
    assert bead_profile(40.0, 20.0, 10.0).girth == pytest.approx(2.0 * np.pi * 10.0)


def bead(**changes: object) -> BeadSpec:
    asked = {"name": "b", "region": "tube", "line": "crown left", "width": 30.0, "depth": 5.0}
    return BeadSpec.model_validate({**asked, "radius": 8.0, **changes})


def test_a_bead_along_a_tube_stands_out_by_its_depth_and_keeps_its_section() -> None:
    (made,) = beads_beside(make_bead(Skin(regions=(on_cylinder(),)), bead()))
    assert made.length == pytest.approx(800.0 - 60.0, rel=1e-6)
    rows = made.vertices.reshape(len(made.axis), -1, 3)
    out = np.hypot(rows[..., 1], rows[..., 2]) - 300.0
    whole = (made.axis[:, 0] > 80.0) & (made.axis[:, 0] < 720.0)
    assert out[whole].max() == pytest.approx(5.0, abs=0.02)
    np.testing.assert_allclose(out[:, [0, -1]], 0.0, atol=0.02)
    np.testing.assert_allclose(out[[0, -1]], 0.0, atol=0.02)
    # On a tube the metal between the feet is an arc, and the section stands on it.
    section = np.linalg.norm(np.diff(rows[len(rows) // 2], axis=0), axis=1).sum()
    flat = profile_of(bead()).points()
    turn, high = np.arctan(flat[:, 0] / 300.0), 300.0 + flat[:, 1]
    on_tube = np.column_stack([high * np.cos(turn), high * np.sin(turn)])
    exact = np.linalg.norm(np.diff(on_tube, axis=0), axis=1).sum()
    assert section == pytest.approx(exact, rel=5e-4)
    assert made.to_edge == pytest.approx(30.0 - 15.0, abs=0.1)
    inward = make_bead(Skin(regions=(on_cylinder(),)), bead(way="in"))[0]
    sunk = np.hypot(inward.vertices[:, 1], inward.vertices[:, 2])
    assert sunk.min() == pytest.approx(295.0, abs=0.02)
    normals = np.cross(
        made.vertices[made.triangles[:, 1]] - made.vertices[made.triangles[:, 0]],
        made.vertices[made.triangles[:, 2]] - made.vertices[made.triangles[:, 0]],
    )
    middle = made.vertices[made.triangles].mean(axis=1) * [0.0, 1.0, 1.0]
    assert np.all(np.einsum("kd,kd->k", normals, middle) > 0.0)


def test_beads_side_by_side_tell_the_metal_between_them_and_when_it_is_too_little() -> None:
    skin = Skin(regions=(on_cylinder(),))
    turns = (0.9, 0.9 + 50.0 / 300.0, 0.9 + 86.0 / 300.0)
    lines = [
        ((60.0, 300 * np.cos(t), 300 * np.sin(t)), (740.0, 300 * np.cos(t), 300 * np.sin(t)))
        for t in turns
    ]
    asked = [bead(name=f"b{k}", line="", through=line) for k, line in enumerate(lines)]
    beads = beads_beside([b for spec in asked for b in make_bead(skin, spec)])
    chord = 600.0 * np.sin(0.5 * 50.0 / 300.0)
    assert beads[0].to_bead == pytest.approx(chord - 30.0, abs=0.1)
    assert [b.nearest for b in beads] == ["b1 on tube", "b2 on tube", "b1 on tube"]
    assert [len(b.findings) for b in beads] == [0, 1, 1]
    assert "within 6 mm" in beads[1].findings[0].message


def test_what_a_bead_asks_of_the_sheet_is_girth_over_width_and_bending_on_top() -> None:
    # memory: Kalpakjian's outer fibre 1 / (2 R / T + 1); plane strain 2 / sqrt 3 (von Mises).
    verdict = bead_verdict(bead(), SHEET)
    girth = bead_profile(30.0, 5.0, 8.0).girth
    assert verdict.stretch == pytest.approx(girth / 30.0 - 1.0)
    assert verdict.thinning == pytest.approx(1.0 - 30.0 / girth)
    fibre = 1.0 + 1.0 / (2.0 * 6.8 / 1.2 + 1.0)
    assert verdict.peak == pytest.approx(girth / 30.0 * fibre - 1.0)
    assert verdict.asked == pytest.approx((girth / 30.0) ** (2.0 / 3.0**0.5) - 1.0)
    assert verdict.radius == pytest.approx(6.8)


def test_a_bead_that_tears_says_how_wide_or_shallow_it_would_hold() -> None:
    deep = bead(depth=12.0, radius=6.0)
    torn = bead_verdict(deep, SHEET)
    assert torn.step == "will tear"
    said = torn.words.split("; ")[-1]
    width = float(said.split(" mm wide")[0])
    depth = float(said.split("or ")[1].split(" mm deep")[0])
    for held, lost in (
        ({"width": width}, {"width": width - 1.0}),
        ({"depth": depth}, {"depth": depth + 0.1}),
    ):
        assert bead_verdict(deep.model_copy(update=held), SHEET).step != "will tear"
        assert bead_verdict(deep.model_copy(update=lost), SHEET).step == "will tear"


def test_a_radius_tighter_than_the_sheet_bends_cracks_however_shallow_the_bead_is() -> None:
    hard = SheetStock(alloy="5052-H32", thickness=1.6)
    least = least_bend_radius("5052-H32", 1.6)
    assert least is not None
    tight = bead(depth=1.0, width=60.0, radius=1.6 + 0.5 * least.radius)
    verdict = bead_verdict(tight, hard)
    assert verdict.asked < verdict.least
    assert verdict.step == "will tear"
    assert "cracks at a radius" in verdict.words
    eased = bead(depth=1.0, width=60.0, radius=1.6 + 1.01 * least.radius)
    assert bead_verdict(eased, hard).step != "will tear"


def test_steel_tears_beyond_its_forming_limit() -> None:
    # memory: Keeler and Brazier's FLD0, (23.3 + 14.13 t) n / 0.21 percent.
    steel = SheetStock(alloy="DC04", thickness=0.8)
    deep = bead(width=30.0, depth=13.0, radius=5.0)
    verdict = bead_verdict(deep, steel)
    assert verdict.limit == pytest.approx(forming_limit(0.8, find_alloy("DC04").hardening))
    assert (verdict.stretch > verdict.limit) == (verdict.step == "will tear")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"radius": 80.0}, "no room for a radius"),
        ({"flat": 40.0}, "flat top"),
        ({"line": "nowhere"}, "no line 'nowhere'"),
        ({"line": "", "through": ((0.0, 0.0, 300.0),)}, "fewer than two points"),
        ({"line": "", "through": ((0, 0, 300), (0, 0, 900))}, "leaves region"),
        ({"setback": 500.0}, "use up"),
        ({"region": "tail"}, "does not exist"),
    ],
)
def test_a_bead_that_cannot_be_is_refused_in_a_sentence(change, words) -> None:
    with pytest.raises(JobError, match=words) as refusal:
        make_bead(Skin(regions=(on_cylinder(),)), bead(**change))
    assert refusal.value.problem.endswith(".")
    assert refusal.value.remedy.endswith(".")


def test_the_radius_that_has_room_is_told_and_has_room() -> None:
    for asked in (bead(radius=80.0), bead(radius=14.0, depth=25.0)):
        with pytest.raises(JobError) as refusal:
            profile_of(asked)
        most = float(refusal.value.remedy.split("it ")[1].split(" mm")[0])
        assert profile_of(asked.model_copy(update={"radius": most})).girth > asked.width
        with pytest.raises(JobError):
            profile_of(asked.model_copy(update={"radius": most + 0.2}))


@pytest.mark.parametrize("sheet", [("unobtainium", 1.2), ("3003-O", 900.0)])
def test_a_sheet_that_no_table_has_or_too_thick_is_refused(sheet) -> None:
    with pytest.raises(JobError, match="tables have no"):
        bead_verdict(bead(), SheetStock(alloy=sheet[0], thickness=sheet[1]))
    with pytest.raises(JobError, match="nothing is left"):
        bead_verdict(bead(radius=1.0, depth=1.0), SHEET)
