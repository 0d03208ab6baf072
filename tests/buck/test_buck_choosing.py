"""Which wires there are: edits, and the identity that a wire keeps through them."""

from collections.abc import Callable

import pytest

from buckwright.buck import accept_wires, add_wire, drop_wire, move_wire, rename_wire
from buckwright.errors import JobError
from buckwright.model.buck import BuckSpec, ProposedWire, WireSpec

STATION = WireSpec(name="station 900", region="body", plane=("x", 900.0))
BELT = WireSpec(name="belt", region="body", line="belt", cut_at=("station 900",))
SPEC = BuckSpec(wires=(STATION, BELT))
LEVEL = WireSpec(name="level 600", region="body", plane=("z", 600.0))


def _wire(spec: BuckSpec, name: str) -> WireSpec:
    return next(wire for wire in spec.wires if wire.name == name)


def test_an_added_wire_comes_last_and_is_known_by_its_name() -> None:
    spec = add_wire(SPEC, LEVEL)
    assert [wire.name for wire in spec.wires] == ["station 900", "belt", "level 600"]
    assert spec.wires[-1].identity == "level 600"


def test_a_moved_and_renamed_wire_is_still_known_by_its_first_name() -> None:
    moved = move_wire(SPEC, "station 900", 950.0)
    spec = rename_wire(moved, "station 900", "station 950")
    wire = _wire(spec, "station 950")
    assert wire.plane == ("x", 950.0)
    assert wire.identity == "station 900"
    assert _wire(spec, "belt").cut_at == ("station 950",)
    assert [w.name for w in spec.wires] == ["station 950", "belt"]


def test_a_new_wire_with_an_old_name_is_another_wire() -> None:
    spec = rename_wire(SPEC, "station 900", "door post")
    spec = add_wire(spec, STATION)
    known = [wire.identity or wire.name for wire in spec.wires]
    assert len(set(known)) == 3
    assert _wire(spec, "station 900").identity == "station 900 (2)"


def test_a_dropped_wire_is_cut_at_no_more() -> None:
    spec = drop_wire(SPEC, "station 900")
    assert [wire.name for wire in spec.wires] == ["belt"]
    assert spec.wires[0].cut_at == ()


def test_a_wire_renamed_to_its_own_name_stays_as_it_is() -> None:
    assert rename_wire(SPEC, "belt", "belt") is SPEC


def test_proposed_wires_are_taken_over_all_or_by_name() -> None:
    proposed = [
        ProposedWire(wire=LEVEL, reason="", why="both"),
        ProposedWire(wire=LEVEL.model_copy(update={"name": "other"}), reason="", why="line"),
    ]
    assert len(accept_wires(SPEC, proposed).wires) == 4
    assert [w.name for w in accept_wires(SPEC, proposed, ["other"]).wires][2:] == ["other"]
    assert accept_wires(SPEC, proposed, []).wires == SPEC.wires
    with pytest.raises(JobError, match="No wire 'third' is proposed"):
        accept_wires(SPEC, proposed, ["third"])
    with pytest.raises(JobError, match="already"):
        accept_wires(add_wire(SPEC, LEVEL), proposed, ["level 600"])


@pytest.mark.parametrize(
    ("edit", "said"),
    [
        (lambda: add_wire(SPEC, STATION), "already"),
        (lambda: add_wire(SPEC, LEVEL.model_copy(update={"name": " "})), "no name"),
        (lambda: add_wire(SPEC, LEVEL.model_copy(update={"name": "a "})), "no name"),
        (lambda: add_wire(SPEC, LEVEL.model_copy(update={"plane": None})), "either a line"),
        (lambda: add_wire(SPEC, LEVEL.model_copy(update={"line": "belt"})), "either a line"),
        (
            lambda: add_wire(SPEC, LEVEL.model_copy(update={"plane": ("z", float("nan"))})),
            "no place",
        ),
        (lambda: add_wire(SPEC, LEVEL.model_copy(update={"stage": 0})), "stage 0"),
        (lambda: add_wire(SPEC, LEVEL.model_copy(update={"layer": -1})), "layer -1"),
        (lambda: drop_wire(SPEC, "roof"), "no wire 'roof'"),
        (lambda: move_wire(SPEC, "belt", 10.0), "follows the line"),
        (lambda: move_wire(SPEC, "station 900", float("inf")), "no place"),
        (lambda: move_wire(SPEC, "roof", 10.0), "no wire 'roof'"),
        (lambda: rename_wire(SPEC, "belt", "station 900"), "already"),
        (lambda: rename_wire(SPEC, "belt", ""), "no name"),
        (lambda: rename_wire(SPEC, "roof", "top"), "no wire 'roof'"),
    ],
)
def test_nonsense_is_refused_in_a_sentence(edit: Callable[[], BuckSpec], said: str) -> None:
    with pytest.raises(JobError, match=said) as refused:
        edit()
    assert refused.value.remedy
