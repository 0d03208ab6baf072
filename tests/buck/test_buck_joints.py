"""Crossings, butts, closing places, splices, ends, and wires in the way."""

import numpy as np
import pytest
from numpy.typing import NDArray

from buckwright.buck import make_buck
from buckwright.model.buck import Buck, BuckSpec, WireSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import LineTrack, Skin
from skins_on_paper import cylinder, grid_region, line_through
from tubes_in_space import deepest_clash, fine_axis, worst_tack_mark

Array = NDArray[np.float64]
SHEET, ROD = 1.2, 6.35
WIDE, NARROW = 300.0, 200.0


def _plate(*wires: WireSpec, **choices: object) -> Buck:
    """A flat plate with a closed line, an ellipse, that starts at x = 300 on y = 0."""
    # The grid's own seam lies where no wire of these tests runs.
    u = 2.2 + np.linspace(0.0, 2.0 * np.pi, 241)
    v = np.linspace(0.5, 1.3, 17)

    def ring(u: Array, v: Array) -> Array:
        return np.column_stack([WIDE * v * np.cos(u), NARROW * v * np.sin(u), np.zeros_like(u)])

    track = LineTrack(line="oval", vertices=np.arange(240) * 17 + 10, closed=True)
    region = grid_region(
        "plate", ring, u, v, outward=lambda p: 0.0 * p + [0.0, 0.0, 1.0], tracks=[track]
    )
    region = region.model_copy(update={"chart": region.vertices[:, :2]})
    fine = np.linspace(0.0, 2.0 * np.pi, 1201)
    oval = line_through("oval", ring(fine, np.ones(1201)), closed=True)
    spec = BuckSpec(wires=wires, sheet_thickness=SHEET, **choices)  # type: ignore[arg-type]
    return make_buck(spec, LineNetwork(lines=(oval,), crossings=()), Skin(regions=(region,)))


def _oval(**more: object) -> WireSpec:
    return WireSpec(name="oval", region="plate", line="oval", **more)  # type: ignore[arg-type]


def _cut(axis: str, value: float, **more: object) -> WireSpec:
    return WireSpec(name=axis, region="plate", plane=(axis, value), **more)  # type: ignore[arg-type]


def _codes(buck: Buck) -> set[str]:
    return {finding.code for finding in buck.findings}


def test_a_closed_wire_that_is_crossed_where_it_starts_has_one_tack_there() -> None:
    buck = _plate(_oval(), _cut("y", 0.01))
    assert len(buck.tacks) == 2
    assert sorted(tack.point[0] for tack in buck.tacks) == pytest.approx([-WIDE, WIDE], abs=0.1)
    assert worst_tack_mark(buck) < 0.5


def test_a_closed_wire_is_joined_where_it_is_straight_and_clear_of_tacks() -> None:
    alone = next(w for w in _plate(_oval(), _cut("y", 0.01)).wires if w.name == "oval")
    assert abs(alone.axis[0, 1]) == pytest.approx(NARROW, abs=5.0)
    crossed = _plate(_oval(), _cut("x", 0.0))
    oval = next(w for w in crossed.wires if w.name == "oval")
    assert abs(oval.axis[0, 0]) > 8.0 * ROD
    assert abs(oval.axis[0, 1]) > 0.8 * NARROW
    for tack in crossed.tacks:
        at = tack.at[tack.wires.index("oval")]
        assert 8.0 * ROD < at < oval.length - 8.0 * ROD


def test_a_wire_that_is_to_be_cut_stays_against_the_metal_in_pieces() -> None:
    buck = _plate(_cut("y", 30.0), _oval(at_crossings="cut"))
    wires = {wire.name: wire for wire in buck.wires}
    assert {w.layer for w in buck.wires} == {0}
    assert {"oval 1", "oval 2"} < set(wires)
    assert [wires[f"oval {k}"].piece for k in (1, 2)] == [1, 2]
    assert {wires["oval 1"].identity, wires["oval 2"].identity} == {"oval"}
    assert not wires["oval 1"].closed
    assert deepest_clash(buck.wires)[0] < 0.05
    # Each end of a piece butts against the wire that goes through.
    for name in ("oval 1", "oval 2"):
        for end in (wires[name].axis[0], wires[name].axis[-1]):
            gap = min(
                np.linalg.norm(fine_axis(w.axis) - end, axis=1).min()
                for n, w in wires.items()
                if n.startswith("y")
            )
            assert 0.5 * ROD < gap < 0.5 * ROD + 1.2
    ends = {name for tack in buck.tacks for name in tack.wires}
    assert {"oval 1", "oval 2"} < ends


