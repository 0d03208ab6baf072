"""Views without a mat in a job: taken in, traced, shown, joined, and made lines of the job."""

from collections.abc import Callable, Sequence
from io import BytesIO
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from buckwright.errors import JobError
from buckwright.files.photographs import read_colours, read_picture_bytes
from buckwright.files.view_tables import space_lines_csv
from buckwright.geometry.polyline import arc_lengths
from buckwright.model.finding import Finding
from buckwright.model.job import Job
from buckwright.model.lines import LineSpec, PlacedLine
from buckwright.model.pictures import Calibration, MeasuredLine, Trace
from buckwright.model.tabled import LineTable
from buckwright.model.views import (
    Hull,
    JoinedViews,
    SpaceLine,
    SquaredView,
    ViewCurve,
    ViewPicture,
    ViewSpec,
    ViewTrace,
)
from buckwright.views import join_views, square_view, view_curves
from buckwright.views.hull import hull_of_outlines, lines_outside
from buckwright.views.outlines import Outline, outlines_of_traces
from buckwright.views.paint import board_of, draw_curves, squared_picture

__all__ = [
    "ViewKeeper",
    "hull_of_job",
    "join_job",
    "keep_joined",
    "keep_view",
    "outline_doubts",
    "shown_view",
    "take_view_picture",
    "view_named",
    "with_trace",
    "with_view",
    "without_view",
]

Array = NDArray[np.float64]

TABLE = "views.csv"
"""The table that lines joined from views are kept as."""
_ROOM = 1.2
"""Height of the box for a hull over the longer side of the mat."""
_CELLS = 80


class ViewKeeper(Protocol):
    """An open job that keeps originals, as `buckwright.store.JobFile` is."""

    def job(self) -> Job:
        """The job as it stands now."""

    def add_blob(self, data: bytes) -> str:
        """Keep these bytes; their SHA-256."""

    def change(self, description: str, job: Job, *, who: str = "") -> int:
        """Replace the job in one transaction that can be undone."""


def view_named(job: Job, name: str) -> ViewSpec:
    """The view of that name; JobError if there is none."""
    for view in job.views:
        if view.name == name:
            return view
    known = ", ".join(f"'{view.name}'" for view in job.views) or "none"
    raise JobError(f"There is no view '{name}'.", f"Views of this job: {known}.")


def take_view_picture(store: ViewKeeper, name: str, data: bytes) -> ViewPicture:
    """A picture kept by its bytes, nothing clicked in it yet; FileError for what is no picture."""
    source, _ = read_picture_bytes(data, name=name)
    store.add_blob(data)
    return ViewPicture(source=source)


def with_view(job: Job, view: ViewSpec) -> Job:
    """The job with the view in place of one of its name; JobError for one that cannot be."""
    square_view(view)
    others = tuple(one for one in job.views if one.name != view.name)
    return job.model_copy(update={"views": (*others, view)})


def without_view(job: Job, name: str) -> Job:
    """The job without that view and its traces."""
    gone = view_named(job, name)
    left = tuple(view for view in job.views if view is not gone)
    return job.model_copy(update={"views": left})


def with_trace(job: Job, name: str, trace: ViewTrace) -> Job:
    """The job with the trace in place of one of its line in that view."""
    view = view_named(job, name)
    others = tuple(one for one in view.traces if one.line != trace.line)
    changed = view.model_copy(update={"traces": (*others, trace)})
    view_curves(changed, square_view(changed))
    views = tuple(changed if one is view else one for one in job.views)
    return job.model_copy(update={"views": views})


def keep_view(store: ViewKeeper, view: ViewSpec) -> None:
    """The view in the job, as one step of its history."""
    store.change(f"view '{view.name}' taken in", with_view(store.job(), view))


def shown_view(
    view: ViewSpec, original: Callable[[str], bytes], *, longest: int = 1600
) -> tuple[bytes, SquaredView, tuple[ViewCurve, ...]]:
    """The squared picture with its lines as a PNG, and what it shows.

    `original` gives the bytes behind a SHA-256.
    """
    squared = square_view(view)
    curves = view_curves(view, squared)
    board = board_of(view, squared, longest=longest)
    colours = {
        picture.source.name: read_colours(original(picture.source.sha256), name=picture.source.name)
        for picture in view.pictures
    }
    drawn = draw_curves(squared_picture(view, squared, board, colours), board, curves)
    out = BytesIO()
    Image.fromarray(drawn).save(out, "PNG", optimize=False)
    return out.getvalue(), squared, curves


