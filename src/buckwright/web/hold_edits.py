"""Edits of what lines are told to keep: straight runs, end directions, corners, tolerance, weights.

Places come as they were typed, in per cent of the line's length.
"""

from collections.abc import Callable

from buckwright.errors import JobError
from buckwright.lines.hold_choices import (
    FIELDS,
    drop_kept,
    told_hold,
    with_corner,
    with_hold,
    with_straight,
    with_tangent,
    with_tolerance,
    with_weight,
)
from buckwright.model.holds import EndTangent, LineHold
from buckwright.model.job import Job
from buckwright.units import format_length, parse_length
from buckwright.web.typed import Edited, Typed

__all__ = ["HOLD_EDITS"]

END_WORDS = {"first": "first end", "last": "last end"}


def _keep(job: Job, hold: LineHold, words: str) -> Edited:
    holds = with_hold(job.holds, job.lines, hold)
    return job.model_copy(update={"holds": holds}), words


def _hold(job: Job, typed: Typed) -> LineHold:
    return told_hold(job.holds, job.lines, str(typed.get("line", "")))


def _straight(job: Job, typed: Typed) -> Edited:
    hold = _hold(job, typed)
    start, end = _share(typed.get("from")), _share(typed.get("to"))
    words = f"'{hold.line}' is straight from {_said(start)} to {_said(end)}"
    return _keep(job, with_straight(hold, start, end), words)


def _corner(job: Job, typed: Typed) -> Edited:
    hold, at = _hold(job, typed), _share(typed.get("at"))
    return _keep(job, with_corner(hold, at), f"'{hold.line}' may break at {_said(at)}")


def _weight(job: Job, typed: Typed) -> Edited:
    hold = _hold(job, typed)
    start, end = _share(typed.get("from")), _share(typed.get("to"))
    times = _number(typed.get("times"), "how many times points count")
    words = f"points of '{hold.line}' from {_said(start)} to {_said(end)} count {times:g} times"
    return _keep(job, with_weight(hold, start, end, times), words)


def _tangent(job: Job, typed: Typed) -> Edited:
    hold, end, way = _hold(job, typed), str(typed.get("end")), str(typed.get("way"))
    if end not in END_WORDS:
        message = "a line has a first and a last end"
        raise ValueError(message)
    where = f"{END_WORDS[end]} of '{hold.line}'"
    if way == "free":
        return _keep(job, with_tangent(hold, end, None), f"{where} runs as it likes")
    if way not in ("direction", "square", "line"):
        raise JobError(
            "An end runs in a direction, square to the centre plane, or on from a line.",
            "Choose one of these, or leave it free.",
        )
    direction, line, words = None, "", "square to the centre plane"
    if way == "direction":
        direction = _direction(str(typed.get("direction", "")))
        words = f"towards {', '.join(f'{part:g}' for part in direction)}"
    if way == "line":
        line = str(typed.get("other", ""))
        told_hold((), job.lines, line)
        words = f"on from '{line}'"
    tangent = EndTangent.model_validate(
        {"end": end, "way": way, "direction": direction, "line": line}
    )
    return _keep(job, with_tangent(hold, end, tangent), f"{where} runs {words}")


def _tolerance(job: Job, typed: Typed) -> Edited:
    hold, text = _hold(job, typed), str(typed.get("length", "")).strip()
    if not text:
        words = f"tolerance of '{hold.line}' is that of its measuring again"
        return _keep(job, with_tolerance(hold, None), words)
    tolerance = parse_length(text)
    words = f"'{hold.line}' may lie {format_length(tolerance, system='mm')} from its points"
    return _keep(job, with_tolerance(hold, tolerance), words)


def _drop(job: Job, typed: Typed) -> Edited:
    hold, number = _hold(job, typed), typed.get("number")
    kinds = [kind for kind in FIELDS if kind == typed.get("kind")]
    if not kinds or not isinstance(number, int):
        message = "there is nothing of that kind to drop"
        raise ValueError(message)
    kept = drop_kept(hold, kinds[0], number)
    return _keep(job, kept, f"{kinds[0]} of '{hold.line}' taken away")


def _share(value: object) -> float:
    return _number(value, "a place along the line in per cent") / 100.0


def _number(value: object, what: str) -> float:
    text = str(value).replace("%", "").replace(",", ".").strip()
    try:
        return float(text)
    except ValueError:
        raise JobError(f"'{value}' is not {what}.", "Type a number, like 25.") from None


def _direction(text: str) -> tuple[float, float, float]:
    parts = [_number(part, "a direction") for part in text.replace(";", " ").split()]
    if len(parts) != 3:
        raise JobError(
            "A direction needs three numbers.",
            "Type how far it goes rearward, to the right and up, like 1 0 0.2.",
        )
    return parts[0], parts[1], parts[2]


def _said(share: float) -> str:
    return f"{100.0 * share:g} %"


HOLD_EDITS: dict[str, Callable[[Job, Typed], Edited]] = {
    "keep straight": _straight,
    "keep corner": _corner,
    "keep weight": _weight,
    "keep tangent": _tangent,
    "keep tolerance": _tolerance,
    "keep no more": _drop,
}
"""By the name that the page sends."""
