"""What stands, and what a change of the design asks of it."""

import numpy as np
import pytest
from numpy.typing import NDArray

from buckwright.buck import changes_of, make_buck, mark_built, unmark_built, wires_to_make
from buckwright.errors import JobError
from buckwright.model.buck import Buck, BuckSpec, BuiltWire, Wire, WireSpec
from buckwright.model.job import Job
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin
from skins_on_paper import cylinder, grid_region

Array = NDArray[np.float64]
RADIUS = 500.0


def _wire(axis: Array, *, name: str = "arch", closed: bool = False, piece: int = 0) -> Wire:
    return Wire(
        name=name,
        line="",
        region="body",
        side="whole",
        layer=0,
        diameter=6.35,
        axis=axis,
        closed=closed,
        length=1.0,
        cut_length=1.0,
        set_in=4.0,
        least_radius=1.0,
        form_radius=1.0,
        sprung=False,
        mass=1.0,
        identity="arch",
        piece=piece,
    )


def _stood(axis: Array, *, name: str = "arch", closed: bool = False, piece: int = 0) -> BuiltWire:
    return BuiltWire(
        name=name, axis=axis, closed=closed, diameter=6.35, identity="arch", piece=piece
    )


def _arc(low: float, high: float, radius: float = RADIUS) -> Array:
    t = np.linspace(low, high, 400)
    return np.column_stack([np.zeros(400), radius * np.cos(t), radius * np.sin(t)])


ARC = _arc(0.3, 2.6)
BOW = np.exp(-(((np.linspace(0.3, 2.6, 400) - 1.0) / 0.1) ** 2))


def test_a_wire_that_is_where_it_should_be_is_right() -> None:
    (change,) = changes_of([_stood(ARC)], [_wire(ARC + 0.2)], tolerance=1.0)
    assert change.verdict == "right"
    assert change.most == pytest.approx(0.35, abs=0.1)
    assert change.stretches == ()


def test_a_wire_that_differs_in_one_place_is_bent_again_there() -> None:
    wanted = ARC * (1.0 + 12.0 / RADIUS * BOW)[:, None]
    (change,) = changes_of([_stood(ARC)], [_wire(wanted)], tolerance=1.0)
    assert change.verdict == "bend again"
    assert change.most == pytest.approx(12.0, abs=0.3)
    (stretch,) = change.stretches
    # The place is 0.7 radians along, and the bow is a millimetre high 0.158 radians to each side.
    assert stretch.at == pytest.approx(0.7 * RADIUS, abs=6.0)
    assert stretch.start == pytest.approx((0.7 - 0.158) * RADIUS, abs=8.0)
    assert stretch.end == pytest.approx((0.7 + 0.158) * RADIUS, abs=8.0)
    assert stretch.by == pytest.approx(12.0 * np.array([0.0, np.cos(1.0), np.sin(1.0)]), abs=0.6)
    assert "up" in stretch.words
    assert "to the right" in stretch.words


def test_a_wire_that_only_stands_elsewhere_is_moved_not_bent() -> None:
    c, s = np.cos(0.02), np.sin(0.02)
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    wanted = ARC @ turn.T + [3.0, 0.0, 20.0]
    (change,) = changes_of([_stood(ARC)], [_wire(wanted)], tolerance=1.0)
    assert change.verdict == "move"
    assert change.most > 15.0
    assert change.bent_most < 0.1


def test_a_mirrored_wire_is_not_taken_for_a_moved_one() -> None:
    t = np.linspace(0.0, 3.0, 400)
    helix = np.column_stack([60.0 * t, 200.0 * np.cos(t), 200.0 * np.sin(t)])
    (change,) = changes_of([_stood(helix)], [_wire(helix * [1.0, -1.0, 1.0])], tolerance=1.0)
    assert change.verdict == "bend again"


@pytest.mark.parametrize("backwards", [False, True])
def test_a_wire_too_long_is_trimmed_and_one_too_short_made_anew(backwards: bool) -> None:
    long, short = _arc(0.25, 2.6), _arc(0.35, 2.6)
    if backwards:
        long, short = long[::-1], short[::-1]
    (trimmed,) = changes_of([_stood(long)], [_wire(ARC)], tolerance=1.0)
    assert trimmed.verdict == "trim"
    assert trimmed.trim[int(backwards)] == pytest.approx(0.05 * RADIUS, abs=0.3)
    assert trimmed.trim[1 - int(backwards)] == pytest.approx(0.0, abs=0.3)
    (made,) = changes_of([_stood(short)], [_wire(ARC)], tolerance=1.0)
    assert made.verdict == "bend again"
    assert made.trim[int(backwards)] == pytest.approx(-0.05 * RADIUS, abs=0.3)


def test_a_closed_wire_may_start_anywhere() -> None:
    ring = _arc(0.0, 2.0 * np.pi)[:-1]
    (change,) = changes_of(
        [_stood(np.roll(ring, 130, axis=0), closed=True)],
        [_wire(ring, closed=True)],
        tolerance=1.0,
    )
    assert change.verdict == "right"


def test_a_rod_of_another_size_is_made_anew() -> None:
    wire = _wire(ARC).model_copy(update={"diameter": 8.0})
    (change,) = changes_of([_stood(ARC)], [wire], tolerance=1.0)
    assert change.verdict == "bend again"
    assert "wanted in 8 mm" in change.words


