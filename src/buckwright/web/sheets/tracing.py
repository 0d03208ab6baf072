"""What the page needs to trace on one picture: its traces, guides, and epipolar bands."""

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.capture.guides import epipolar_bands, model_box, projected_pieces
from buckwright.model.job import Job, Products
from buckwright.model.pictures import (
    Calibration,
    MeasuredLine,
    Picture,
    PictureSource,
    Trace,
)
from buckwright.web.words import rounded

__all__ = ["line_content", "thinned", "trace_content", "tracing_content"]

Array = NDArray[np.float64]

_THIN_PX, _SPARSE = 0.4, 40
_MOST_BANDS = 14
"""More would hide the picture."""


def thinned(px: Array, by: float = _THIN_PX) -> Array:
    """The polyline (n, 2) with as few points as stay within `by` px of it."""
    if len(px) < 3:
        return px
    return np.asarray(shapely.LineString(px).simplify(by).coords, dtype=np.float64)


def tracing_content(
    job: Job, products: Products, source: PictureSource, line: str
) -> dict[str, Any]:
    """Everything about a picture and the line that is being traced on it ('' for none)."""
    solved = products.calibration
    picture = None if solved is None else _picture(solved, source.name)
    here = [(n, trace) for n, trace in enumerate(job.traces) if trace.picture == source.name]
    known = tuple(one.points for one in products.measured)
    return {
        "name": source.name,
        "sha256": source.sha256,
        "size": source.size,
        "turned": source.turned,
        "placed": picture is not None,
        "lines": _lines(job, source.name),
        "traces": [trace_content(n, trace) for n, trace in here],
        "guides": [] if picture is None else [_guide(one, picture) for one in products.measured],
        "bands": []
        if picture is None or solved is None or not line or not (known or len(solved.mat_points))
        else _bands(job, solved, picture, line, model_box(solved, known)),
        "space": [
            {"line": one.name, "closed": one.closed, "points": rounded(_sparse(one.points), 1)}
            for one in products.measured
        ],
        "others": sorted({t.picture for t in job.traces if t.line == line} - {source.name}),
    }


def trace_content(place: int, trace: Trace) -> dict[str, Any]:
    """A trace as the page draws and changes it; without clicks its points are the clicks."""
    by_hand = trace.kind in ("hand", "point")
    return {
        "place": place,
        "line": trace.line,
        "kind": trace.kind,
        "closed": trace.closed,
        "clicks": rounded(trace.px if by_hand else trace.clicks, 3),
        "px": [] if by_hand else rounded(trace.px, 3),
        "sigma": [] if by_hand else rounded(trace.sigma, 3),
    }


def line_content(line: MeasuredLine, picture: Picture | None) -> dict[str, Any]:
    """A line in space as far as it is known, and where it lies in the picture."""
    pieces = [] if picture is None else projected_pieces(line.points, picture, closed=line.closed)
    return {
        "name": line.name,
        "closed": line.closed,
        "points": rounded(line.points, 3),
        "sigma": rounded(line.sigma, 4),
        "conditioning": rounded(line.conditioning, 3),
        "pictures": list(line.pictures),
        "residual": line.residual_px,
        "pieces": [rounded(thinned(piece), 1) for piece in pieces],
        "findings": [finding.model_dump() for finding in line.findings],
    }


def _sparse(points: Array) -> Array:
    """Few enough points to send, both ends among them."""
    count = min(len(points), _SPARSE)
    return np.asarray(points[np.linspace(0, len(points) - 1, count).round().astype(int)])


def _picture(solved: Calibration, name: str) -> Picture | None:
    return next((picture for picture in solved.pictures if picture.name == name), None)


def _lines(job: Job, picture: str) -> list[dict[str, Any]]:
    """Lines of the job first, then what only traces name: outlines and marked points."""
    named: list[tuple[str, str, bool]] = [(s.name, s.mark, s.closed) for s in job.lines]
    known = {name for name, _, _ in named}
    loose = {t.line: t.kind for t in job.traces if t.line not in known}
    named += [(name, "tape" if kind == "hand" else kind, False) for name, kind in loose.items()]
    return [
        {
            "name": name,
            "kind": kind,
            "closed": closed,
            "pictures": len({t.picture for t in job.traces if t.line == name}),
            "here": any(t.line == name and t.picture == picture for t in job.traces),
        }
        for name, kind, closed in named
    ]


def _guide(line: MeasuredLine, picture: Picture) -> dict[str, Any]:
    pieces = projected_pieces(line.points, picture, closed=line.closed)
    return {"line": line.name, "pieces": [rounded(thinned(piece), 1) for piece in pieces]}


def _bands(
    job: Job, solved: Calibration, picture: Picture, line: str, box: Array
) -> list[dict[str, Any]]:
    """Bands of clicks of the same line in the picture where it was traced last."""
    others = [
        (trace, seen_in)
        for trace in job.traces
        if trace.line == line
        and trace.picture != picture.name
        and (seen_in := _picture(solved, trace.picture)) is not None
    ]
    last = others[-1][0].picture if others else ""
    return [_band(trace, one, picture, box) for trace, one in others if trace.picture == last]


def _band(trace: Trace, seen_in: Picture, picture: Picture, box: Array) -> dict[str, Any]:
    """The curves of some of a trace's clicks, with the numbers of these, counted from 1."""
    places = trace.clicks if len(trace.clicks) else trace.px
    count = min(len(places), _MOST_BANDS)
    some = np.unique(np.linspace(0, len(places) - 1, count).round().astype(int))
    try:
        bands = epipolar_bands(places[some], seen_in, picture, box)
    except ValueError:
        # Clicks at the rim of a picture may lie where its lens's model ends.
        bands = []
    return {
        "picture": trace.picture,
        "closed": trace.closed,
        "numbers": (some + 1).tolist(),
        "bands": [rounded(px, 1) for px, _ in bands],
    }
