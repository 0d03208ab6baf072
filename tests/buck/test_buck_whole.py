"""The whole buck of a van-like tunnel, held to what must be true of any buck."""

import re
from functools import cache

import numpy as np
import pytest
from scipy.spatial import cKDTree

from buckwright.buck import make_buck
from buckwright.geometry.mesh import MeshLocator, triangle_normals
from buckwright.model.buck import Buck, BuckSpec, WireSpec
from skins_on_paper import tunnel
from tubes_in_space import (
    deepest_clash,
    deepest_post,
    fine_axis,
    frame_room,
    skin_points,
    worst_tack_mark,
)

SHEET, ROD, TUBE = 1.2, 6.35, 25.4


@cache
def _job() -> tuple[BuckSpec, Buck]:
    skin, network = tunnel()
    wires = [WireSpec(name=line.name, region="body", line=line.name) for line in network.lines]
    wires += [
        WireSpec(name=f"station {x}", region="body", plane=("x", float(x)))
        for x in (800, 1100, 1900, 2300)
    ]
    wires += [WireSpec(name="level", region="body", plane=("z", 700.0))]
    spec = BuckSpec(wires=tuple(wires), frame_x=(600.0, 2600.0), sheet_thickness=SHEET)
    return spec, make_buck(spec, network, skin)


def test_no_two_wires_run_into_each_other() -> None:
    _, buck = _job()
    depth, which = deepest_clash(buck.wires)
    assert depth < 0.05, which


def test_the_clash_check_sees_a_clash() -> None:
    _, buck = _job()
    wire = buck.wires[0]
    moved = wire.model_copy(update={"name": "twin", "axis": wire.axis + np.array([0, 0, 5])})
    depth, _ = deepest_clash((wire, moved))
    assert depth > 1.0


def test_every_wire_lies_under_the_skin_by_its_sheet_and_layers() -> None:
    skin, _ = tunnel()
    _, buck = _job()
    region = skin.regions[0]
    locator = MeshLocator(region.vertices, region.triangles)
    for wire in buck.wires:
        assert wire.set_in == pytest.approx(SHEET + (0.5 + wire.layer) * ROD)
        depth = -locator.closest(wire.axis)[0]
        # The flat triangles lie up to h^2 / 8 R = 0.4 mm inside the surface they stand for.
        assert depth.min() > wire.set_in - 0.45
        assert depth.max() < wire.set_in + 0.05


def test_wires_do_not_follow_the_mesh_from_triangle_to_triangle() -> None:
    skin, network = tunnel(25.0)
    fine_skin, fine_network = tunnel(10.0)
    station = WireSpec(name="station", region="body", plane=("x", 1203.0))
    spec = BuckSpec(wires=(station,), sheet_thickness=SHEET)
    coarse = make_buck(spec, network, skin).wires[0]
    fine = make_buck(spec, fine_network, fine_skin).wires[0]
    truth = cKDTree(fine_axis(fine.axis, step=0.05))
    assert truth.query(coarse.axis)[0].max() < 0.05
    assert coarse.length == pytest.approx(fine.length, rel=1e-5)


def test_the_frame_stands_clear_of_skin_and_wires() -> None:
    skin, _ = tunnel()
    _, buck = _job()
    room = frame_room(buck.members, TUBE, skin_points(skin.regions)) - SHEET
    assert room >= 30.0
    assert room == pytest.approx(buck.frame_clearance, abs=1.0)
    wires = np.vstack([fine_axis(w.axis, closed=w.closed) for w in buck.wires])
    assert frame_room(buck.members, TUBE, wires) - 0.5 * ROD >= 4.9


def test_the_frame_is_as_large_as_its_clearance_lets_it_be() -> None:
    """Moving out either side, or the top, by 6 mm breaks the clearance somewhere."""
    skin, _ = tunnel()
    _, buck = _job()
    points = skin_points(skin.regions)
    box = [m for m in buck.members if m.role in ("rail", "cross", "upright")]
    middle = np.mean([0.5 * (m.start + m.end) for m in box], axis=0)
    for push in ([0.0, 6.0, 0.0], [0.0, 0.0, 6.0]):
        grown = [
            m.model_copy(
                update={
                    "start": m.start + np.sign((m.start - middle).round(3)) * push,
                    "end": m.end + np.sign((m.end - middle).round(3)) * push,
                }
            )
            for m in box
        ]
        low_before = min(float(m.start[2]) for m in box)
        upper = [m for m in grown if min(m.start[2], m.end[2]) >= low_before - 0.1 or push[1] > 0.0]
        assert frame_room(upper, TUBE, points) - SHEET < 30.0


def test_the_frame_is_a_box_that_can_be_cut_and_welded() -> None:
    _, buck = _job()
    box = [m for m in buck.members if m.role in ("rail", "cross", "upright")]
    assert len(box) == 4 + 4 * 4
    assert [member.number for member in buck.members] == list(range(1, len(buck.members) + 1))
    for member in box:
        length = float(np.linalg.norm(member.end - member.start))
        extra = TUBE if member.name.startswith("rail") else -TUBE
        assert member.cut_length == pytest.approx(length + extra)
    nodes = {tuple(np.round(p, 3)) for m in box for p in (m.start, m.end)}
    assert len(nodes) == 16
    xs = sorted({x for x, _, _ in nodes})
    assert [xs[0], xs[-1]] == pytest.approx([600.0 + 0.5 * TUBE, 2600.0 - 0.5 * TUBE])


