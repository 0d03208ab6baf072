"""What stands already, and what a change of the design asks of it."""

from collections.abc import Sequence
from datetime import date

import numpy as np
from scipy.optimize import linear_sum_assignment

from buckwright.buck.comparing import change_of, distance_between
from buckwright.errors import JobError
from buckwright.model.buck import Buck, BuiltWire, Wire, WireChange
from buckwright.model.job import Job

__all__ = ["changes_of", "mark_built", "names_to_make", "unmark_built", "wires_to_make"]

Key = tuple[str, str]
"""Identity of the wire that was asked for, and side."""


def changes_of(
    built: Sequence[BuiltWire], wires: Sequence[Wire], *, tolerance: float
) -> tuple[WireChange, ...]:
    """For each wire, then for each that goes: what must be done to what stands.

    Wires are known again by their identity. Where a wire has other pieces than it was built of,
    each piece is held against the nearest that stands. `tolerance` in mm.
    """
    pairs = _paired(built, wires)
    changes = []
    for wire in wires:
        stands = pairs.get(wire.name)
        if stands is None:
            changes.append(
                WireChange(wire=wire.name, verdict="new", words="It is new: bend it and tack it.")
            )
        else:
            changes.append(change_of(stands, wire, tolerance=tolerance))
    kept = {id(stands) for stands in pairs.values()}
    for stands in built:
        if id(stands) not in kept:
            changes.append(
                WireChange(
                    wire=stands.name,
                    verdict="goes",
                    built_as=stands.name,
                    words="Nothing asks for it any more: cut it out.",
                )
            )
    return tuple(changes)


def _paired(built: Sequence[BuiltWire], wires: Sequence[Wire]) -> dict[str, BuiltWire]:
    """The wire that stands for each name."""
    names = {wire.name: wire for wire in wires}
    groups: dict[Key, tuple[list[BuiltWire], list[Wire]]] = {}
    for wire in wires:
        groups.setdefault((wire.identity, wire.side), ([], []))[1].append(wire)
    for stands in built:
        wire_now = None if stands.identity else names.get(stands.name)
        key = (stands.identity, stands.side) if wire_now is None else _key(wire_now)
        if key in groups:
            groups[key][0].append(stands)
    pairs: dict[str, BuiltWire] = {}
    for stood, wanted in groups.values():
        pairs |= _paired_pieces(stood, wanted)
    return pairs


def _key(wire: Wire) -> Key:
    return wire.identity, wire.side


def _paired_pieces(built: Sequence[BuiltWire], wires: Sequence[Wire]) -> dict[str, BuiltWire]:
    by_piece = {stands.piece: stands for stands in built}
    if len(by_piece) == len(built) and set(by_piece) == {wire.piece for wire in wires}:
        return {wire.name: by_piece[wire.piece] for wire in wires}
    if not built:
        return {}
    cost = np.array([[distance_between(stands, wire) for wire in wires] for stands in built])
    rows, columns = linear_sum_assignment(cost)
    return {wires[c].name: built[r] for r, c in zip(rows, columns, strict=True)}


def names_to_make(wires: Sequence[Wire], changes: Sequence[WireChange]) -> tuple[str, ...]:
    """Names of the wires that are new or must be bent again; all if there are no changes."""
    if not changes:
        return tuple(wire.name for wire in wires)
    return tuple(c.wire for c in changes if c.verdict in ("new", "bend again"))


def wires_to_make(buck: Buck, stage: int | None = None) -> tuple[Wire, ...]:
    """The wires of a packet for the change alone: new or to be bent again, of one stage or all."""
    named = set(buck.to_make)
    return tuple(wire for wire in buck.wires if wire.name in named and stage in (None, wire.stage))


def mark_built(job: Job, buck: Buck, names: Sequence[str], day: str) -> Job:
    """The job with those wires standing as the buck has them now; `day` as in ISO 8601.

    A wire that stood before stands in its new shape. Raises JobError for a name that the buck
    has not, or a day that is none.
    """
    wires = {wire.name: wire for wire in buck.wires}
    for name in names:
        if name not in wires:
            raise JobError(f"The buck has no wire '{name}'.", f"Choose from: {', '.join(wires)}.")
    try:
        date.fromisoformat(day)
    except ValueError:
        raise JobError(
            f"'{day}' is no day.", "Give year, month and day, such as 2026-03-14."
        ) from None
    before = _paired(job.built, buck.wires)
    replaced = {id(before[name]) for name in names if name in before}
    kept = [stands for stands in job.built if id(stands) not in replaced]
    new = [_built(wires[name], job.revision, day) for name in dict.fromkeys(names)]
    return job.model_copy(update={"built": (*kept, *new)})


def _built(wire: Wire, revision: str, day: str) -> BuiltWire:
    return BuiltWire(
        name=wire.name,
        axis=wire.axis,
        closed=wire.closed,
        diameter=wire.diameter,
        revision=revision,
        day=day,
        identity=wire.identity,
        piece=wire.piece,
        side=wire.side,
        layer=wire.layer,
    )


def unmark_built(job: Job, names: Sequence[str]) -> Job:
    """The job without those wires standing, by the names they were built by.

    Raises JobError for one that does not stand.
    """
    standing = [stands.name for stands in job.built]
    for name in names:
        if name not in standing:
            raise JobError(
                f"No wire '{name}' stands.", f"Choose from: {', '.join(standing) or 'none yet'}."
            )
    kept = tuple(stands for stands in job.built if stands.name not in names)
    return job.model_copy(update={"built": kept})
