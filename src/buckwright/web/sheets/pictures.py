"""What do we have? Photographs with their traces, and where the cameras stood."""

from typing import Any

import numpy as np

from buckwright.geometry.camera import camera_centre, rotation_matrix
from buckwright.model.job import Job, Products
from buckwright.model.pictures import Calibration, MeasuredLine, PictureSource
from buckwright.model.points import MeasuredPoint
from buckwright.web.sheets.shoot import shoot_rows
from buckwright.web.sheets.singleviews import view_rows
from buckwright.web.sheets.tracing import thinned
from buckwright.web.words import Words, counted, figure, fine, rounded

__all__ = ["answer", "detail"]


def answer(job: Job, products: Products) -> Words | None:
    """How many pictures are placed, how well, and how true a length is."""
    solved = products.calibration
    if solved is None:
        return None
    words: Words = [
        figure(f"{len(solved.pictures)} of {len(job.pictures)}"),
        " pictures are placed, their corners to ",
        figure(f"{solved.residual_px:.2f} px"),
    ]
    if solved.scale == "bar":
        words += ["; any length is true to ", figure(f"{100 * solved.scale_sigma:.2g} %"), "."]
    else:
        words += ["; the scale is not measured yet."]
    if products.measured:
        doubt = float(np.median([_doubt(line) for line in products.measured]))
        lines = counted(len(products.measured), "line")
        words += [" They give ", lines, ", each good to about ", fine(doubt), " on the model."]
    return words


def detail(job: Job, products: Products) -> dict[str, Any]:
    """Pictures with traces and cameras, the lines measured from them, and the mat."""
    solved = products.calibration
    mat = job.mat
    size = None if mat is None else [mat.square_mm * mat.squares[0], mat.square_mm * mat.squares[1]]
    return {
        "pictures": [_picture(job, source, solved) for source in job.pictures],
        "measured": [_measured(line) for line in products.measured],
        "points": [_point(point) for point in products.points],
        "mat": size,
        "shoot": shoot_rows(job, products),
        "views": view_rows(job),
        "corners": [] if solved is None else rounded(solved.mat_points[:, :2], 1),
    }


def _picture(job: Job, source: PictureSource, solved: Calibration | None) -> dict[str, Any]:
    traces = [
        {"line": trace.line, "kind": trace.kind, "px": rounded(thinned(trace.px), 1)}
        for trace in job.traces
        if trace.picture == source.name
    ]
    told = {"name": source.name, "sha256": source.sha256, "size": source.size, "traces": traces}
    return {**told, "camera": None if solved is None else _camera(solved, source.name)}


def _camera(solved: Calibration, name: str) -> dict[str, Any] | None:
    for place, picture in enumerate(solved.pictures):
        if picture.name == name:
            turn = rotation_matrix(picture.rotation_vector)
            centre = camera_centre(picture.rotation_vector, picture.translation)
            return {
                "centre": rounded(centre, 1),
                "towards": rounded(turn[2], 4),
                "focal": round(picture.focal, 1),
                "residual": picture.residual_px,
                "corners": picture.corners_used,
                "sigma": float(solved.centre_sigma[place]),
            }
    return None


def _doubt(line: MeasuredLine) -> float:
    return float(np.sqrt(np.mean(line.sigma**2))) if len(line.sigma) else 0.0


def _measured(line: MeasuredLine) -> dict[str, Any]:
    return {
        "name": line.name,
        "pictures": len(line.pictures),
        "residual": line.residual_px,
        "sigma": _doubt(line),
        "worst": float(line.sigma.max()) if len(line.sigma) else 0.0,
    }


def _point(point: MeasuredPoint) -> dict[str, Any]:
    return {
        "name": point.name,
        "pictures": len(point.pictures),
        "residual": point.residual_px,
        "sigma": point.sigma,
        "radius": point.radius,
    }