def test_rings_stand_under_arches_of_wire_and_not_far_apart() -> None:
    _, buck = _job()
    rings = sorted({float(m.start[0]) for m in buck.members if m.name.startswith("upright")})
    assert np.diff(rings).max() < 1.4 * 900.0
    arches = [float(w.axis[:, 0].mean()) for w in buck.wires if np.ptp(w.axis[:, 0]) < 250.0]
    for x in rings[1:-1]:
        assert min(abs(x - arch) for arch in arches) < 1.0


def test_posts_reach_from_the_frame_to_a_wire_past_everything_else() -> None:
    skin, _ = tunnel()
    _, buck = _job()
    assert len(buck.posts) >= 8
    assert deepest_post(buck.posts, buck.wires, ROD) < 0.05
    wires = {wire.name: wire for wire in buck.wires}
    members = {member.name: member for member in buck.members}
    tree = cKDTree(skin_points(skin.regions))
    for post in buck.posts:
        assert frame_room([members[post.member]], TUBE, post.start[None]) == pytest.approx(0.0)
        axis = fine_axis(wires[post.wire].axis)
        gap = np.linalg.norm(axis - post.end, axis=1)
        assert gap.min() == pytest.approx(0.5 * ROD, abs=0.1)
        along = post.end - post.start
        assert post.cut_length == pytest.approx(float(np.linalg.norm(along)))
        tangent = np.gradient(axis, axis=0)[int(np.argmin(gap))]
        cosine = abs(along @ tangent) / np.linalg.norm(along) / np.linalg.norm(tangent)
        assert post.angle_at_wire_deg == pytest.approx(np.degrees(np.arccos(cosine)), abs=1.0)
        rod = fine_axis(np.vstack([post.start, post.end]), step=1.0)
        assert tree.query(rod)[0].min() > 0.5 * ROD + SHEET


def test_no_post_starts_another_post() -> None:
    _, buck = _job()
    ends = np.array([post.end for post in buck.posts])
    gaps = np.linalg.norm(ends[:, None] - ends[None], axis=2) + 1e6 * np.eye(len(ends))
    assert gaps.min() >= 350.0


def test_tack_marks_lie_where_the_rods_meet() -> None:
    _, buck = _job()
    assert len(buck.tacks) > 40
    assert worst_tack_mark(buck) < 0.5


def test_wires_that_cross_lie_one_inside_the_other_and_it_is_said() -> None:
    _, buck = _job()
    layers = {wire.name: wire.layer for wire in buck.wires}
    assert layers["roof centre line"] == layers["belt left"] == 0
    assert layers["middle section"] == 1
    moved = {f.where for f in buck.findings if f.code == "moved-in"}
    inner = {name for name, layer in layers.items() if layer > 0}
    assert moved == {re.sub(r"( \d)?( left| right)?$", "", name) for name in inner}


def test_a_wire_that_ends_on_another_is_cut_back_and_stays_in_its_layer() -> None:
    _, buck = _job()
    wires = {wire.name: wire for wire in buck.wires}
    sill, arch = wires["sill left"], wires["front arch"]
    assert sill.layer == arch.layer == 0
    gap = np.linalg.norm(fine_axis(arch.axis)[:, None] - sill.axis[None], axis=2).min()
    assert 0.5 * ROD <= gap < ROD + 0.5


def test_lengths_cut_lengths_and_bars_agree() -> None:
    spec, buck = _job()
    for wire in buck.wires:
        steps = np.linalg.norm(np.diff(wire.axis, axis=0), axis=1).sum()
        assert wire.length == pytest.approx(float(steps), rel=1e-4)
        assert wire.cut_length == pytest.approx(wire.length + 2.0 * spec.end_allowance)
    wanted = {w.name: w.cut_length for w in buck.wires} | {p.name: p.cut_length for p in buck.posts}
    cut = {piece.name: piece.length for bar in buck.rod_plan.bars for piece in bar.pieces}
    assert cut == pytest.approx(wanted)
    assert {p.name for bar in buck.tube_plan.bars for p in bar.pieces} == {
        member.name for member in buck.members
    }
    total = sum(part.mass for part in (*buck.wires, *buck.members, *buck.posts))
    assert buck.mass == pytest.approx(total)


def test_a_section_through_the_window_is_made_in_pieces_and_it_is_said() -> None:
    _, buck = _job()
    names = [wire.name for wire in buck.wires if wire.name.startswith("station 2300")]
    assert names == ["station 2300 1", "station 2300 2"]
    assert {f.where for f in buck.findings if f.code == "wire-in-pieces"} >= {"station 2300"}


def test_gentle_wires_are_sprung_and_bent_ones_have_a_tighter_radius_to_form() -> None:
    _, buck = _job()
    wires = {wire.name: wire for wire in buck.wires}
    assert wires["roof centre line"].sprung
    assert wires["roof centre line"].form_radius == 0.0
    arch = wires["front arch"]
    assert not arch.sprung
    assert 0.5 * arch.least_radius < arch.form_radius < arch.least_radius


def test_the_same_question_has_the_same_answer() -> None:
    spec, buck = _job()
    skin, network = tunnel()
    assert make_buck(spec, network, skin).model_dump_json() == buck.model_dump_json()


def test_the_tunnel_is_seen_from_outside() -> None:
    skin, _ = tunnel()
    region = skin.regions[0]
    normals = triangle_normals(region.vertices, region.triangles)
    centres = region.corners().mean(axis=1)
    assert np.all((normals * (centres - [0.0, 0.0, 700.0]))[:, 1:].sum(axis=1) > 0.0)
