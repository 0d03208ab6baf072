"""Departures made, changed, put in order and given up on the page; dimensions that are watched.

Whatever is asked is tried on the lines as they stand before it is kept, so a departure that
cannot be never gets into the job.
"""

from collections.abc import Callable, Mapping
from typing import Any

from buckwright.errors import JobError
from buckwright.lines.departing import depart
from buckwright.lines.sides import mirror_names
from buckwright.model.job import Job
from buckwright.model.lines import Departure, DimensionSpec
from buckwright.units import parse_length
from buckwright.web.desk import View
from buckwright.web.typed import Edited, Typed, chosen, in_words, names_typed, typed_length

__all__ = ["DEPARTURE_EDITS", "DIMENSION_EDITS"]

FARTHEST = 20000.0
MOST = 2000.0
"""mm by which one zone may grow or shrink."""
LONGEST_TEXT = 200
MOVES = ("rearward", "outward", "upward")
FACTORS = ("length", "breadth", "height")
KINDS = ("height", "half-breadth", "length", "extent x", "extent y", "extent z")


def _add(view: View, typed: Typed) -> Edited:
    job = view.job
    name, reason = _named(typed, [d.name for d in job.departures])
    kind = typed.get("kind", "stretch")
    if kind == "stretch":
        new, grown = _stretch(typed)
    else:
        new, grown = _family(typed, chosen(typed, "kind", ("move", "scale")))
    departure = Departure.model_validate({"name": name, "reason": reason, **new})
    return _tried(view, (*job.departures, departure)), f"departure '{name}' {grown} added"


def _named(typed: Typed, taken: list[str]) -> tuple[str, str]:
    name, reason = (str(typed.get(key, "")).strip() for key in ("name", "reason"))
    if not name or len(name) > LONGEST_TEXT or name in taken:
        raise JobError(
            f"'{name}' is no name for a new departure.", "Give it a name of its own, in few words."
        )
    if not reason or len(reason) > LONGEST_TEXT:
        raise JobError(
            "A departure without a reason cannot be judged later.", "Say why, in few words."
        )
    return name, reason


def _stretch(typed: Typed) -> tuple[dict[str, Any], str]:
    axis = chosen(typed, "axis", ("x", "y", "z"))
    start, end = (
        typed_length({"length": typed.get(key, "")}, "an end of the zone", -FARTHEST, FARTHEST)
        for key in ("start", "end")
    )
    by = parse_length(str(typed.get("length", "")))
    if end <= start or end - start + by <= 0.0 or not 0.0 < abs(by) <= MOST:
        raise JobError(
            f"A zone from {in_words(start)} to {in_words(end)} cannot grow by {in_words(by)}.",
            "Give its start before its end, and less to take out than it is long.",
        )
    rigid = names_typed({"names": typed.get("rigid", [])})
    told = {"axis": axis, "start": start, "end": end, "by": by, "rigid": rigid}
    return told, f"of {in_words(by)}"


def _family(typed: Typed, kind: str) -> tuple[dict[str, Any], str]:
    told: dict[str, Any] = {
        "kind": kind,
        "lines": names_typed({"names": typed.get("lines", [])}),
        "on_surface": bool(typed.get("on_surface", False)),
    }
    if kind == "move":
        move = tuple(_length_or_none(typed, key) for key in MOVES)
        if not any(move):
            raise JobError("It moves nothing.", "Say how far rearward, outward or upward.")
        words = [f"{in_words(by)} {way}" for by, way in zip(move, MOVES, strict=True) if by]
        return {**told, "move": move}, "of " + " and ".join(words)
    factors = tuple(_factor(typed, key) for key in FACTORS)
    if all(factor == 1.0 for factor in factors):
        raise JobError("It scales nothing.", "Give a factor such as 1.1, or 110 %.")
    words = [f"{by:g} in {way}" for by, way in zip(factors, FACTORS, strict=True) if by != 1.0]
    return {**told, "factors": factors}, "by " + " and ".join(words)


def _length_or_none(typed: Typed, key: str) -> float:
    text = str(typed.get(key, "")).strip()
    return typed_length({"length": text}, f"a move {key}", -MOST, MOST) if text else 0.0


def _factor(typed: Typed, key: str) -> float:
    text = str(typed.get(key, "")).strip()
    if not text:
        return 1.0
    bare = text.removesuffix("%").strip().replace(",", ".")
    try:
        value = float(bare) / (100.0 if text.endswith("%") else 1.0)
    except ValueError:
        raise JobError(f"'{text}' is no factor for {key}.", "Type it like 1.1 or 110 %.") from None
    if not 0.2 <= value <= 5.0:
        raise JobError(f"{value:g} is no factor for {key}.", "Type something from 0.2 to 5.")
    return value