def test_a_wire_can_be_cut_at_one_and_pass_the_rest() -> None:
    buck = _plate(_cut("y", 30.0), _cut("x", 210.0), _oval(cut_at=("y",)))
    layers = {wire.name: wire.layer for wire in buck.wires}
    assert layers["oval 1"] == layers["oval 2"] == layers["y 1"]
    assert layers["x"] != layers["oval 1"]
    assert deepest_clash(buck.wires)[0] < 0.05


def test_of_two_that_are_to_be_cut_the_later_one_is() -> None:
    buck = _plate(_cut("x", 40.0, at_crossings="cut"), _oval(at_crossings="cut"))
    names = {wire.name for wire in buck.wires}
    assert {"oval 1", "oval 2"} < names
    first = _plate(_cut("x", 40.0, at_crossings="cut", stage=2), _oval(at_crossings="cut"))
    assert "oval" in {wire.name for wire in first.wires}
    assert len(first.wires) > 3


def test_splices_are_few_and_clear_of_tacks_and_bends() -> None:
    stations = tuple(
        WireSpec(name=f"x {x}", region="plate", plane=("x", x)) for x in (-200.0, 0.0, 200.0)
    )
    buck = _plate(_oval(), *stations, bar_lengths=(700.0,))
    oval = next(wire for wire in buck.wires if wire.name == "oval")
    assert len(oval.parts) == int(np.ceil((oval.length + 20.0) / 700.0))
    assert sum(oval.parts) == pytest.approx(oval.cut_length)
    assert max(oval.parts) <= 700.0
    for splice in oval.splices:
        assert splice.overlap == pytest.approx(8.0 * ROD)
        assert splice.tack_gap >= 8.0 * ROD
        assert splice.radius > 1.2 * oval.least_radius
    cut = [piece for bar in buck.rod_plan.bars for piece in bar.pieces]
    stubs = [piece.length for piece in cut if "oval stub" in piece.name]
    assert stubs == pytest.approx([16.0 * ROD] * len(oval.splices))
    assert "spliced" in _codes(buck)
    whole = next(w for w in _plate(_oval(), *stations).wires if w.name == "oval")
    assert (whole.splices, whole.parts) == ((), ())


def test_a_wire_behind_a_part_that_opens_is_named_with_where_to_cut_it() -> None:
    buck = _plate(_oval(), WireSpec(name="across", region="plate", plane=("y", -150.0)))
    (finding,) = (f for f in buck.findings if f.code == "in-an-opening")
    half = WIDE * np.sqrt(1.0 - (150.0 / NARROW) ** 2)
    reach = np.sqrt((1.3 * WIDE) ** 2 * (1.0 - (150.0 / (1.3 * NARROW)) ** 2))
    low, high = (float(word) for word in finding.message.split() if word.replace(".", "").isdigit())
    assert finding.where == "across"
    assert low == pytest.approx(reach - half, abs=9.0)
    assert high == pytest.approx(reach + half, abs=9.0)
    assert "'oval'" in finding.remedy
    cut = _plate(
        _oval(), WireSpec(name="across", region="plate", plane=("y", -150.0), cut_at=("oval",))
    )
    assert "in-an-opening" not in _codes(cut)


