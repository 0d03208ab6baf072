"""Edits of lines that are moved by hand: pins pulled, typed and taken away; the hand's battens."""

from collections.abc import Callable
from math import isfinite
from typing import Any

from buckwright.errors import JobError
from buckwright.lines.departing import place_on_reference
from buckwright.model.job import Job
from buckwright.model.lines import BattenChoice, Pin
from buckwright.units import parse_length
from buckwright.web.desk import View
from buckwright.web.typed import Edited, Typed, in_words

__all__ = ["BATTENS", "LINE_EDITS", "PIN_EDITS"]

AXES = {"x": "station", "y": "half-breadth", "z": "height"}

BATTENS = {"limber": 1 / 64, "ordinary": 1.0, "stiff": 64.0, "very stiff": 4096.0}
"""Stiffness beside the ordinary one; each gives way over twice the length of the one before."""

FARTHEST = 20_000.0
"""mm from the front axle; no body reaches farther."""


def _pull(job: Job, typed: Typed) -> Edited:
    """A new pin, or the one at place 'pin' moved; the page gives millimetres on the reference."""
    line, place = str(typed.get("line", "")), typed.get("pin")
    _known(job, line)
    old = None if place is None else _pin(job, place)
    point = tuple(_coordinate(value) for value in _three(typed.get("point")))
    share, by = _finite(typed.get("share")), _finite(typed.get("by"))
    reason = "" if old is None else old.reason
    pin = Pin(line=line, share=share, point=(point[0], point[1], point[2]), reason=reason)
    pins = list(job.pins)
    if place is None:
        pins.append(pin)
    else:
        pins[int(place)] = pin
    return job.model_copy(update={"pins": tuple(pins)}), f"'{line}' pulled by {in_words(by)}"


def _drop(job: Job, typed: Typed) -> Edited:
    pin, place = _pin(job, typed.get("pin")), typed["pin"]
    pins = job.pins[:place] + job.pins[place + 1 :]
    return job.model_copy(update={"pins": pins}), f"pin of '{pin.line}' taken away"


def _set_coordinate(view: View, typed: Typed) -> Edited:
    """One coordinate of a pin as the body now stands; an empty text leaves it to the line."""
    job = view.job
    pin, axis, text = _pin(job, typed.get("pin")), typed.get("axis"), str(typed.get("length", ""))
    if axis not in AXES:
        message = "there is no such axis"
        raise ValueError(message)
    number = "xyz".index(axis)
    value = None
    if text.strip():
        now = parse_length(text)
        if axis == "y":
            now = abs(now) if float(typed.get("side", 1.0)) >= 0.0 else -abs(now)
        value = _before_departures(view, pin, axis, now)
    point: list[float | None] = list(pin.point)
    point[number] = value
    if all(one is None for one in point):
        raise JobError(f"The pin of '{pin.line}' would hold nothing.", "Take the pin away instead.")
    words = "left to the line" if value is None else f"now {text.strip()}"
    pins = list(job.pins)
    pins[int(typed["pin"])] = pin.model_copy(update={"point": (point[0], point[1], point[2])})
    told = f"{AXES[axis]} of a pin of '{pin.line}' {words}"
    return job.model_copy(update={"pins": tuple(pins)}), told


def _before_departures(view: View, pin: Pin, axis: str, now: float) -> float:
    """The coordinate on the reference, before zones and before what families took along."""
    reference = view.products.lines
    if reference is None:
        return place_on_reference(axis, now, view.job.departures)
    value = place_on_reference(axis, now, reference.zones_in_force(view.job.departures))
    if reference.moved is None:
        return value
    moved, before = (
        network.line(pin.line).curve()(pin.share)
        for network in (reference.moved, reference.reference)
    )
    return value - float((moved - before)["xyz".index(axis)])


def _give_reason(job: Job, typed: Typed) -> Edited:
    pin, reason = _pin(job, typed.get("pin")), str(typed.get("text", "")).strip()
    if len(reason) > 200:
        raise JobError("That is too long for a reason.", "Say it in one sentence.")
    pins = list(job.pins)
    pins[int(typed["pin"])] = pin.model_copy(update={"reason": reason})
    return job.model_copy(update={"pins": tuple(pins)}), f"'{pin.line}' was pulled for: {reason}"


def _choose_batten(job: Job, typed: Typed) -> Edited:
    line, name = str(typed.get("line", "")), str(typed.get("batten", ""))
    _known(job, line)
    if name not in BATTENS:
        raise JobError(f"There is no batten '{name}'.", f"Choose {', '.join(BATTENS)}.")
    other = {spec.name: spec.mirror for spec in job.lines}.get(line)
    kept = [choice for choice in job.battens if choice.line not in (line, other)]
    if BATTENS[name] != 1.0:
        kept.append(BattenChoice(line=line, stiffness=BATTENS[name]))
    return job.model_copy(update={"battens": tuple(kept)}), f"batten of '{line}' is now {name}"


def _known(job: Job, line: str) -> None:
    if line not in [spec.name for spec in job.lines]:
        raise JobError(f"There is no line '{line}'.", "Reload the page and try again.")


def _pin(job: Job, place: Any) -> Pin:
    if not isinstance(place, int) or not 0 <= place < len(job.pins):
        raise JobError("That pin is gone.", "Reload the page and try again.")
    return job.pins[place]


def _three(values: Any) -> list[Any]:
    if not isinstance(values, list) or len(values) != 3:
        message = "a pin has three coordinates"
        raise ValueError(message)
    return values


def _coordinate(value: Any) -> float | None:
    if value is None:
        return None
    number = _finite(value)
    if abs(number) > FARTHEST:
        raise JobError("That is farther away than any body reaches.", "Pull it less far.")
    return number


def _finite(value: Any) -> float:
    if not isinstance(value, int | float) or not isfinite(value):
        message = "a number is missing"
        raise ValueError(message)
    return float(value)


LINE_EDITS: dict[str, Callable[[Job, Typed], Edited]] = {
    "pull line": _pull,
    "drop pin": _drop,
    "pin reason": _give_reason,
    "batten": _choose_batten,
}
"""By the name that the page sends."""

PIN_EDITS: dict[str, Callable[[View, Typed], Edited]] = {"pin coordinate": _set_coordinate}
"""Those that need the lines as they were worked out."""