def test_what_nothing_asks_for_goes_and_what_does_not_stand_is_new() -> None:
    other = _wire(ARC, name="other").model_copy(update={"identity": "other"})
    changes = changes_of([_stood(ARC)], [other], tolerance=1.0)
    assert [(c.wire, c.verdict) for c in changes] == [("other", "new"), ("arch", "goes")]


def test_pieces_are_held_against_the_nearest_that_stands() -> None:
    low, high = _arc(0.3, 1.2), _arc(1.5, 2.6)
    wires = [_wire(low, name="arch 1", piece=1), _wire(high, name="arch 2", piece=2)]
    (first, second) = changes_of([_stood(high)], wires, tolerance=1.0)
    assert (first.verdict, second.verdict) == ("new", "right")


def test_a_wire_built_before_there_were_identities_is_known_by_its_name() -> None:
    old = BuiltWire(name="arch", axis=ARC, closed=False, diameter=6.35)
    assert [c.verdict for c in changes_of([old], [_wire(ARC)], tolerance=1.0)] == ["right"]


# --- Through the whole step ---------------------------------------------------------------------


def _buck(*wires: WireSpec, built: tuple[BuiltWire, ...] = ()) -> Buck:
    u, v = np.linspace(0.0, 800.0, 41), np.linspace(0.3, np.pi - 0.3, 51)
    region = grid_region("hood", cylinder(400.0), u, v, outward=lambda p: p * [0.0, 1.0, 1.0])
    network = LineNetwork(lines=(), crossings=())
    return make_buck(BuckSpec(wires=wires), network, Skin(regions=(region,)), built=built)


def _at(axis: str, value: float, **more: object) -> WireSpec:
    return WireSpec(name=f"{axis} {value:g}", region="hood", plane=(axis, value), **more)  # type: ignore[arg-type]


LONG, ACROSS = _at("y", 60.0), _at("x", 310.0)
JOB = Job(name="van", revision="C")


def test_a_marked_wire_stands_as_the_buck_has_it() -> None:
    buck = _buck(LONG, ACROSS)
    assert buck.changes == ()
    assert set(buck.to_make) == {"y 60", "x 310"}
    job = mark_built(JOB, buck, ["x 310"], "2026-03-14")
    (stands,) = job.built
    assert (stands.revision, stands.day, stands.identity) == ("C", "2026-03-14", "x 310")
    assert stands.layer == next(w.layer for w in buck.wires if w.name == "x 310")
    again = mark_built(job, buck, ["x 310", "y 60"], "2026-03-15")
    assert [s.day for s in again.built] == ["2026-03-15", "2026-03-15"]
    assert unmark_built(again, ["y 60"]).built[0].name == "x 310"
    assert Job.model_validate_json(again.model_dump_json()).built[1].axis == pytest.approx(
        again.built[1].axis
    )


def test_a_renamed_and_moved_wire_is_held_against_what_was_built_of_it() -> None:
    built = mark_built(JOB, _buck(LONG, ACROSS), ["x 310", "y 60"], "2026-03-14").built
    moved = ACROSS.model_copy(
        update={"name": "new name", "identity": "x 310", "plane": ("x", 330.0)}
    )
    after = _buck(LONG, moved, built=built)
    changes = {change.wire: change for change in after.changes}
    assert changes["y 60"].verdict == "right"
    assert changes["new name"].verdict == "move"
    assert changes["new name"].most == pytest.approx(20.0, abs=0.1)
    assert changes["new name"].built_as == "x 310"
    assert after.to_make == ()


def test_what_stands_keeps_its_layer_and_a_later_stage_gives_way() -> None:
    """Alone, the short wire lies against the metal; with a longer one it would have to give way."""
    short = mark_built(JOB, _buck(ACROSS), ["x 310"], "2026-03-14").built
    layers = {w.name: w.layer for w in _buck(LONG, ACROSS).wires}
    assert layers == {"y 60": 0, "x 310": 1} or layers == {"y 60": 1, "x 310": 0}
    loser = next(name for name, layer in layers.items() if layer == 1)
    winner = next(name for name, layer in layers.items() if layer == 0)
    loser_spec, winner_spec = (ACROSS, LONG) if loser == "x 310" else (LONG, ACROSS)
    stood = mark_built(JOB, _buck(loser_spec), [loser], "2026-03-14").built
    after = _buck(winner_spec, loser_spec, built=stood)
    assert {w.name: w.layer for w in after.wires} == {loser: 0, winner: 1}
    assert {c.wire: c.verdict for c in after.changes} == {loser: "right", winner: "new"}
    assert [wire.name for wire in wires_to_make(after)] == [winner]
    later = _buck(winner_spec.model_copy(update={"stage": 2}), loser_spec)
    assert {w.name: w.layer for w in later.wires} == {loser: 0, winner: 1}
    assert short[0].layer == 0


def test_a_packet_for_one_stage_has_its_wires_only() -> None:
    buck = _buck(LONG, _at("x", 200.0, stage=2), _at("x", 500.0, stage=2))
    assert {wire.name for wire in wires_to_make(buck, 2)} == {"x 200", "x 500"}
    assert {wire.name for wire in wires_to_make(buck, 1)} == {"y 60"}
    assert len(wires_to_make(buck)) == 3


def test_marking_what_is_not_there_is_refused() -> None:
    buck = _buck(LONG)
    with pytest.raises(JobError, match="no wire 'roof'"):
        mark_built(JOB, buck, ["roof"], "2026-03-14")
    with pytest.raises(JobError, match="no day"):
        mark_built(JOB, buck, ["y 60"], "14th of March")
    with pytest.raises(JobError, match="stands"):
        unmark_built(JOB, ["y 60"])
