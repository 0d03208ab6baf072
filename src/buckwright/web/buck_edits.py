"""What may be changed on the sheet of the buck: which wires, what stands, stock, rod and frame."""

from collections.abc import Callable, Sequence
from datetime import date

from buckwright.buck import (
    accept_wires,
    add_wire,
    drop_wire,
    mark_built,
    move_wire,
    rack_after,
    rename_wire,
    unmark_built,
)
from buckwright.errors import JobError
from buckwright.model.buck import Buck, BuckSpec, Remnant, WireSpec
from buckwright.model.job import Job
from buckwright.web.desk import View
from buckwright.web.typed import (
    Edited,
    Typed,
    chosen,
    in_words,
    names_typed,
    typed_count,
    typed_length,
)

__all__ = ["BUCK_EDITS", "BUILDING_EDITS", "asked_buck"]

FARTHEST = 20000.0
"""mm from the front axle: nothing that a shop builds is longer."""
MOST_STAGES = 9
MOST_BARS = 999


def asked_buck(job: Job) -> BuckSpec:
    """What the job asks of its buck; JobError if it asks for none."""
    if job.buck is None:
        raise JobError("This job has no buck yet.", "Give it a rod and its first wires.")
    return job.buck


def _with(job: Job, spec: BuckSpec, words: str) -> Edited:
    return job.model_copy(update={"buck": spec}), words


def _wire_of(spec: BuckSpec, typed: Typed) -> WireSpec:
    name = str(typed.get("name"))
    for wire in spec.wires:
        if wire.name == name:
            return wire
    raise JobError(f"The job asks for no wire '{name}'.", "Reload the page and try again.")


def _replaced(job: Job, wire: WireSpec, words: str, **changes: object) -> Edited:
    spec = asked_buck(job)
    new = wire.model_copy(update={"identity": wire.identity or wire.name, **changes})
    wires = tuple(new if other is wire else other for other in spec.wires)
    return _with(job, spec.model_copy(update={"wires": wires}), words)


def _add(job: Job, typed: Typed) -> Edited:
    name, region = str(typed.get("name", "")).strip(), str(typed.get("region", ""))
    if region not in [known.name for known in job.regions]:
        raise JobError(f"There is no region '{region}'.", "Choose one of the skin's regions.")
    along = chosen(typed, "along", ("line", "x", "y", "z"))
    stage = typed_count(typed, "stage", "a stage", 1, MOST_STAGES)
    if along == "line":
        line = str(typed.get("line", ""))
        if line not in [spec.name for spec in job.lines if spec.use == "body"]:
            raise JobError(f"There is no line '{line}'.", "Choose one of the body's lines.")
        wire = WireSpec(name=name or line, region=region, line=line, stage=stage)
    else:
        at = typed_length(typed, "the place of a section", -FARTHEST, FARTHEST)
        kind = {"x": "station", "y": "buttock", "z": "level"}[along]
        wire = WireSpec.model_validate(
            {
                "name": name or f"{region} {kind} {at:g}",
                "region": region,
                "plane": (along, at),
                "stage": stage,
            }
        )
    return _with(job, add_wire(asked_buck(job), wire), f"wire '{wire.name}' added")


def _drop(job: Job, typed: Typed) -> Edited:
    name = str(typed.get("name"))
    return _with(job, drop_wire(asked_buck(job), name), f"wire '{name}' dropped")


def _move(job: Job, typed: Typed) -> Edited:
    name = str(typed.get("name"))
    to = typed_length(typed, "the place of a section", -FARTHEST, FARTHEST)
    return _with(
        job, move_wire(asked_buck(job), name, to), f"wire '{name}' moved to {in_words(to)}"
    )


def _rename(job: Job, typed: Typed) -> Edited:
    name, to = str(typed.get("name")), str(typed.get("text", "")).strip()
    return _with(job, rename_wire(asked_buck(job), name, to), f"wire '{name}' is now '{to}'")


def _pass_or_butt(job: Job, typed: Typed) -> Edited:
    wire = _wire_of(asked_buck(job), typed)
    way = chosen(typed, "way", ("inside", "cut"))
    told = "passes" if way == "inside" else "is cut and butted"
    return _replaced(job, wire, f"wire '{wire.name}' {told} at crossings", at_crossings=way)


