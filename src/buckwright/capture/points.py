"""A single place in space from where it is marked in the pictures."""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from buckwright.capture.cameraerror import point_covariance
from buckwright.capture.rims import Rim, fit_rim
from buckwright.capture.views import Views
from buckwright.errors import JobError
from buckwright.geometry.camera import camera_centre, rotation_matrix, undistort
from buckwright.model.finding import Finding
from buckwright.model.pictures import Calibration, Picture, Trace
from buckwright.model.points import MeasuredPoint

__all__ = ["RIM_CLICKS", "point_from_traces"]

Array = NDArray[np.float64]

RIM_CLICKS = 5
"""Clicks in a picture from which a mark is the rim of something round."""
_CLICK_PX, _BELIEF = 1.0, 4.0
"""How well a hand clicks, and how many readings that is worth."""
_STRAY_PX = 6.0
_LEAST_ANGLE = np.radians(10.0)


def point_from_traces(
    name: str, traces: Sequence[Trace], calibration: Calibration
) -> MeasuredPoint:
    """The place whose pictures lie on its marks, in millimetres of the mat.

    One click to a picture marks a dot. Five clicks or more mark the rim of something round, a
    hole or a wheel: its middle is that of the circle in space, for the middle of the ellipse that
    a picture shows is not the picture of the middle.
    Raises JobError with fewer than two solved pictures, or where the rays do not meet.
    """
    solved = {picture.name: picture for picture in calibration.pictures}
    marks = [t for t in traces if t.picture in solved and len(t.px)]
    rims = [t for t in marks if len(t.px) >= RIM_CLICKS]
    used = rims if len({t.picture for t in rims}) >= 2 else marks
    names = tuple(dict.fromkeys(t.picture for t in used))
    if len(names) < 2:
        where = "one solved picture only" if names else "no solved picture"
        raise JobError(
            f"The point {name} is marked in {where}.",
            "Mark it in two pictures or more, from different sides or heights.",
        )
    views = _views(names, solved)
    clicks = [np.vstack([t.px for t in used if t.picture == n]) for n in names]
    flats = [_flat(px, solved[n], name) for px, n in zip(clicks, names, strict=True)]
    if used is rims:
        return _rim(name, views, flats, calibration)
    if any(len(flat) >= RIM_CLICKS for flat in flats):
        raise JobError(
            f"The rim of {name} is marked in one picture only.",
            "Mark the rim in a second picture, with five clicks round it or more.",
        )
    return _dot(name, views, np.array([flat.mean(axis=0) for flat in flats]), calibration)


def _views(names: tuple[str, ...], solved: dict[str, Picture]) -> Views:
    turn = np.array([solved[n].rotation_vector for n in names])
    shift = np.array([solved[n].translation for n in names])
    return Views(
        names=names,
        rotation=rotation_matrix(turn),
        centre=camera_centre(turn, shift),
        focal=np.array([solved[n].focal for n in names]),
    )


def _flat(px: Array, picture: Picture, name: str) -> Array:
    try:
        return undistort((px - np.array(picture.principal)) / picture.focal, picture.distortion)
    except ValueError as error:
        raise JobError(
            f"The mark of {name} in {picture.name} lies outside the picture.",
            "Mark it again inside the picture.",
        ) from error


def where_rays_meet(views: Views, flat: Array) -> Array:
    """(3,) the point nearest to the rays through (k, 2) one place in each view."""
    rays = np.einsum("kj,kji->ki", np.column_stack([flat, np.ones(len(flat))]), views.rotation)
    rays /= np.linalg.norm(rays, axis=1, keepdims=True)
    square = np.eye(3) - rays[:, :, None] * rays[:, None, :]
    right = np.einsum("kij,kj->i", square, views.centre)
    return np.asarray(np.linalg.lstsq(square.sum(axis=0), right, rcond=None)[0])


def _dot(name: str, views: Views, flat: Array, calibration: Calibration) -> MeasuredPoint:
    def gaps(point: Array) -> Array:
        place, _ = views.flat(point[None])
        return np.asarray(((place[:, 0] - flat) * views.focal[:, None]).ravel())

    start = where_rays_meet(views, flat)
    _check_in_front(name, views, start)
    found = least_squares(gaps, start, loss="soft_l1", f_scale=2.0 * _CLICK_PX)
    point = np.asarray(found.x)
    off = gaps(point).reshape(-1, 2)
    good = np.linalg.norm(off, axis=1) < _STRAY_PX
    if good.sum() < 2:
        raise _do_not_meet(name)
    pulls = _pulls(point, views) * good[:, None, None]
    variance = _click_variance(off[good], 3)
    rows = pulls.reshape(-1, 3)
    spread = variance * np.linalg.inv(rows.T @ rows)
    return _answer(
        name, point, spread + point_covariance(point, views, pulls, calibration),
        views=views, off=off, good=good,
    )  # fmt: skip


