"""One line in space from its traces as they stand, without working the whole job out."""

import threading
from hashlib import sha256

from buckwright.capture.line import line_from_traces
from buckwright.model.job import Job
from buckwright.model.pictures import Calibration, MeasuredLine

__all__ = ["TracedLines"]

_KEPT = 60


class TracedLines:
    """The lines solved last; safe to use from several threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._cameras: Calibration | None = None
        self._kept: dict[str, MeasuredLine] = {}

    def line(self, job: Job, calibration: Calibration, name: str) -> MeasuredLine:
        """The line of that name in millimetres of the mat, by the cameras as they are known.

        Raises JobError where its traces give none yet, KeyError where the job has no such line.
        """
        specs = {spec.name: spec for spec in job.lines}
        closed = specs[name].closed
        traces = [trace for trace in job.traces if trace.line == name and trace.on_body]
        told = [name, str(closed), *(trace.model_dump_json() for trace in traces)]
        key = sha256("".join(told).encode()).hexdigest()
        with self._lock:
            if self._cameras is not calibration:
                self._cameras, self._kept = calibration, {}
            if key in self._kept:
                return self._kept[key]
        found = line_from_traces(name, traces, calibration, closed=closed)
        with self._lock:
            while len(self._kept) >= _KEPT:
                self._kept.pop(next(iter(self._kept)))
            if self._cameras is calibration:
                self._kept[key] = found
        return found
