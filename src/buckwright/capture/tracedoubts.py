"""Doubts about a line from traces, each with what to photograph or trace next."""

from collections.abc import Callable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.capture.fitting import Fit
from buckwright.capture.nextpicture import next_picture
from buckwright.capture.precision import Precision
from buckwright.capture.shoot import side_words
from buckwright.capture.views import Marks, Views
from buckwright.model.finding import Finding
from buckwright.model.pictures import Trace

__all__ = ["line_findings"]

Array = NDArray[np.float64]

_FEW, _POOR = 4, 0.25
_PART = 0.1
"""Share of a line that is worth a word."""
_STRAY = 0.35
_OTHER_HEIGHT = np.radians(10.0)


def line_findings(
    name: str,
    traces: Sequence[Trace],
    fit: Fit,
    precise: Precision,
    *,
    at: Array,
    views: Views,
    marks: Marks,
) -> tuple[Finding, ...]:
    """Everything that the user should know about this line before trusting it.

    `at` (n,) are the parameters of the points that `precise` is about.
    """

    def wanted() -> str:
        return _wanted(at, fit, precise, views)

    return (
        *_left_out(name, traces, views),
        *_few_pictures(name, views, wanted),
        *_badly_placed(name, precise, wanted),
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


def _few_pictures(name: str, views: Views, wanted: Callable[[], str]) -> Iterator[Finding]:
    count = len(views.names)
    if count < _FEW:
        yield Finding(
            code="few-pictures",
            where=name,
            message=f"The line is traced in {count} pictures only: "
            + ("nothing checks it." if count == 2 else "one wrong trace may spoil it unseen."),
            remedy=wanted() or "Trace it in four or more, from both heights and different sides.",
        )


def _badly_placed(name: str, precise: Precision, wanted: Callable[[], str]) -> Iterator[Finding]:
    poor = (precise.conditioning < _POOR) & (precise.views >= 2)
    if poor.mean() < _PART:
        return
    worst = float(precise.sigma[poor].max())
    yield Finding(
        code="badly-placed",
        where=name,
        message=f"Over {100 * poor.mean():.0f} % of the line the pictures look at it from nearly "
        f"the same side: it may be off by {2.0 * worst:.2f} mm.",
        remedy=wanted() or "Take a picture from another height, and trace it there too.",
    )


def _wanted(at: Array, fit: Fit, precise: Precision, views: Views) -> str:
    """Where to stand for the picture that is missing, and what it is worth."""
    best = next_picture(at, fit, precise, views)
    if best is None:
        return ""
    ray = views.centre - fit.curve.points(at).mean(axis=0)
    height = float(np.mean(np.arctan2(ray[:, 2], np.linalg.norm(ray[:, :2], axis=1))))
    way = ""
    if abs(best.height - height) > _OTHER_HEIGHT:
        way = "higher up, " if best.height > height else "lower down, "
    return (
        f"Take a picture from {way}about {np.degrees(best.height):.0f} degrees, "
        f"{side_words(best.azimuth)} of the mat, and trace it there too: the hand's share of "
        f"the doubt falls from {best.now:.2f} to {best.then:.2f} mm where it is worst."
    )


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
