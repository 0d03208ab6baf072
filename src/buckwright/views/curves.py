"""Traced lines of a view as curves in its plane, each with its parallax band and its doubt."""

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.homography import apply_homography
from buckwright.model.finding import Finding
from buckwright.model.views import VIEW_AXES, SquaredView, ViewCurve, ViewSpec, ViewTrace
from buckwright.views.rays import crown_tangent, parallax, ray_at_depth
from buckwright.views.square import matrix_of
from buckwright.views.squaring import middle_of

__all__ = ["depths_of", "view_curve", "view_curves"]

Array = NDArray[np.float64]

_LENS = 0.003
"""Share of the way from the middle of a picture by which a lens that nobody calibrated leaves
places wrong after squaring: the example's lens, which bends by 1.2 %, leaves so much."""
_COARSE = 0.02
"""Share of the view beyond which a band is told as a doubt."""


def view_curves(view: ViewSpec, squared: SquaredView) -> tuple[ViewCurve, ...]:
    """Every traced line of the view."""
    return tuple(view_curve(view, squared, trace) for trace in view.traces)


def depths_of(view: ViewSpec, along: Array) -> Array:
    """How far, mm, vehicle coordinates along the sight lie behind the plane of scale."""
    return np.asarray((along - view.plane) * VIEW_AXES[view.seen_from].away[1])


def view_curve(
    view: ViewSpec, squared: SquaredView, trace: ViewTrace, *, along: Array | None = None
) -> ViewCurve:
    """One line, its rays met with where it lies along the sight; outlines of crowns drawn in.

    Parameters: along (n,), vehicle coordinate along the sight of each point, as another view
    tells it; without it the middle of what the trace says.
    Raises JobError for a trace without length, and for one that would lie behind the camera.
    """
    px = trace.px
    if len(px) < 2 or float(np.ptp(px, axis=0).max()) < 1.0:
        raise JobError(
            f"The trace of '{trace.line}' in the view '{view.name}' has no length.",
            "Click along the line, two places at least.",
        )
    matrix = matrix_of(view, squared, trace.picture)
    read = apply_homography(matrix, px)
    low, high = trace.between or (view.plane, view.plane)
    middle = np.full(len(px), 0.5 * (low + high)) if along is None else along
    if view.drawing or squared.distance == 0.0:
        middle, low, high = (np.full(len(px), view.plane), view.plane, view.plane)
    places = [
        _met(view, squared, trace, read, np.broadcast_to(at, len(px)))
        for at in (middle, np.float64(low), np.float64(high))
    ]
    if depths_of(view, np.array(low)) > depths_of(view, np.array(high)):
        places[1], places[2] = places[2], places[1]
    points, near, far = (place for place, _ in places)
    band = np.linalg.norm(far - near, axis=1)
    return ViewCurve(
        view=view.name,
        line=trace.line,
        closed=trace.closed,
        read=read,
        points=points,
        near=near,
        far=far,
        parallax=_parallax(view, squared, points, middle),
        band=band,
        sigma=_sigma(view, squared, trace, read, middle),
        along=middle,
        findings=_doubts(view, squared, trace, band, read, touched=places[0][1]),
    )


def _met(
    view: ViewSpec, squared: SquaredView, trace: ViewTrace, read: Array, along: Array
) -> tuple[Array, NDArray[np.bool_]]:
    """Where the line is if it lies there along the sight, and whether crowns are touched."""
    every = np.ones(len(read), bool)
    if view.drawing or squared.distance == 0.0:
        return read, every
    foot = np.array(squared.foot)
    try:
        line = ray_at_depth(read, depths_of(view, along), foot, squared.distance)
    except ValueError:
        raise JobError(
            f"'{trace.line}' would lie behind the camera of the view '{view.name}'.",
            "Change where it lies along the sight, or the distance of the camera.",
        ) from None
    if not trace.outline or trace.crown <= 0.0:
        return line, every
    rays = (read - foot) / squared.distance
    outward = _outward(line, foot, closed=trace.closed)
    return crown_tangent(line, rays, outward, trace.crown, closed=trace.closed)


