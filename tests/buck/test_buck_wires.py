"""Wires one by one: where they run, what is refused, what is said."""

import numpy as np
import pytest
from numpy.typing import NDArray

from buckwright.buck import make_buck
from buckwright.errors import JobError
from buckwright.model.buck import Buck, BuckSpec, WireSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import LineTrack, Skin, SkinRegion
from skins_on_paper import cylinder, grid_region, line_through, mirrored_region, sphere
from tubes_in_space import deepest_clash

Array = NDArray[np.float64]
RADIUS = 400.0


def _hood(spacing: float = 20.0) -> tuple[SkinRegion, LineNetwork]:
    """Half a cylinder along x with a ridge line, a rim and a middle arch."""
    u = np.linspace(0.0, 800.0, round(800.0 / spacing) + 1)
    v = np.linspace(0.2, np.pi - 0.2, round(RADIUS * 2.7 / spacing) // 2 * 2 + 1)
    rows = np.arange(len(u) * len(v)).reshape(len(u), len(v))
    tracks = [
        LineTrack(line="ridge", vertices=rows[:, len(v) // 2], closed=False),
        LineTrack(line="arch", vertices=rows[len(u) // 2], closed=False),
        LineTrack(line="rim", vertices=rows[:, 0], closed=False),
    ]
    surface = cylinder(RADIUS)
    region = grid_region(
        "hood", surface, u, v, outward=lambda p: p * [0.0, 1.0, 1.0], tracks=tracks
    )
    a, fine = np.linspace(0.0, 800.0, 201), np.linspace(v[0], v[-1], 201)
    lines = (
        line_through("ridge", surface(a, np.full(201, np.pi / 2))),
        line_through("arch", surface(np.full(201, u[len(u) // 2]), fine)),
        line_through("rim", surface(a, np.full(201, v[0]))),
        line_through("elsewhere", surface(a, np.full(201, 1.0))),
    )
    return region, LineNetwork(lines=lines, crossings=())


def _buck(*wires: WireSpec, **choices: object) -> Buck:
    region, network = _hood()
    spec = BuckSpec(wires=wires, **choices)  # type: ignore[arg-type]
    return make_buck(spec, network, Skin(regions=(region,)))


def _along(name: str, **more: object) -> WireSpec:
    return WireSpec(name=name, region="hood", line=name, **more)  # type: ignore[arg-type]


def _codes(buck: Buck) -> set[str]:
    return {finding.code for finding in buck.findings}


def test_crossing_wires_pass_one_diameter_apart() -> None:
    buck = _buck(_along("ridge"), _along("arch"))
    tack = buck.tacks[0]
    assert len(buck.tacks) == 1
    assert sorted(wire.layer for wire in buck.wires) == [0, 1]
    depth = RADIUS - np.hypot(tack.point[1], tack.point[2])
    assert depth == pytest.approx(1.2 + 6.35, abs=0.02)
    assert tack.point[:2] == pytest.approx([400.0, 0.0], abs=0.05)
    assert tack.at[0] == pytest.approx(400.0, abs=0.05)


def test_the_wire_with_more_length_stays_against_the_metal() -> None:
    layers = {w.name: w.layer for w in _buck(_along("ridge"), _along("arch")).wires}
    assert layers == {"ridge": 1, "arch": 0}


def test_a_layer_that_the_user_names_is_the_least_the_wire_has() -> None:
    layers = {w.name: w.layer for w in _buck(_along("ridge"), _along("arch", layer=1)).wires}
    assert layers == {"ridge": 0, "arch": 1}
    alone = _buck(_along("arch", layer=2)).wires[0]
    assert alone.layer == 2
    assert np.hypot(alone.axis[:, 1], alone.axis[:, 2]) == pytest.approx(
        RADIUS - 1.2 - 2.5 * 6.35, abs=0.01
    )


def test_a_line_on_three_regions_is_one_wire_where_the_metal_goes_on() -> None:
    """An arch along the front rim of two cheeks, over a cap of its own between them."""
    u, v = np.linspace(0.0, 400.0, 21), np.linspace(0.0, np.pi, 81)
    rows = np.arange(21 * 81).reshape(21, 81)
    surface = cylinder(RADIUS)
    top = np.zeros((20, 80), dtype=bool)
    top[:10, 25:55] = True

    def outward(p: Array) -> Array:
        return p * [0.0, 1.0, 1.0]

    pieces = [rows[0, :26], rows[0, 55:]]
    tracks = [LineTrack(line="front", vertices=p, closed=False) for p in pieces]
    cheeks = grid_region("cheeks", surface, u, v, outward=outward, tracks=tracks, open_cells=top)
    cap_rows = np.arange(11 * 31).reshape(11, 31)
    cap = grid_region(
        "cap",
        surface,
        u[:11],
        v[25:56],
        outward=outward,
        tracks=[LineTrack(line="front", vertices=cap_rows[0, ::-1], closed=False)],
    )
    front = line_through("front", surface(np.zeros(401), np.linspace(0.0, np.pi, 401)))
    network = LineNetwork(lines=(front,), crossings=())
    spec = BuckSpec(wires=(WireSpec(name="front", region="cheeks", line="front"),))
    (wire,) = make_buck(spec, network, Skin(regions=(cheeks, cap))).wires
    assert wire.length == pytest.approx(np.pi * (RADIUS - 4.375), rel=1e-4)
    two = make_buck(spec, network, Skin(regions=(cheeks,)))
    assert [w.name for w in two.wires] == ["front 1", "front 2"]
    assert "wire-in-pieces" in _codes(two)


def test_left_wires_have_right_mirror_images() -> None:
    u, v = np.linspace(0.2, 1.2, 51), np.linspace(-0.4, 0.5, 46)
    rows = np.arange(51 * 46).reshape(51, 46)

    def ball(u: Array, v: Array) -> Array:
        return sphere(RADIUS)(u, v) * [1.0, -1.0, 1.0]

    track = LineTrack(line="crown", vertices=rows[:, 20], closed=False)
    left = grid_region("wing", ball, u, v, outward=lambda p: p, tracks=[track], side="left")
    fine = np.linspace(0.2, 1.2, 301)
    crown = line_through("crown", ball(fine, np.full(301, v[20])))
    spec = BuckSpec(
        wires=(
            WireSpec(name="crown", region="wing", line="crown"),
            WireSpec(name="cut", region="wing", plane=("x", 250.0)),
        )
    )
    skin = Skin(regions=(left, mirrored_region(left)))
    buck = make_buck(spec, LineNetwork(lines=(crown,), crossings=()), skin)
    wires = {wire.name: wire for wire in buck.wires}
    assert set(wires) == {"crown left", "crown right", "cut left", "cut right"}
    for name in ("crown", "cut"):
        mirrored = wires[f"{name} left"].axis * [1.0, -1.0, 1.0]
        assert wires[f"{name} right"].axis == pytest.approx(mirrored, abs=1e-9)
        assert wires[f"{name} right"].side == "right"
    assert len(buck.tacks) == 2
    assert buck.tacks[0].at == pytest.approx(buck.tacks[1].at)


def _moved(region: SkinRegion, network: LineNetwork, matrix: Array, shift: Array) -> Buck:
    flip = np.linalg.det(matrix) < 0.0
    triangles = region.triangles[:, ::-1].copy() if flip else region.triangles
    vertices = region.vertices @ matrix.T + shift
    moved = region.model_copy(update={"vertices": vertices, "triangles": triangles})
    lines = tuple(
        line.model_copy(update={"control": line.control @ matrix.T + shift})
        for line in network.lines
    )
    spec = BuckSpec(wires=(_along("ridge"), _along("arch"), _along("rim")))
    return make_buck(spec, LineNetwork(lines=lines, crossings=()), Skin(regions=(moved,)))


def test_wires_turn_shift_and_mirror_with_the_skin() -> None:
    region, network = _hood()
    plain = _moved(region, network, np.eye(3), np.zeros(3))
    c, s = np.cos(0.7), np.sin(0.7)
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]) @ np.array(
        [[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]]
    )
    for matrix, shift in (
        (turn, np.zeros(3)),
        (np.eye(3), np.array([300.0, -40.0, 900.0])),
        (np.diag([1.0, -1.0, 1.0]), np.zeros(3)),
    ):
        moved = _moved(region, network, matrix, shift)
        for before, after in zip(plain.wires, moved.wires, strict=True):
            expected = before.axis @ matrix.T + shift
            assert after.axis == pytest.approx(expected, abs=1e-3)
            assert after.length == pytest.approx(before.length, abs=1e-3)
            assert after.layer == before.layer


def test_a_line_drawn_backwards_gives_the_same_rod() -> None:
    region, network = _hood()
    spec = BuckSpec(wires=(_along("arch"),))
    forward = make_buck(spec, network, Skin(regions=(region,))).wires[0]
    lines = tuple(
        line.model_copy(update={"control": line.control[::-1], "knots": 1.0 - line.knots[::-1]})
        for line in network.lines
    )
    back = make_buck(spec, LineNetwork(lines=lines, crossings=()), Skin(regions=(region,))).wires[0]
    assert back.axis == pytest.approx(forward.axis[::-1], abs=1e-3)


def test_a_wire_where_two_run_side_by_side_is_moved_in_and_tacked_all_along() -> None:
    buck = _buck(_along("ridge"), WireSpec(name="beside", region="hood", plane=("y", 2.0)))
    assert sorted(wire.layer for wire in buck.wires) == [0, 1]
    assert len(buck.tacks) >= 5
    assert deepest_clash(buck.wires)[0] < 0.05


def test_a_bend_too_tight_for_a_hand_bender_is_named() -> None:
    u, v = np.linspace(0.0, 200.0, 81), np.linspace(0.1, np.pi - 0.1, 41)
    region = grid_region("pipe", cylinder(15.0), u, v, outward=lambda p: p * [0.0, 1.0, 1.0])
    spec = BuckSpec(wires=(WireSpec(name="hoop", region="pipe", plane=("x", 101.0)),))
    with pytest.raises(JobError, match="no metal"):
        make_buck(spec, LineNetwork(lines=(), crossings=()), Skin(regions=(region,)))
    region = grid_region("pipe", cylinder(22.0), u, v, outward=lambda p: p * [0.0, 1.0, 1.0])
    buck = make_buck(spec, LineNetwork(lines=(), crossings=()), Skin(regions=(region,)))
    assert buck.wires[0].least_radius == pytest.approx(22.0 - 4.375, rel=0.01)
    assert "tight-bend" in _codes(buck)
    assert "tight-bend" not in _codes(_buck(_along("arch")))


def test_a_section_with_a_kink_is_refused() -> None:
    def angle(u: Array, v: Array) -> Array:
        return np.column_stack([u, np.minimum(v, 0.0), np.maximum(v, 0.0)])

    u, v = np.linspace(0.0, 300.0, 13), np.linspace(-300.0, 300.0, 25)
    region = grid_region("angle", angle, u, v, outward=lambda p: 0.0 * p + [0.0, -1.0, 1.0])
    spec = BuckSpec(wires=(WireSpec(name="over", region="angle", plane=("x", 140.0)),))
    with pytest.raises(JobError, match="kink"):
        make_buck(spec, LineNetwork(lines=(), crossings=()), Skin(regions=(region,)))


def test_a_wire_longer_than_the_bar_is_spliced_and_it_is_said() -> None:
    buck = _buck(_along("arch"), bar_lengths=(600.0,))
    pieces = [piece.name for bar in buck.rod_plan.bars for piece in bar.pieces]
    assert sorted(pieces) == ["arch part 1", "arch part 2", "arch stub 1"]
    assert "spliced" in _codes(buck)


def test_a_wire_that_meets_no_other_is_named() -> None:
    assert "held-by-nothing" in _codes(_buck(_along("rim")))
    assert "held-by-nothing" not in _codes(_buck(_along("ridge"), _along("arch")))


def test_without_stations_there_is_no_frame_and_it_is_said() -> None:
    buck = _buck(_along("arch"))
    assert (buck.members, buck.posts, buck.tube_plan.bars) == ((), (), ())
    assert "no-frame" in _codes(buck)


@pytest.mark.parametrize(
    ("wires", "choices", "said"),
    [
        ((), {}, "no wires"),
        ((WireSpec(name="a", region="roof", line="ridge"),), {}, "'roof'"),
        ((WireSpec(name="a", region="hood", line="nowhere"),), {}, "'nowhere'"),
        ((WireSpec(name="a", region="hood", line="elsewhere"),), {}, "does not lie on"),
        ((WireSpec(name="a", region="hood", plane=("x", 5000.0)),), {}, "x = 5000 mm"),
        ((WireSpec(name="a", region="hood"),), {}, "either a line or a section"),
        (
            (WireSpec(name="a", region="hood", line="ridge", plane=("x", 5.0)),),
            {},
            "either a line or a section",
        ),
        ((_along("ridge"), _along("ridge")), {}, "Two wires"),
        ((_along("ridge"),), {"rod_diameter": 0.0}, "cannot be"),
        ((_along("ridge"),), {"rod_yield": -1.0}, "cannot be"),
        ((_along("ridge"),), {"sheet_thickness": -1.0}, "less than 0"),
        ((_along("ridge"),), {"frame_wall": 13.0}, "no wall"),
        ((_along("ridge"),), {"bar_lengths": ()}, "no bar"),
        ((_along("ridge"),), {"kerf": -2.0}, "saw cut"),
        ((_along("ridge"),), {"frame_x": (100.0, 700.0), "frame_clearance": 390.0}, "No frame"),
        ((_along("ridge"),), {"frame_x": (5000.0, 6000.0)}, "No frame"),
    ],
)
def test_what_cannot_be_made_is_refused_in_one_sentence(
    wires: tuple[WireSpec, ...], choices: dict[str, object], said: str
) -> None:
    with pytest.raises(JobError, match=said) as refused:
        _buck(*wires, **choices)
    assert refused.value.remedy