def _rim(
    name: str, views: Views, flats: Sequence[Array], calibration: Calibration
) -> MeasuredPoint:
    middles = np.array([0.5 * (flat.min(axis=0) + flat.max(axis=0)) for flat in flats])
    start = where_rays_meet(views, middles)
    _check_in_front(name, views, start)
    rim = fit_rim(views, flats, start)
    every = [np.sqrt(np.mean(off**2)) for off in rim.gaps]
    good = np.array(every) < _STRAY_PX
    if good.sum() < 2:
        raise _do_not_meet(name)
    variance = _click_variance(np.concatenate(rim.gaps)[:, None], 6)
    pulls = _pulls(rim.centre, views) * good[:, None, None]
    spread = variance * rim.spread + point_covariance(rim.centre, views, pulls, calibration)
    off = np.column_stack([every, np.zeros(len(every))])
    answer = _answer(name, rim.centre, spread, views=views, off=off, good=good)
    return answer.model_copy(update=_round(rim))


def _round(rim: Rim) -> dict[str, object]:
    residual = float(np.sqrt(np.mean(np.concatenate(rim.gaps) ** 2)))
    return {"kind": "rim", "radius": rim.radius, "axis": rim.axis, "residual_px": residual}


def _check_in_front(name: str, views: Views, point: Array) -> None:
    _, depth = views.flat(point[None])
    if np.any(depth <= 0.0):
        raise _do_not_meet(name)


def _do_not_meet(name: str) -> JobError:
    return JobError(
        f"The marks of the point {name} do not meet in space.",
        "Check that they mark the same place in every picture.",
    )


def _click_variance(off: Array, taken: int) -> float:
    """px^2 of a click, learned from what is left of the gaps, drawn towards the usual."""
    freedom = max(off.size - taken, 0)
    return float((_BELIEF * _CLICK_PX**2 + np.sum(off**2)) / (_BELIEF + freedom))


def _pulls(point: Array, views: Views) -> Array:
    """(k, 2, 3) px that each view sees to a mm of motion."""
    place, depth = views.flat(point[None])
    slope = views.rotation[:, :2] - place[:, 0, :, None] * views.rotation[:, 2:3]
    return np.asarray(slope * (views.focal / depth[:, 0])[:, None, None])


def _answer(
    name: str, point: Array, covariance: Array, *, views: Views, off: Array, good: NDArray[np.bool_]
) -> MeasuredPoint:
    sigma = float(np.sqrt(np.trace(covariance) / 3.0))
    return MeasuredPoint(
        name=name,
        kind="dot",
        point=point,
        covariance=covariance,
        sigma=sigma,
        pictures=views.names,
        residual_px=float(np.sqrt(np.mean(off[good] ** 2))),
        findings=tuple(_doubts(name, point, covariance, views, off, good)),
    )


def _doubts(
    name: str,
    point: Array,
    covariance: Array,
    views: Views,
    off: Array,
    good: NDArray[np.bool_],
) -> Iterator[Finding]:
    for view in np.flatnonzero(~good):
        yield Finding(
            code="mark-strays",
            where=name,
            message=f"The mark in {views.names[view]} is {np.linalg.norm(off[view]):.0f} px off "
            "the others and does not count.",
            remedy="Check that it marks the same place there.",
        )
    if good.sum() == 2:
        yield Finding(
            code="few-pictures",
            where=name,
            message="The point is marked in two pictures only: nothing checks it.",
            remedy="Mark it in a third picture.",
        )
    towards = views.centre[good] - point
    towards /= np.linalg.norm(towards, axis=1, keepdims=True)
    widest = float(np.arccos(np.clip((towards @ towards.T).min(), -1.0, 1.0)))
    if widest < _LEAST_ANGLE:
        worst = float(np.sqrt(np.linalg.eigvalsh(covariance)[-1]))
        yield Finding(
            code="badly-placed",
            where=name,
            message=f"The pictures look at it from {np.degrees(widest):.0f} degrees apart: it may "
            f"be off by {2.0 * worst:.2f} mm towards them.",
            remedy="Mark it in a picture from another side, 30 degrees away or more.",
        )
