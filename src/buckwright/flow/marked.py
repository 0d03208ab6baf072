"""Marked points of a job's pictures: those that can be measured, and a word on the others."""

from collections.abc import Sequence

from buckwright.capture import point_from_traces
from buckwright.errors import JobError
from buckwright.model.finding import Finding
from buckwright.model.pictures import Calibration, Trace
from buckwright.model.points import MeasuredPoint

__all__ = ["measure_points"]


def measure_points(
    traces: Sequence[Trace], calibration: Calibration
) -> tuple[tuple[MeasuredPoint, ...], tuple[Finding, ...]]:
    """The points marked in two placed pictures or more; findings name the others and say why."""
    points, waiting = [], []
    marks = [trace for trace in traces if trace.kind == "point"]
    for name in dict.fromkeys(mark.line for mark in marks):
        own = [mark for mark in marks if mark.line == name]
        try:
            points.append(point_from_traces(name, own, calibration))
        except JobError as error:
            waiting.append(
                Finding(
                    code="point-not-measured",
                    where=name,
                    message=error.problem,
                    remedy=error.remedy,
                )
            )
    return tuple(points), tuple(waiting)