def join_job(job: Job) -> JoinedViews:
    """All views of the job in one frame."""
    return join_views(job.views)


def keep_joined(store: ViewKeeper) -> tuple[JoinedViews, LineTable]:
    """The lines that views give, kept in the job as a table of lines at full size.

    An older one is replaced; JobError where no line is given.
    """
    job = store.job()
    joined = join_job(job)
    if not joined.lines:
        raise JobError("The views give no line in space.", "Trace the same lines in two of them.")
    table = LineTable(
        name=TABLE,
        sha256=store.add_blob(space_lines_csv(joined.lines).encode("utf-8")),
        sigma=max(float(np.sqrt(np.mean([np.mean(o.sigma**2) for o in joined.lines]))), 0.01),
        lines=tuple(_placed(line) for line in joined.lines),
    )
    others = tuple(one for one in job.tables if one.name != TABLE)
    known = {spec.name for spec in job.lines}
    specs = [LineSpec(name=o.name, closed=o.closed) for o in joined.lines if o.name not in known]
    changed = job.model_copy(update={"tables": (*others, table), "lines": (*job.lines, *specs)})
    store.change(f"{len(table.lines)} lines taken from {len(job.views)} views", changed)
    return joined, table


def _placed(line: SpaceLine) -> PlacedLine:
    steps = np.diff(arc_lengths(line.points, closed=line.closed))
    keep = np.append(steps > 1e-6, True)[: len(line.points)]
    return PlacedLine(
        name=line.name, points=line.points[keep], sigma=line.sigma[keep], closed=line.closed
    )


def hull_of_job(
    traces: Sequence[Trace],
    calibration: Calibration | None,
    measured: Sequence[MeasuredLine],
    *,
    cell: float = 0.0,
    masks: Sequence[Outline] = (),
) -> Hull:
    """The hull of all closed silhouettes, and the measured lines held to it; mm of the mat.

    Parameters: cell, mm, 0 for an eightieth of what the lines or the mat extend; masks, outlines
    besides those that were traced. Raises JobError where the pictures are not placed yet.
    """
    if calibration is None:
        raise JobError("The pictures are not placed yet.", "Work them out first.")
    outlines = [*outlines_of_traces(traces, calibration), *masks]
    box = _box(calibration, measured)
    cell = cell or _usual_cell(box)
    return hull_of_outlines(outlines, box=box, cell=cell, lines=measured)


def outline_doubts(
    traces: Sequence[Trace], calibration: Calibration, measured: Sequence[MeasuredLine]
) -> tuple[Finding, ...]:
    """Lines that leave an outline of the body grossly, and outlines that cannot be used.

    As far as `hull_of_job` in its usual cells tells, but without carving it.
    """
    try:
        outlines = outlines_of_traces(traces, calibration)
    except JobError as error:
        return (
            Finding(
                code="outline-unusable",
                where="outline",
                message=error.problem,
                remedy=error.remedy,
            ),
        )
    if not outlines:
        return ()
    left = lines_outside(measured, outlines, cell=_usual_cell(_box(calibration, measured)))
    return tuple(
        Finding(
            code="line-outside-outline",
            where=one.line,
            message=f"{100.0 * one.share:.0f} % of it lies outside the outline of the body in "
            f"{one.picture}, by {one.amount:.1f} mm on the model at most.",
            remedy="Look at its traces, and at that outline: one of them follows something else.",
        )
        for one in left
    )


def _usual_cell(box: Array) -> float:
    return float((box[1] - box[0]).max()) / _CELLS


def _box(calibration: Calibration, measured: Sequence[MeasuredLine]) -> Array:
    """Round the lines, a quarter larger; without lines over the whole mat."""
    mat = calibration.mat_points
    ground = float(np.median(mat[:, 2]))
    if measured:
        points = np.vstack([line.points for line in measured])
        low, high = points.min(axis=0), points.max(axis=0)
        room = 0.25 * float((high - low).max())
        low, high = low - room, high + room
        low[2] = ground
        return np.array([low, high])
    low, high = mat.min(axis=0), mat.max(axis=0)
    low[2], high[2] = ground, ground + _ROOM * float((high - low).max())
    return np.array([low, high])
