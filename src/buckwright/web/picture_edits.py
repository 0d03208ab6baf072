"""Edits of a shoot: which mat it stood on, its measured bars, pictures taken out."""

from collections.abc import Callable

from buckwright.errors import JobError
from buckwright.flow.cardbars import CardMark, keep_card_bar, take_card_bar_off
from buckwright.model.job import Job
from buckwright.model.mats import MAT_KINDS, printed_bars, printed_mat, typed_bar
from buckwright.units import parse_length
from buckwright.web.desk import View
from buckwright.web.typed import Edited, Typed, chosen, in_words, typed_count

__all__ = ["CARD_EDITS", "PICTURE_EDITS"]

_LIKELY = 0.03
"""A print that differs more from its drawing is a typing mistake."""
_MOST_BOARDS = 200


def _set_mat(job: Job, typed: Typed) -> Edited:
    kind = chosen(typed, "kind", tuple(MAT_KINDS))
    count = None
    if MAT_KINDS[kind].several and str(typed.get("count", "")).strip():
        count = typed_count(typed, "count", "the number of boards", 1, _MOST_BOARDS)
    try:
        mat = printed_mat(kind, count)
    except ValueError:
        raise JobError(f"There are not marks enough for {count} boards.", "Type fewer.") from None
    words = f"the mat is now {kind}" + (f", {mat.cards} boards" if mat.cards > 1 else "")
    return job.model_copy(update={"mat": mat}), words


def _measure_bar(job: Job, typed: Typed) -> Edited:
    if job.mat is None:
        raise JobError("The job has no mat.", "Say which mat the model stood on.")
    bars = {bar.name: bar for bar in printed_bars(job.mat)}
    bar = bars[chosen(typed, "name", tuple(bars))]
    text = str(typed.get("length", "")).strip()
    if not text:
        mat = typed_bar(job.mat, bar, None)
        return job.model_copy(update={"mat": mat}), f"{bar.name} of the mat is not measured"
    length = parse_length(text)
    if abs(length / bar.drawn - 1.0) > _LIKELY:
        raise JobError(
            f"{in_words(length)} cannot be {bar.name}, which was drawn {in_words(bar.drawn)} long.",
            "Measure it again, from corner to corner of the squares at its ticks.",
        )
    mat = typed_bar(job.mat, bar, length)
    words = f"{bar.name} of the mat measures {length:.2f} mm"
    return job.model_copy(update={"mat": mat}), words


def _take_out(job: Job, typed: Typed) -> Edited:
    name = chosen(typed, "name", [source.name for source in job.pictures])
    traced = sum(trace.picture == name for trace in job.traces)
    changed = job.model_copy(
        update={
            "pictures": tuple(source for source in job.pictures if source.name != name),
            "traces": tuple(trace for trace in job.traces if trace.picture != name),
        }
    )
    return changed, f"picture {name} taken out" + (f" with {traced} traces" if traced else "")


def _card_bar(view: View, typed: Typed) -> Edited:
    first, second = (_mark(typed, end) for end in ("first", "second"))
    job, text = view.job, str(typed.get("sigma", "")).strip()
    mm = parse_length(str(typed.get("length", "")))
    mat = keep_card_bar(
        job.mat,
        first,
        second,
        mm=mm,
        sigma=parse_length(text) if text else 0.0,
        solved=view.products.calibration,
    )
    words = f"card {first[0]} to card {second[0]} measures {mm:.2f} mm"
    return job.model_copy(update={"mat": mat}), words


def _mark(typed: Typed, end: str) -> CardMark:
    told = typed.get(end)
    if not isinstance(told, list) or len(told) != 3 or not all(type(k) is int for k in told):
        message = "a mark has a card, a column and a row"
        raise ValueError(message)
    return told[0], told[1], told[2]


def _card_bar_off(job: Job, typed: Typed) -> Edited:
    number = typed.get("number")
    if not isinstance(number, int) or isinstance(number, bool):
        message = "which length is not said"
        raise ValueError(message)
    mat = take_card_bar_off(job.mat, number)
    return job.model_copy(update={"mat": mat}), f"length {number} between cards taken off"


CARD_EDITS: dict[str, Callable[[View, Typed], Edited]] = {"card bar": _card_bar}
"""Those that are held against the pictures as worked out."""
PICTURE_EDITS: dict[str, Callable[[Job, Typed], Edited]] = {
    "mat": _set_mat,
    "mat bar": _measure_bar,
    "card bar off": _card_bar_off,
    "picture out": _take_out,
}
"""By the name that the page sends."""