def _outward(line: Array, foot: Array, *, closed: bool) -> Array:
    """(n, 2) unit normals out of the body.

    Of a closed outline out of it; else away from the chord of its ends, or from the foot where it
    is straight.
    """
    back = np.roll(line, -1, axis=0) - np.roll(line, 1, axis=0)
    if not closed:
        back[0], back[-1] = line[1] - line[0], line[-1] - line[-2]
    size = np.linalg.norm(back, axis=1)
    back = back / np.where(size > 0.0, size, 1.0)[:, None]
    normal = np.column_stack([back[:, 1], -back[:, 0]])
    if closed:
        ring = shapely.LinearRing(line)
        return normal if ring.is_ccw else -normal
    chord = line[-1] - line[0]
    bulge = float(np.sum(chord[0] * (line - line[0])[:, 1] - chord[1] * (line - line[0])[:, 0]))
    size = float(np.linalg.norm(chord))
    straight = abs(bulge) < 1e-3 * len(line) * size**2
    inner = foot if straight else line[0] + 0.5 * chord
    sense = np.sum(np.einsum("nk,nk->n", normal, line - inner))
    return normal if sense >= 0.0 else -normal


def _parallax(view: ViewSpec, squared: SquaredView, points: Array, along: Array) -> Array:
    if view.drawing or squared.distance == 0.0:
        return np.zeros(len(points))
    lateral = np.linalg.norm(points - np.array(squared.foot), axis=1)
    return np.abs(parallax(lateral, depths_of(view, along), squared.distance))


def _sigma(
    view: ViewSpec, squared: SquaredView, trace: ViewTrace, read: Array, along: Array
) -> Array:
    """The hand, the lens, what squaring and scaling left over, how far the camera stood."""
    matrix = matrix_of(view, squared, trace.picture)
    steps = [apply_homography(matrix, trace.px + step) - read for step in np.eye(2)]
    size = np.sqrt(0.5 * sum(np.sum(step**2, axis=1) for step in steps))
    square = (trace.sigma_px * size) ** 2 + squared.residual**2
    if not view.drawing:
        square = square + (_LENS * _from_middle(view, trace) * size) ** 2
    if not view.drawing and squared.distance > 0.0:
        reach = np.linalg.norm(read - np.array(squared.foot), axis=1)
        depth = depths_of(view, along)
        slope = reach * np.abs(depth) / squared.distance**2
        square = square + (slope * squared.distance_sigma) ** 2
    return np.asarray(np.sqrt(square))


def _from_middle(view: ViewSpec, trace: ViewTrace) -> Array:
    """How far, px, places lie from the middle of their picture, or its corners do if farther."""
    picture = next(one for one in view.pictures if one.source.name == trace.picture)
    middle = middle_of(picture)
    out: Array = np.linalg.norm(trace.px - middle, axis=1)
    if len(picture.corners) == 0:
        return out
    corners = np.linalg.norm(picture.corners - middle, axis=1)
    # A lens that bends the corners moves all that is squared by them.
    return np.asarray(np.maximum(out, float(np.sqrt(np.mean(corners**2)))))


def _doubts(
    view: ViewSpec,
    squared: SquaredView,
    trace: ViewTrace,
    band: Array,
    read: Array,
    *,
    touched: NDArray[np.bool_],
) -> tuple[Finding, ...]:
    found = []
    if view.drawing:
        return ()
    if trace.between is None:
        message = "Where it lies along the sight is not said: it is taken to lie in the plane."
        remedy = "Type between which places it lies, or trace it in another view."
        found.append(("sight-unsaid", message, remedy))
    if trace.outline and trace.crown <= 0.0:
        message = "It is an outline, which lies outside the line along its crown."
        found.append(("crown-unsaid", message, "Type the radius of the crown that it goes over."))
    if not touched.all():
        share = 100.0 * float(np.mean(~touched))
        message = f"Over {share:.0f} % of it the sight touches beyond 45 degrees of the crown."
        found.append(("crown-beyond", message, "Trust it there as an outline only."))
    if float(band.max()) > _COARSE * float(np.linalg.norm(np.ptp(read, axis=0))):
        message = f"Its parallax band is {band.max():.0f} mm wide at its widest."
        found.append(("band-wide", message, "Say closer where it lies, or stand farther away."))
    return tuple(
        Finding(code=code, where=f"{trace.line}, {view.name}", message=message, remedy=remedy)
        for code, message, remedy in found
    )
