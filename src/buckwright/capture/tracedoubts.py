"""Doubts about a line from traces, each with what to photograph or trace next."""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.capture.fitting import Fit
from buckwright.capture.precision import Precision
from buckwright.capture.views import Marks, Views
from buckwright.model.finding import Finding
from buckwright.model.pictures import Trace

__all__ = ["line_findings"]

Array = NDArray[np.float64]

_FEW, _POOR = 4, 0.25
_PART = 0.1
"""Share of a line that is worth a word."""
_STRAY = 0.35


def line_findings(
    name: str,
    traces: Sequence[Trace],
    fit: Fit,
    precise: Precision,
    *,
    views: Views,
    marks: Marks,
) -> tuple[Finding, ...]:
    """Everything that the user should know about this line before trusting it."""
    return (
        *_left_out(name, traces, views),
        *_few_pictures(name, views),
        *_badly_placed(name, fit, precise, views),
        *_hidden(name, precise, views),
        *_left_over(name, fit),
        *_stray_traces(name, fit, views, marks),
    )


def _left_out(name: str, traces: Sequence[Trace], views: Views) -> Iterator[Finding]:
    for picture in sorted({t.picture for t in traces} - set(views.names)):
        yield Finding(
            code="trace-left-out",
            where=name,
            message=f"The trace in {picture} does not count: that picture is not solved, or the "
            "trace is only a dot.",
            remedy="Check the picture's name, or take the picture again with the mat in view.",
        )


def _few_pictures(name: str, views: Views) -> Iterator[Finding]:
    count = len(views.names)
    if count < _FEW:
        yield Finding(
            code="few-pictures",
            where=name,
            message=f"The line is traced in {count} pictures only: "
            + ("nothing checks it." if count == 2 else "one wrong trace may spoil it unseen."),
            remedy="Trace it in four or more, from both heights and different sides.",
        )


def _badly_placed(name: str, fit: Fit, precise: Precision, views: Views) -> Iterator[Finding]:
    poor = (precise.conditioning < _POOR) & (precise.views >= 2)
    if poor.mean() < _PART:
        return
    worst = float(precise.sigma[poor].max())
    yield Finding(
        code="badly-placed",
        where=name,
        message=f"Over {100 * poor.mean():.0f} % of the line the pictures look at it from nearly "
        f"the same side: it may be off by {2.0 * worst:.2f} mm.",
        remedy=_next_picture(fit, precise, views, poor),
    )


def _next_picture(fit: Fit, precise: Precision, views: Views, poor: NDArray[np.bool_]) -> str:
    """Where to stand for the picture that is missing."""
    weak = precise.weak[poor]
    middle = fit.curve.control.mean(axis=0)
    ray = views.centre - middle
    height = np.degrees(np.arctan2(ray[:, 2], np.linalg.norm(ray[:, :2], axis=1)))
    if np.mean(np.abs(weak[:, 2])) > 0.8:
        return "Take a picture from low down, square to the line, and trace it there too."
    if float(np.mean(height)) < 35.0:
        return "Take a picture from higher up, 45 degrees or more, and trace it there too."
    return "Take a picture from lower down, 15 to 20 degrees, and trace it there too."


def _hidden(name: str, precise: Precision, views: Views) -> Iterator[Finding]:
    hidden = precise.views < 2
    if len(views.names) >= 2 and hidden.mean() >= 0.5 * _PART:
        yield Finding(
            code="hidden-part",
            where=name,
            message=f"Over {100 * hidden.mean():.0f} % of the line fewer than two pictures show "
            "it: it is carried through there smoothly.",
            remedy="Trace that part in two pictures or more, or add pictures that see it.",
        )


def _left_over(name: str, fit: Fit) -> Iterator[Finding]:
    beyond = float(np.mean((fit.feet.past != 0.0) & ~fit.counts))
    if beyond > _PART:
        yield Finding(
            code="part-not-measured",
            where=name,
            message=f"{100 * beyond:.0f} % of what is traced lies past the ends of what could be "
            "measured: only one picture shows it.",
            remedy="Trace that part in a second picture, or take one that shows it.",
        )


def _stray_traces(name: str, fit: Fit, views: Views, marks: Marks) -> Iterator[Finding]:
    for view, picture in enumerate(views.names):
        mine = (marks.view == view) & (fit.feet.past == 0.0)
        stray = float(np.mean(~fit.counts[mine])) if mine.any() else 1.0
        if stray > _STRAY:
            yield Finding(
                code="trace-strays",
                where=name,
                message=f"In {picture} {100 * stray:.0f} % of the trace does not fit the others.",
                remedy="Check that it follows the same mark there, and trace it again.",
            )
