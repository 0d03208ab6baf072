"""Views without a mat as the page shows them: what each tells, and what is still missing."""

from hashlib import sha256
from typing import Any

import numpy as np

from buckwright.errors import JobError
from buckwright.flow.pieces import on_sheet, sheet_board
from buckwright.geometry.homography import apply_homography
from buckwright.model.job import Job
from buckwright.model.views import VIEW_AXES, Pick, SquaredView, ViewCurve, ViewPicture, ViewSpec
from buckwright.views import square_view, view_curves
from buckwright.web.words import rounded

__all__ = ["joined_rows", "view_rows"]

_GOOD, _FAIR = 0.0005, 0.002
"""Shares of a sheet's diagonal: half a millimetre and two on a metre of paper."""


def view_rows(job: Job) -> list[dict[str, Any]]:
    """Every view with its clicks, and what is known of it or why it is not squared yet."""
    return [_row(view) for view in job.views]


def _row(view: ViewSpec) -> dict[str, Any]:
    axes = VIEW_AXES[view.seen_from]
    row = {
        "name": view.name,
        "seen_from": view.seen_from,
        "axes": ["xyz"[axes.right[0]], "xyz"[axes.up[0]], "xyz"[axes.away[0]]],
        "drawing": view.drawing,
        "pictures": [_picture(picture) for picture in view.pictures],
        "known": [one.model_dump(mode="json") for one in view.known],
        "length": None if view.length is None else view.length.model_dump(mode="json"),
        "plane": view.plane,
        "distance": view.distance,
        "traces": [
            {"line": t.line, "picture": t.picture, "px": rounded(t.px, 1), "closed": t.closed}
            for t in view.traces
        ],
        "squared": None,
        "why": "",
        "curves": [],
        "findings": [],
        **_joined_sheet(view),
    }
    try:
        squared = square_view(view)
        curves = view_curves(view, squared)
    except JobError as error:
        return {**row, "why": f"{error.problem} {error.remedy}"}
    found = (*squared.findings, *(f for curve in curves for f in curve.findings))
    return {
        **row,
        "squared": _squared(squared),
        "curves": [_curve(curve) for curve in curves],
        "findings": [finding.model_dump() for finding in found],
    }


def _picture(picture: ViewPicture) -> dict[str, Any]:
    return {
        "name": picture.source.name,
        "sha256": picture.source.sha256,
        "size": picture.source.size,
        "corners": rounded(picture.corners, 1),
        "corners_at": rounded(picture.corners_at, 3),
        "marks": [{"name": mark.name, "px": mark.px} for mark in picture.marks],
    }


def _joined_sheet(view: ViewSpec) -> dict[str, Any]:
    """Of a drawing in pieces the joined sheet, in its own pixels, or why there is none yet."""
    if len(view.pictures) < 2:
        return {"sheet": None, "sheet_why": ""}
    try:
        sheet, board = shown = sheet_board(view)
    except JobError as error:
        return {"sheet": None, "sheet_why": f"{error.problem} {error.remedy}"}
    size = float(np.hypot(board.columns, board.rows)) * board.mm_per_px
    unit = 1.0 if sheet.to_scale else sheet.squared.mm_per_px

    def at(pick: Pick) -> list[float]:
        return [float(c) for c in on_sheet(view, shown, pick.picture, np.array([pick.px]))[0]]

    length = view.length
    told = {
        "size": [board.columns, board.rows],
        "to_scale": sheet.to_scale,
        "why": sheet.why,
        "places": [
            {
                "name": place.name,
                "at": apply_homography(board.from_plane, np.array([place.at]))[0].tolist(),
                "pieces": list(place.pieces),
                "off": rounded(place.off, 3),
                "rest": place.rest,
                "grade": _grade(float(place.off.max()) * unit / size),
            }
            for place in sheet.places
        ],
        "findings": [finding.model_dump() for finding in sheet.findings],
        "known": [at(one.pick) for one in view.known],
        "length": [] if length is None else [at(length.first), at(length.second)],
        "traces": [
            {"line": t.line, "px": rounded(on_sheet(view, shown, t.picture, t.px), 1)}
            for t in view.traces
        ],
        "stamp": sha256(b"".join(m.tobytes() for m in sheet.squared.to_plane)).hexdigest()[:16],
    }
    return {"sheet": told, "sheet_why": ""}


def _grade(share: float) -> str:
    """How bad a disagreement is that is so large a share of the sheet."""
    return "good" if share < _GOOD else "fair" if share < _FAIR else "bad"


def _squared(squared: SquaredView) -> dict[str, Any]:
    return {
        "mm_per_px": squared.mm_per_px,
        "distance": squared.distance,
        "distance_sigma": squared.distance_sigma,
        "residual": squared.residual,
        "worst": squared.worst,
    }


def _curve(curve: ViewCurve) -> dict[str, Any]:
    return {
        "name": curve.line,
        "parallax": float(curve.parallax.max()),
        "band": float(curve.band.max()),
        "sigma": float((curve.sigma**2).mean() ** 0.5),
    }


def joined_rows(job: Job) -> dict[str, Any]:
    """The views in one frame, or why they cannot be joined."""
    from buckwright.views import join_views

    try:
        joined = join_views(job.views)
    except JobError as error:
        return {"why": f"{error.problem} {error.remedy}", "shifts": [], "apart": [], "lines": []}
    return {
        "why": "",
        "rms": joined.rms,
        "shifts": [shift.model_dump(mode="json") for shift in joined.shifts],
        "apart": [one.model_dump(mode="json") for one in joined.apart[:24]],
        "lines": [
            {
                "name": line.name,
                "views": list(line.views),
                "sigma": float((line.sigma**2).mean() ** 0.5),
                "closed": line.closed,
                "points": rounded(line.points, 1),
            }
            for line in joined.lines
        ],
        "findings": [
            f.model_dump()
            for f in (*joined.findings, *(f for o in joined.lines for f in o.findings))
        ],
    }
