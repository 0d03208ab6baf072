"""Which wires the buck has: added, dropped, moved, renamed, or taken over from what is proposed.

Each function gives the spec after one edit. A wire keeps its identity whatever it is called and
wherever it lies, so that what was built of it is known again.
"""

from collections.abc import Sequence
from math import isfinite

from buckwright.errors import JobError
from buckwright.model.buck import BuckSpec, ProposedWire, WireSpec

__all__ = ["accept_wires", "add_wire", "drop_wire", "move_wire", "rename_wire"]


def add_wire(spec: BuckSpec, wire: WireSpec) -> BuckSpec:
    """The spec with one wire more, at the end.

    Raises JobError if its name is empty or taken, or it follows neither a line nor a plane, or
    both.
    """
    _refuse_name(spec, wire.name)
    if (wire.line is None) == (wire.plane is None):
        raise JobError(
            f"The wire '{wire.name}' must follow either a line or a section at a plane.",
            "Give it one of the two.",
        )
    if wire.plane is not None:
        _refuse_place(wire.name, wire.plane[1])
    if wire.stage < 1 or wire.layer < 0:
        raise JobError(
            f"The wire '{wire.name}' has stage {wire.stage} and layer {wire.layer}.",
            "Stages count from 1, layers from 0.",
        )
    taken = {known.identity or known.name for known in spec.wires}
    identity = wire.identity or wire.name
    number = 2
    while identity in taken:
        identity, number = f"{wire.identity or wire.name} ({number})", number + 1
    return _with(spec, (*spec.wires, wire.model_copy(update={"identity": identity})))


def drop_wire(spec: BuckSpec, name: str) -> BuckSpec:
    """The spec without that wire; others are no longer cut at it.

    Raises JobError if there is none of that name.
    """
    gone = _wire(spec, name)
    kept = [wire for wire in spec.wires if wire is not gone]
    return _with(
        spec,
        [
            wire.model_copy(update={"cut_at": tuple(n for n in wire.cut_at if n != name)})
            if name in wire.cut_at
            else wire
            for wire in kept
        ],
    )


def move_wire(spec: BuckSpec, name: str, to: float) -> BuckSpec:
    """The spec with the plane of a section's wire at another place, mm on the same axis.

    Raises JobError if there is none of that name, it follows a line, or no number is given.
    """
    wire = _wire(spec, name)
    if wire.plane is None:
        raise JobError(
            f"The wire '{name}' follows the line '{wire.line}' and moves only with it.",
            "Move the line, or drop the wire and add one at a plane.",
        )
    _refuse_place(name, to)
    moved = _keeping_identity(wire, {"plane": (wire.plane[0], float(to))})
    return _with(spec, [moved if other is wire else other for other in spec.wires])


def rename_wire(spec: BuckSpec, name: str, to: str) -> BuckSpec:
    """The spec with another name for a wire, also where others are cut at it.

    Raises JobError if there is none of that name, or the new one is empty or taken.
    """
    wire = _wire(spec, name)
    if to == name:
        return spec
    _refuse_name(spec, to)
    renamed = _keeping_identity(wire, {"name": to})
    after = []
    for other in spec.wires:
        new = renamed if other is wire else other
        cut_at = tuple(to if n == name else n for n in new.cut_at)
        after.append(new.model_copy(update={"cut_at": cut_at}) if cut_at != new.cut_at else new)
    return _with(spec, after)


def accept_wires(
    spec: BuckSpec, proposed: Sequence[ProposedWire], names: Sequence[str] | None = None
) -> BuckSpec:
    """The spec with proposed wires taken over: those of the names, or all of them.

    Raises JobError if a name is not among those proposed, or is taken by now.
    """
    known = {each.wire.name: each.wire for each in proposed}
    for name in names if names is not None else tuple(known):
        if name not in known:
            raise JobError(
                f"No wire '{name}' is proposed.",
                f"Choose from: {', '.join(known) or 'nothing, the rules are met'}.",
            )
        spec = add_wire(spec, known[name])
    return spec


def _with(spec: BuckSpec, wires: Sequence[WireSpec]) -> BuckSpec:
    return spec.model_copy(update={"wires": tuple(wires)})


def _keeping_identity(wire: WireSpec, update: dict[str, object]) -> WireSpec:
    return wire.model_copy(update={"identity": wire.identity or wire.name, **update})


def _wire(spec: BuckSpec, name: str) -> WireSpec:
    for wire in spec.wires:
        if wire.name == name:
            return wire
    raise JobError(
        f"The buck has no wire '{name}'.",
        f"Choose from: {', '.join(wire.name for wire in spec.wires) or 'none yet'}.",
    )


def _refuse_name(spec: BuckSpec, name: str) -> None:
    if not name.strip() or name != name.strip():
        raise JobError(
            f"'{name}' is no name for a wire.", "Give it a name without spaces round it."
        )
    if any(wire.name == name for wire in spec.wires):
        raise JobError(f"There is a wire '{name}' already.", "Give it a name of its own.")


def _refuse_place(name: str, at: float) -> None:
    if not isfinite(at):
        raise JobError(f"The wire '{name}' has no place on its axis.", "Give it in mm.")
