"""Edits of traces: clicks set and moved, stretches hidden, whole files taken in.

Each is one step of the job's history; what cannot be is refused with one sentence.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any, get_args

import numpy as np
from numpy.typing import NDArray

from buckwright.capture.clicks import check_clicks, clicks_along, hide_stretch
from buckwright.capture.snapping import Snapped
from buckwright.errors import JobError
from buckwright.files.mats import traces_in
from buckwright.model.job import Job
from buckwright.model.lines import LineSpec
from buckwright.model.pictures import PictureSource, Trace, TraceKind
from buckwright.web.typed import Edited, Typed

__all__ = ["TRACE_EDITS", "Snap", "read_clicks", "source_of"]

Array = NDArray[np.float64]
Snap = Callable[[str, Array, Any, bool], Snapped]
"""A picture's hash, clicks, kind and whether it is closed -> the snapped trace."""

KINDS: tuple[str, ...] = get_args(TraceKind)
_WORDS = {"tape": "tape", "edge": "edge", "silhouette": "outline", "point": "marked point"}
LONGEST_NAME = 60


def _set_trace(job: Job, typed: Typed, snap: Snap) -> Edited:
    """A new trace, or the one at 'place' with other clicks."""
    source = source_of(job, typed)
    old = None if typed.get("place") is None else _trace_at(job, typed)
    line = _name(typed)
    kind = _kind(typed)
    closed = bool(typed.get("closed", False))
    clicks = read_clicks(typed)
    job = _with_line(job, line, kind, closed=closed)
    trace = _made(source, line, kind, clicks, closed=closed, snap=snap)
    words = f"'{line}' traced in {source.name}: {_counted(len(clicks), 'click')}"
    if kind == "point":
        words = f"point '{line}' marked in {source.name}"
    return _placed(job, trace, None if old is None else int(typed["place"])), words


def _made(
    source: PictureSource, line: str, kind: TraceKind, clicks: Array, *, closed: bool, snap: Snap
) -> Trace:
    if kind == "point":
        return _point(source, line, clicks)
    check_clicks(clicks, line=line, picture=source.name, size=source.size, closed=closed)
    if kind == "hand":
        return Trace(line=line, picture=source.name, px=clicks, closed=closed)
    found = snap(source.sha256, clicks, kind, closed)
    if kind == "silhouette" and not found.seen.any():
        raise JobError(
            f"No outline is to be seen along the clicks in {source.name}.",
            "Click where the model stands out from what is behind it.",
        )
    return Trace(
        line=line,
        picture=source.name,
        px=found.points.round(3),
        kind=kind,
        closed=closed,
        clicks=clicks,
        sigma=found.sigma.round(3),
    )


def _point(source: PictureSource, line: str, clicks: Array) -> Trace:
    if len(clicks) != 1:
        raise JobError(f"The point {line} is one place.", "Click once.")
    if not np.all(np.isfinite(clicks)):
        raise JobError(f"The point {line} has a click that is no number.", "Set it again.")
    if np.any((clicks < -0.5) | (clicks > np.array(source.size) - 0.5)):
        raise JobError(
            f"The point {line} lies outside of {source.name}.", "Set it inside the picture."
        )
    return Trace(line=line, picture=source.name, px=clicks, kind="point")


def _drop(job: Job, typed: Typed, _: Snap) -> Edited:
    trace = _trace_at(job, typed)
    place = int(typed["place"])
    traces = job.traces[:place] + job.traces[place + 1 :]
    words = f"trace of '{trace.line}' in {trace.picture} taken away"
    return job.model_copy(update={"traces": traces}), words


def _hide(job: Job, typed: Typed, snap: Snap) -> Edited:
    """A stretch between two clicks that cannot be seen: what is left are two traces, or one."""
    trace, source = _trace_at(job, typed), source_of(job, typed)
    if trace.kind == "point":
        message = "a point has no stretches"
        raise ValueError(message)
    stretch = typed.get("stretch")
    if isinstance(stretch, bool) or not isinstance(stretch, int):
        message = "a stretch is a number"
        raise ValueError(message)
    clicks = trace.clicks if len(trace.clicks) else trace.px
    left = [part for part in hide_stretch(clicks, stretch, closed=trace.closed) if len(part) > 1]
    if not left:
        raise JobError(
            f"Nothing would be left of the trace of {trace.line} in {trace.picture}.",
            "Take the whole trace away instead.",
        )
    place = int(typed["place"])
    made = [_made(source, trace.line, trace.kind, part, closed=False, snap=snap) for part in left]
    traces = (*job.traces[:place], made[0], *job.traces[place + 1 :], *made[1:])
    words = f"a stretch of '{trace.line}' in {trace.picture} hidden"
    return job.model_copy(update={"traces": traces}), words


def _snap_anew(job: Job, typed: Typed, snap: Snap) -> Edited:
    """A trace that was made by hand, or on another mark, snapped to tape or edge."""
    trace, source, kind = _trace_at(job, typed), source_of(job, typed), _kind(typed)
    if trace.kind == "point" or kind == "point":
        message = "a point is not snapped"
        raise ValueError(message)
    by_hand = len(trace.clicks) == 0
    clicks = clicks_along(trace.px, closed=trace.closed) if by_hand else trace.clicks
    _with_line(job, trace.line, kind, closed=trace.closed)
    made = _made(source, trace.line, kind, clicks, closed=trace.closed, snap=snap)
    words = f"trace of '{trace.line}' in {trace.picture} snapped to the {_WORDS.get(kind, 'hand')}"
    if kind == "hand":
        words = f"trace of '{trace.line}' in {trace.picture} left as clicked"
    return _placed(job, made, int(typed["place"])), words