def _butt_at(job: Job, typed: Typed) -> Edited:
    spec = asked_buck(job)
    wire, other = _wire_of(spec, typed), str(typed.get("other"))
    if other == wire.name or other not in [known.name for known in spec.wires]:
        raise JobError(f"'{wire.name}' cannot be cut at '{other}'.", "Choose another wire.")
    on = bool(typed.get("on"))
    kept = tuple(name for name in wire.cut_at if name != other)
    told = "cut and butted at" if on else "no longer cut at"
    words = f"wire '{wire.name}' {told} '{other}'"
    return _replaced(job, wire, words, cut_at=(*kept, other) if on else kept)


def _stage(job: Job, typed: Typed) -> Edited:
    wire = _wire_of(asked_buck(job), typed)
    stage = typed_count(typed, "text", "a stage", 1, MOST_STAGES)
    return _replaced(job, wire, f"wire '{wire.name}' goes up in stage {stage}", stage=stage)


def _layer(job: Job, typed: Typed) -> Edited:
    wire = _wire_of(asked_buck(job), typed)
    layer = typed_count(typed, "text", "a layer", 0, MOST_STAGES)
    return _replaced(job, wire, f"wire '{wire.name}' begins in layer {layer}", layer=layer)


def _put_in_rack(job: Job, typed: Typed) -> Edited:
    stock = str(typed.get("stock", "")).strip()
    if not stock:
        raise JobError("The bar has no stock.", "Choose the rod or the tube that it is of.")
    length = typed_length(typed, "the length of a bar in the rack", 1.0, FARTHEST)
    count = typed_count(typed, "count", "a number of bars", 1, MOST_BARS)
    new = Remnant(stock=stock, length=length, count=count)
    words = f"{count} x {in_words(length)} of {stock} put into the rack"
    return job.model_copy(update={"remnants": (*job.remnants, new)}), words


def _take_from_rack(job: Job, typed: Typed) -> Edited:
    place = typed_count(typed, "place", "a place in the rack", 0, max(len(job.remnants) - 1, 0))
    if place >= len(job.remnants):
        raise JobError("The rack is empty.", "Reload the page.")
    gone = job.remnants[place]
    kept = tuple(bar for k, bar in enumerate(job.remnants) if k != place)
    words = f"{gone.count} x {in_words(gone.length)} of {gone.stock} taken from the rack"
    return job.model_copy(update={"remnants": kept}), words


BUCK_EDITS: dict[str, Callable[[Job, Typed], Edited]] = {
    "add wire": _add,
    "drop wire": _drop,
    "move wire": _move,
    "rename wire": _rename,
    "wire at crossings": _pass_or_butt,
    "wire cut at": _butt_at,
    "wire stage": _stage,
    "wire layer": _layer,
    "put in rack": _put_in_rack,
    "take from rack": _take_from_rack,
}
"""By the name that the page sends."""


def _buck(view: View) -> Buck:
    if view.products.buck is None:
        raise JobError("The buck is not worked out yet.", "Work it out first.")
    return view.products.buck


def _accept(view: View, typed: Typed) -> Edited:
    names = None if typed.get("names") is None else names_typed(typed)
    proposed = _buck(view).proposed
    spec = accept_wires(asked_buck(view.job), proposed, names)
    taken = len(proposed) if names is None else len(names)
    if not taken:
        raise JobError("Nothing is proposed.", "Both rules of spacing are met as it stands.")
    told = f"'{names[0]}'" if names is not None and taken == 1 else f"{taken} proposed wires"
    return _with(view.job, spec, f"{told} taken over")


def _built(view: View, typed: Typed) -> Edited:
    names, on = names_typed(typed), bool(typed.get("on"))
    if not names:
        raise JobError("No wire is named.", "Pick the wires that stand.")
    if on:
        today = date.today().isoformat()  # noqa: DTZ011 - the shop's own calendar day
        job = mark_built(view.job, _buck(view), names, today)
    else:
        job = unmark_built(view.job, names)
    return job, f"{_told(names)} {'built' if on else 'not built after all'}"


def _told(names: Sequence[str]) -> str:
    if len(names) == 1:
        return f"wire '{names[0]}' is"
    return f"{len(names)} wires are"


def _cut(view: View, typed: Typed) -> Edited:
    buck = _buck(view)
    if view.states.get("buck") != "done":
        raise JobError(
            "The cutting plan is older than the job.", "Work it out again, then take it in."
        )
    rack = rack_after(view.job.remnants, (buck.rod_plan, buck.tube_plan))
    return view.job.model_copy(update={"remnants": rack}), "bars cut, what is left is in the rack"


BUILDING_EDITS: dict[str, Callable[[View, Typed], Edited]] = {
    "accept wires": _accept,
    "wires built": _built,
    "bars cut": _cut,
}
"""Those that need what was worked out, by the name that the page sends."""
