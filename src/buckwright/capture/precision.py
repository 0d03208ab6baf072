"""How well each point of a fitted line is placed across the line."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.capture.cameraerror import camera_variance, centre_variance
from buckwright.capture.fitting import Fit
from buckwright.capture.views import Marks, Views
from buckwright.capture.wobble import wobble_of
from buckwright.model.pictures import Calibration

__all__ = ["Precision", "precision_at", "views_near"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_EDGE_PX = 0.2
"""A drawn edge is not quite where the true one is: blur and shading shift it."""
_NEAR_PX = 30.0
"""How far along the line a view's marks may be from a point to count as seeing it."""


@dataclass(frozen=True, eq=False, slots=True)
class Precision:
    """At n points of the line."""

    sigma: Array
    """(n,) mm, standard error across the line: root mean square of both directions."""
    conditioning: Array
    """(n,) 0 where all views tell the same direction, 1 where they tell both alike."""
    views: Index
    """(n,) how many views see the point."""
    weak: Array
    """(n, 3) unit direction across the line in which the point is placed worst."""
    across: Array
    """(n, 2, 3) two unit directions across the line."""
    spread: Array
    """(n, 2, 2) mm^2 in those directions, from the hand's wobble alone."""
    told: Array
    """(n, 2, 2) px^2 to a mm^2 in those directions: what the views that see the point tell."""


def precision_at(
    at: Array, fit: Fit, views: Views, marks: Marks, calibration: Calibration
) -> Precision:
    """The precision at parameters `at` (n,).

    The fit's covariance with the hand's wobble, its marks counted as dependent over the reach
    of that wobble; with it an edge's shift, the cameras' doubt and the scale's.
    """
    curve = fit.curve
    points = curve.points(at)
    sees = views_near(at, fit, views, marks)
    pulls = _pulls(at, fit, views) * sees[:, :, None]
    across = _across(at, fit)
    flat = np.einsum("nvk,njk->nvj", pulls, across)
    told = np.einsum("nvi,nvj->nij", flat, flat)
    least, greatest = np.moveaxis(np.linalg.eigvalsh(told), 1, 0)
    size = np.maximum(least + greatest, 1e-12)
    weak = np.einsum("nj,njk->nk", np.linalg.eigh(told)[1][:, :, 0], across)
    spread = _fit_spread(at, fit, marks, across)
    return Precision(
        sigma=np.sqrt(
            np.trace(spread, axis1=1, axis2=2) / 2.0
            + (_EDGE_PX * _pixel(points, views)) ** 2
            + _from_cameras(points, views, pulls, across, calibration)
            + _from_scale(points, calibration)
        ),
        conditioning=np.sqrt(np.clip(2.0 * least / size, 0.0, 1.0)),
        views=sees.sum(axis=1),
        weak=weak,
        across=across,
        spread=spread,
        told=told,
    )


def _across(at: Array, fit: Fit) -> Array:
    """(n, 2, 3) two unit directions across the curve, square to each other."""
    tangent = fit.curve.basis(at, derivative=1) @ fit.curve.control
    tangent /= np.maximum(np.linalg.norm(tangent, axis=1, keepdims=True), 1e-12)
    other = np.eye(3)[np.argmin(np.abs(tangent), axis=1)]
    first = np.cross(tangent, other)
    first /= np.linalg.norm(first, axis=1, keepdims=True)
    return np.stack([first, np.cross(tangent, first)], axis=1)


def _fit_spread(at: Array, fit: Fit, marks: Marks, across: Array) -> Array:
    """(n, 2, 2) mm^2 across the line, from the hand's wobble alone."""
    covariance = np.linalg.inv(fit.normal) * wobble_of(fit, marks).to_a_mark
    basis = fit.curve.basis(at)
    count = basis.shape[1]
    blocks = covariance.reshape(count, 3, count, 3)
    spatial = np.einsum("ni,iajb,nj->nab", basis, blocks, basis, optimize=True)
    return np.asarray(np.einsum("nja,nab,nkb->njk", across, spatial, across))


def views_near(at: Array, fit: Fit, views: Views, marks: Marks) -> NDArray[np.bool_]:
    """(n, k) whether each view has marks that count near each point."""
    found = np.zeros((len(at), len(views.names)), dtype=bool)
    near = _NEAR_PX * _pixel(fit.curve.points(at), views)
    for view in range(len(views.names)):
        places = np.sort(fit.feet.at[fit.counts & (marks.view == view)])
        if len(places) == 0:
            continue
        if fit.curve.closed:
            length = fit.curve.length
            places = np.concatenate([places[-1:] - length, places, places[:1] + length])
        after = np.clip(np.searchsorted(places, at), 0, len(places) - 1)
        before = np.maximum(after - 1, 0)
        gap = np.minimum(np.abs(places[after] - at), np.abs(places[before] - at))
        found[:, view] = gap < near
    return found


def _pulls(at: Array, fit: Fit, views: Views) -> Array:
    """(n, k, 3) px across the line's picture in each view to a mm of the point's motion."""
    points = fit.curve.points(at)
    tangent = fit.curve.basis(at, derivative=1) @ fit.curve.control
    ray = points[:, None] - views.centre[None]
    depth = np.einsum("nvk,vk->nv", ray, views.rotation[:, 2])
    # Only motion square to the plane of ray and tangent shows.
    normal = np.cross(ray, tangent[:, None])
    normal /= np.maximum(np.linalg.norm(normal, axis=2, keepdims=True), 1e-12)
    return np.asarray(normal * (views.focal / np.maximum(depth, 1e-9))[:, :, None])


def _pixel(points: Array, views: Views) -> Array:
    """(n,) mm to a pixel, the median of the views."""
    _, depth = views.flat(points)
    return np.asarray(np.median(depth / views.focal[:, None], axis=0))


def _from_cameras(
    points: Array, views: Views, pulls: Array, across: Array, calibration: Calibration
) -> Array:
    """(n,) mm^2; where the cameras' covariance was not kept, they are taken as independent."""
    if len(calibration.covariance):
        return camera_variance(points, views, pulls, across, calibration)
    square = centre_variance(views, calibration)
    sees = np.any(pulls != 0.0, axis=2)
    return np.asarray((sees @ square) / np.maximum(sees.sum(axis=1), 1) ** 2)


def _from_scale(points: Array, calibration: Calibration) -> Array:
    """(n,) mm^2 from a measured scale."""
    if calibration.scale != "bar":
        return np.zeros(len(points))
    reach = np.linalg.norm(points - calibration.mat_points.mean(axis=0), axis=1)
    return np.asarray((calibration.scale_sigma * reach) ** 2)