def _turn_round(job: Job, typed: Typed, _: Snap) -> Edited:
    """The same trace from its other end, so that it can be gone on with there."""
    trace = _trace_at(job, typed)
    turned = trace.model_copy(
        update={key: getattr(trace, key)[::-1] for key in ("px", "clicks", "sigma")}
    )
    turned = Trace.model_validate(turned.model_dump())
    words = f"trace of '{trace.line}' in {trace.picture} turned round"
    return _placed(job, turned, int(typed["place"])), words


def _take_file(job: Job, typed: Typed, _: Snap) -> Edited:
    """The traces of a file instead of those of the same line in the same picture."""
    name = str(typed.get("name", "traces.json"))[:LONGEST_NAME]
    taken = traces_in(typed.get("content"), Path(name))
    known = {source.name for source in job.pictures}
    strange = sorted({trace.picture for trace in taken} - known)
    if strange:
        raise JobError(
            f"{name} traces {strange[0]}, which is no picture of this job.",
            "Take the picture in first, or mend the name in the file.",
        )
    for trace in taken:
        job = _with_line(job, trace.line, trace.kind, closed=trace.closed)
    anew = {(trace.line, trace.picture) for trace in taken}
    kept = tuple(trace for trace in job.traces if (trace.line, trace.picture) not in anew)
    words = f"{_counted(len(taken), 'trace')} taken in from {name}"
    return job.model_copy(update={"traces": (*kept, *taken)}), words


def _with_line(job: Job, line: str, kind: TraceKind, *, closed: bool) -> Job:
    """The job, with the line added if it is new; JobError if the name means something else."""
    spec = next((spec for spec in job.lines if spec.name == line), None)
    others = {trace.kind for trace in job.traces if trace.line == line}
    for single in ("point", "silhouette"):
        if single == kind and (spec is not None or others - {single}):
            raise _taken(line, "a line", _WORDS[single])
        if single in others and single != kind:
            raise _taken(line, f"a {_WORDS[single]}".replace("a o", "an o"), _WORDS.get(kind, kind))
    if kind in ("point", "silhouette"):
        return job
    if spec is None:
        mark = "edge" if kind == "edge" else "tape"
        return job.model_copy(
            update={"lines": (*job.lines, LineSpec(name=line, mark=mark, closed=closed))}
        )
    if kind in ("tape", "edge") and spec.mark != kind:
        raise _taken(line, f"a line along {_article(spec.mark)}", _article(kind))
    return job


def _article(word: str) -> str:
    return f"an {word}" if word[0] in "aeiou" else f"a {word}"


def _taken(line: str, what: str, asked: str) -> JobError:
    return JobError(
        f"'{line}' is {what} already, not {asked.removeprefix('a ').removeprefix('an ')}.",
        "Give it another name, or choose the kind that it is.",
    )


def _placed(job: Job, trace: Trace, place: int | None) -> Job:
    traces = list(job.traces)
    if place is None:
        traces.append(trace)
    else:
        traces[place] = trace
    return job.model_copy(update={"traces": tuple(traces)})


def _trace_at(job: Job, typed: Typed) -> Trace:
    """The trace at 'place', if it still is the one in that picture that the page means."""
    place = typed.get("place")
    if isinstance(place, int) and not isinstance(place, bool) and 0 <= place < len(job.traces):
        trace = job.traces[place]
        if trace.picture == typed.get("picture"):
            return trace
    raise JobError("That trace is gone.", "Look at the picture again, and trace it anew.")


def source_of(job: Job, typed: Typed) -> PictureSource:
    """The picture that is named; JobError if there is none."""
    for source in job.pictures:
        if source.name == typed.get("picture"):
            return source
    raise JobError("There is no such picture in this job.", "Reload the page.")


def read_clicks(typed: Typed) -> Array:
    """(n, 2) the clicks as sent; JobError for what is no number, ValueError for what is no list."""
    clicks = typed.get("clicks")
    if not isinstance(clicks, list) or not all(
        isinstance(click, list) and len(click) == 2 for click in clicks
    ):
        message = "clicks must be pairs"
        raise ValueError(message)
    if not all(isinstance(v, int | float) for click in clicks for v in click):
        raise JobError("A click is no number.", "Set that click again.")
    return np.array(clicks, dtype=np.float64).reshape(-1, 2).round(3)


def _name(typed: Typed) -> str:
    name = " ".join(str(typed.get("line", "")).split())
    if not name or len(name) > LONGEST_NAME:
        raise JobError("The line needs a short name.", "Type one, like 'belt left'.")
    return name


def _kind(typed: Typed) -> TraceKind:
    kind = typed.get("kind")
    if kind not in KINDS:
        message = "there is no such kind of trace"
        raise ValueError(message)
    return kind  # type: ignore[no-any-return]


def _counted(number: int, one: str) -> str:
    return f"{number} {one}{'' if number == 1 else 's'}"


TRACE_EDITS: dict[str, Callable[[Job, Typed, Snap], Edited]] = {
    "set trace": _set_trace,
    "drop trace": _drop,
    "hide stretch": _hide,
    "snap trace": _snap_anew,
    "turn trace": _turn_round,
    "take traces": _take_file,
}
"""By the name that the page sends."""