def _hall(*wires: WireSpec) -> Buck:
    """A floor that runs on under a wall which stands up from it, x over 300."""
    x, y = np.linspace(0.0, 600.0, 61), np.linspace(-200.0, 200.0, 41)
    floor = grid_region(
        "floor",
        lambda x, y: np.column_stack([x, y, np.zeros_like(x)]),
        x,
        y,
        outward=lambda p: 0.0 * p + [0.0, 0.0, 1.0],
    )
    wall = grid_region(
        "wall",
        lambda z, y: np.column_stack([np.full_like(z, 570.0), y, z - 150.0]),
        np.linspace(0.0, 300.0, 31),
        y,
        outward=lambda p: 0.0 * p + [1.0, 0.0, 0.0],
    )
    spec = BuckSpec(wires=wires, sheet_thickness=SHEET)
    return make_buck(spec, LineNetwork(lines=(), crossings=()), Skin(regions=(floor, wall)))


def test_an_end_that_would_stand_in_other_metal_is_cut_back() -> None:
    buck = _hall(WireSpec(name="along", region="floor", plane=("y", 30.0)))
    (wire,) = buck.wires
    assert wire.axis[:, 0].max() <= 570.0 - SHEET - 0.5 * ROD + 0.6
    assert wire.axis[:, 0].max() >= 570.0 - SHEET - 0.5 * ROD - 3.0
    assert "cut-back" in _codes(buck)


def test_a_wire_that_runs_in_other_metal_is_named() -> None:
    buck = _hall(WireSpec(name="across", region="floor", plane=("x", 569.0)))
    (finding,) = (f for f in buck.findings if f.code == "in-the-metal")
    assert finding.where == "across"
    assert "'wall'" in finding.message
    clear = _hall(WireSpec(name="across", region="floor", plane=("x", 500.0)))
    assert "in-the-metal" not in _codes(clear)


def test_a_section_beside_another_wire_is_told_where_to_move() -> None:
    u, v = np.linspace(0.0, 800.0, 41), np.linspace(0.3, np.pi - 0.3, 51)
    region = grid_region("hood", cylinder(400.0), u, v, outward=lambda p: p * [0.0, 1.0, 1.0])

    def hood(x: float) -> Buck:
        wires = tuple(
            WireSpec(name=f"x {at:g}", region="hood", plane=("x", at)) for at in (400.0, x)
        )
        return make_buck(
            BuckSpec(wires=wires), LineNetwork(lines=(), crossings=()), Skin(regions=(region,))
        )

    (finding,) = (f for f in hood(410.0).findings if f.code == "side-by-side")
    assert finding.where == "x 400"
    assert f"x = {410.0 - 5.0 * ROD:.0f} mm" in finding.remedy
    assert "side-by-side" not in _codes(hood(460.0))


def test_a_wire_beyond_the_end_of_a_crease_comes_back_to_its_line() -> None:
    """A side with a top over its front half only: behind, the rod lies off the edge again."""
    x, w = np.linspace(0.0, 800.0, 81), np.linspace(0.0, 200.0, 21)
    edge = LineTrack(line="edge", vertices=np.arange(81) * 21, closed=False)
    half = LineTrack(line="edge", vertices=np.arange(41) * 21, closed=False)
    side = grid_region(
        "side",
        lambda x, w: np.column_stack([x, np.zeros_like(x), -w]),
        x,
        w,
        outward=lambda p: 0.0 * p + [0.0, 1.0, 0.0],
        boundary=[edge],
    )
    top = grid_region(
        "top",
        lambda x, w: np.column_stack([x, -w, np.zeros_like(x)]),
        x[:41],
        w,
        outward=lambda p: 0.0 * p + [0.0, 0.0, 1.0],
        boundary=[half],
    )
    fine = np.linspace(0.0, 800.0, 81)
    line = line_through("edge", np.column_stack([fine, 0.0 * fine, 0.0 * fine]))
    spec = BuckSpec(wires=(WireSpec(name="edge", region="side", line="edge"),))
    network = LineNetwork(lines=(line,), crossings=())
    (wire,) = make_buck(spec, network, Skin(regions=(side, top))).wires
    assert -wire.axis[:, 1] == pytest.approx(wire.set_in, abs=0.02)
    under_top = wire.axis[:, 0] < 395.0
    assert -wire.axis[under_top, 2] == pytest.approx(wire.set_in, abs=0.1)
    behind = wire.axis[:, 0] > 540.0
    assert wire.axis[behind, 2] == pytest.approx(0.0, abs=0.1)
    assert wire.least_radius > 150.0