def _tried(view: View, departures: tuple[Departure, ...]) -> Job:
    """The job with these departures; JobError if the lines as they stand cannot follow them."""
    job, reference = view.job, view.products.lines
    if reference is not None:
        depart(
            reference.reference,
            departures,
            mirrors=mirror_names(job.lines),
            firm=() if job.datum is None else job.datum.front_axle,
        )
    return job.model_copy(update={"departures": departures})


def _one(job: Job, typed: Typed) -> tuple[int, Departure]:
    name = typed.get("name")
    for place, departure in enumerate(job.departures):
        if departure.name == name:
            return place, departure
    raise JobError(f"There is no departure '{name}'.", "Reload the page and try again.")


def _changed(view: View, typed: Typed, **changes: Any) -> Job:
    place, departure = _one(view.job, typed)
    new = departure.model_copy(update=changes)
    every = view.job.departures
    return _tried(view, (*every[:place], new, *every[place + 1 :]))


def _switch(view: View, typed: Typed) -> Edited:
    on = bool(typed.get("on"))
    words = f"departure '{typed.get('name')}' switched {'on' if on else 'off'}"
    return _changed(view, typed, on=on), words


def _resize(view: View, typed: Typed) -> Edited:
    by = parse_length(str(typed.get("length", "")))
    _, departure = _one(view.job, typed)
    if departure.end - departure.start + by <= 0.0:
        raise JobError(
            "The stretch zone would shrink to nothing.",
            "Type a shorter cut, or widen the zone first.",
        )
    words = f"departure '{departure.name}' is now {in_words(by)}"
    return _changed(view, typed, by=by), words


def _keep_rigid(view: View, typed: Typed) -> Edited:
    _, departure = _one(view.job, typed)
    line, on = str(typed.get("line", "")), bool(typed.get("on"))
    kept = tuple(name for name in departure.rigid if name != line)
    rigid = (*kept, line) if on else kept
    words = "keeps its shape" if on else "is stretched with the rest"
    return _changed(view, typed, rigid=rigid), f"'{line}' {words} in '{departure.name}'"


def _reorder(view: View, typed: Typed) -> Edited:
    place, departure = _one(view.job, typed)
    to = place + (-1 if typed.get("earlier") else 1)
    order = list(view.job.departures)
    if not 0 <= to < len(order):
        raise JobError(f"'{departure.name}' is at the end of the order already.", "Leave it there.")
    order[place], order[to] = order[to], order[place]
    return _tried(view, tuple(order)), f"departure '{departure.name}' now comes as number {to + 1}"


def _drop(view: View, typed: Typed) -> Edited:
    place, departure = _one(view.job, typed)
    every = view.job.departures
    kept = _tried(view, (*every[:place], *every[place + 1 :]))
    return kept, f"departure '{departure.name}' given up"


def _watch(job: Job, typed: Typed) -> Edited:
    name, line = (str(typed.get(key, "")).strip() for key in ("name", "line"))
    if not name or len(name) > LONGEST_TEXT or name in [d.name for d in job.dimensions]:
        raise JobError(
            f"'{name}' is no name for a new dimension.", "Give it a name of its own, in few words."
        )
    if line not in [spec.name for spec in job.lines]:
        raise JobError(f"There is no line '{line}'.", "Choose one of the lines.")
    of = chosen(typed, "of", KINDS)
    told: dict[str, Any] = {"name": name, "of": of, "line": line}
    if of in ("height", "half-breadth"):
        at = {"length": typed.get("station", "")}
        told["at"] = typed_length(at, "a station", -FARTHEST, FARTHEST)
    new = DimensionSpec.model_validate(told)
    update = {"dimensions": (*job.dimensions, new)}
    return job.model_copy(update=update), f"dimension '{name}' is watched"


def _unwatch(job: Job, typed: Typed) -> Edited:
    name = typed.get("name")
    kept = tuple(one for one in job.dimensions if one.name != name)
    if len(kept) == len(job.dimensions):
        raise JobError(f"'{name}' is not watched.", "Reload the page and try again.")
    return job.model_copy(update={"dimensions": kept}), f"dimension '{name}' no longer watched"


DEPARTURE_EDITS: Mapping[str, Callable[[View, Typed], Edited]] = {
    "add departure": _add,
    "drop departure": _drop,
    "keep rigid": _keep_rigid,
    "order departure": _reorder,
    "resize departure": _resize,
    "switch departure": _switch,
}
DIMENSION_EDITS: Mapping[str, Callable[[Job, Typed], Edited]] = {
    "watch dimension": _watch,
    "drop dimension": _unwatch,
}
"""By the name that the page sends."""
