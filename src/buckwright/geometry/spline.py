"""B-splines in the plane or in space: bases, lengths, curvature, closest points.

Curves are `scipy.interpolate.BSpline` with (m, d) control points. A closed curve is periodic: even
knots, and the first `degree` control points repeated at the end. Its parameter runs over
`domain(curve)`; the end of a closed curve is its start.
"""

from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline
from scipy.signal import find_peaks
from scipy.spatial import cKDTree

__all__ = [
    "basis_matrix",
    "closest_parameters",
    "corner_parameters",
    "crossed",
    "curvature_extrema",
    "curve_length",
    "domain",
    "even_knots",
    "foot_parameters",
    "length_table",
    "normals_about",
    "signed_curvature",
    "spline_curve",
    "tangents",
    "turning_axes",
    "turning_normals",
]

Array = NDArray[np.float64]

AXIS_PLACES = 96
"""Places along a curve at which the axis that it turns about is found."""
NEARLY = 1e-10
"""Of a curve's parameter: a step shorter than this cannot be seen, and the next is far shorter."""
AXIS_REACH = 0.06
"""Share of a curve over which it is taken to turn about one axis."""


def even_knots(count: int, degree: int, start: float, end: float, *, closed: bool) -> Array:
    """Knots of a curve with `count` free control points over [start, end], evenly spaced.

    Open: the end knots are repeated degree + 1 times, so that the curve ends on its end control
    points. Closed: periodic.
    """
    if closed:
        steps = np.arange(-degree, count + degree + 1, dtype=np.float64)
        return start + (end - start) * steps / count
    inner = np.linspace(start, end, count - degree + 1)
    return np.concatenate([np.full(degree, start), inner, np.full(degree, end)])


def spline_curve(knots: Array, control: Array, degree: int, *, closed: bool) -> BSpline:
    """The curve; of a closed one `control` holds the free points only, none repeated."""
    if closed:
        wrapped = np.vstack([control, control[:degree]])
        return BSpline(knots, wrapped, degree, extrapolate="periodic")
    return BSpline(knots, control, degree, extrapolate=False)


def domain(curve: BSpline) -> tuple[float, float]:
    """First and last parameter of the curve."""
    return float(curve.t[curve.k]), float(curve.t[-curve.k - 1])


def basis_matrix(
    knots: Array, degree: int, at: Array, *, derivative: int = 0, closed: bool = False
) -> Array:
    """(n, m) basis functions, or their derivatives, of the free control points at `at` (n,).

    Parameters of a closed curve wrap round; those of an open one are held inside the domain.
    """
    start, end = float(knots[degree]), float(knots[-degree - 1])
    inside = start + np.mod(at - start, end - start) if closed else np.clip(at, start, end)
    every = len(knots) - degree - 1
    # Knots of ours need no second look, which would cost as much as the values.
    bases = BSpline.construct_fast(knots, np.eye(every), degree, extrapolate=False)
    matrix = np.asarray(bases(inside, nu=derivative), dtype=np.float64)
    if not closed:
        return matrix
    free = every - degree
    matrix[:, :degree] += matrix[:, free:]
    return matrix[:, :free]


def _span_nodes(curve: BSpline, order: int) -> tuple[Array, Array, Array]:
    """Gauss nodes (spans, order), their weights, and the (spans + 1,) span ends."""
    start, end = domain(curve)
    ends = np.unique(curve.t[(curve.t >= start) & (curve.t <= end)])
    nodes, weights = np.polynomial.legendre.leggauss(order)
    half = 0.5 * np.diff(ends)[:, None]
    middle = 0.5 * (ends[1:] + ends[:-1])[:, None]
    return middle + half * nodes, half * weights, ends


def length_table(curve: BSpline) -> tuple[Array, Array]:
    """Parameters of the knots, and the length of the curve from its start to each, both (k,).

    Gauss quadrature with 8 nodes to a span.
    """
    nodes, weights, ends = _span_nodes(curve, 8)
    speed = np.linalg.norm(curve(nodes.ravel(), nu=1), axis=1).reshape(nodes.shape)
    return ends, np.concatenate([[0.0], np.cumsum((speed * weights).sum(axis=1))])


def curve_length(curve: BSpline) -> float:
    """Length of the curve, once round if closed."""
    return float(length_table(curve)[1][-1])


def tangents(curve: BSpline, at: Array) -> Array:
    """(n, d) unit tangents; zero where the curve stands still."""
    along = np.asarray(curve(at, nu=1), dtype=np.float64)
    speed = np.linalg.norm(along, axis=1, keepdims=True)
    return np.asarray(along / np.where(speed > 0.0, speed, 1.0))


def turning_normals(curve: BSpline, at: Array, *, closed: bool) -> Array:
    """(n, 3) unit normals of a curve in space, in the plane in which it turns hereabouts.

    Where a line is nearly straight the way it turns is noise. So the axis of turning is that of
    least squares over a stretch (a Gaussian of 6 % of the curve), each place counting by its
    curvature squared: it is steady there, and has no sign to lose at an inflexion. On a plane
    curve this is exact. The normal points to the inside of the sharpest bend, and from there on
    the axis keeps its sense.
    """
    first, second = (np.asarray(curve(at, nu=nu), dtype=np.float64) for nu in (1, 2))
    return normals_about(turning_axes(curve, at, closed=closed), first, second)


def normals_about(axes: Array, first: Array, second: Array) -> Array:
    """(n, 3) unit normals square to axes of turning (n, 3) and to first derivatives (n, 3).

    To the inside where the curve, with its second derivatives (n, 3), bends most.
    """
    normal = crossed(axes, first)
    square = np.einsum("ij,ij->i", normal, normal)
    normal = normal / np.sqrt(np.maximum(square, 1e-300))[:, None]
    bend = np.einsum("ij,ij->i", second, normal)
    bend = bend / np.maximum(np.einsum("ij,ij->i", first, first), 1e-300)
    return np.asarray(np.where(bend[np.argmax(np.abs(bend))] < 0.0, -1.0, 1.0) * normal)


def turning_axes(curve: BSpline, at: Array, *, closed: bool) -> Array:
    """(n, 3) axes about which the curve turns, between those of evenly spaced places.

    See `turning_normals`; they keep their sense along the curve.
    """
    start, end = domain(curve)
    places = np.linspace(start, end, AXIS_PLACES, endpoint=not closed)
    first, second = (np.asarray(curve(places, nu=nu), dtype=np.float64) for nu in (1, 2))
    speed = np.maximum(np.einsum("ij,ij->i", first, first), 1e-300)[:, None]
    turn = crossed(first, second) / speed
    square = _nearness(closed=closed) @ (turn[:, :, None] * turn[:, None, :]).reshape(-1, 9)
    axes = _greatest_axes(square)
    same = np.einsum("ij,ij->i", axes[1:], axes[:-1]) >= 0.0
    axes = np.concatenate([[1.0], np.cumprod(np.where(same, 1.0, -1.0))])[:, None] * axes
    if closed:
        places, axes = np.append(places, end), np.vstack([axes, axes[:1]])
        at = start + np.mod(at - start, end - start)
    return np.column_stack([np.interp(at, places, axes[:, axis]) for axis in range(3)])


def _greatest_axes(square: Array) -> Array:
    """(k, 3) axes of the greatest eigenvalue of symmetric matrices (k, 9), of unit length.

    The eigenvalue in closed form (O. K. Smith, Comm. ACM 4 (1961), doi:10.1145/355578.366316), the
    axis square to two rows of what is left; ten times as fast as LAPACK for a hundred of them.
    """
    a, b, c, _, d, e, _, _, f = square.T
    mean = (a + d + f) / 3.0
    off = b * b + c * c + e * e
    size = np.sqrt(((a - mean) ** 2 + (d - mean) ** 2 + (f - mean) ** 2 + 2.0 * off) / 6.0)
    size = np.maximum(size, 1e-300)
    p, q, r = (a - mean) / size, (d - mean) / size, (f - mean) / size
    u, v, w = b / size, c / size, e / size
    half = 0.5 * (p * (q * r - w * w) - u * (u * r - w * v) + v * (u * w - q * v))
    top = 2.0 * np.cos(np.arccos(np.clip(half, -1.0, 1.0)) / 3.0)
    rows = np.array([[p - top, u, v], [u, q - top, w], [v, w, r - top]])
    ways = np.stack([_products(rows[i], rows[j]) for i, j in ((0, 1), (1, 2), (2, 0))])
    long = np.einsum("nck,nck->nk", ways, ways)
    best = np.argmax(long, axis=0)
    at = np.arange(len(square))
    axis = ways[best, :, at] / np.sqrt(np.maximum(long[best, at], 1e-300))[:, None]
    return np.where(long[best, at][:, None] > 0.0, axis, [0.0, 0.0, 1.0])


def _products(a: Array, b: Array) -> Array:
    return np.array(
        [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
    )


@cache
def _nearness(*, closed: bool) -> Array:
    """(k, k) how much each of the places counts for the axis at each other."""
    places = np.linspace(0.0, 1.0, AXIS_PLACES, endpoint=not closed)
    apart = np.abs(places[:, None] - places)
    if closed:
        apart = np.minimum(apart, 1.0 - apart)
    near = np.exp(-0.5 * (apart / AXIS_REACH) ** 2)
    near.setflags(write=False)
    return near


def crossed(a: Array, b: Array) -> Array:
    """(n, 3) vector products of rows.

    `np.cross` spends more on moving axes than on the products of such short arrays.
    """
    (ax, ay, az), (bx, by, bz) = a.T, b.T
    found = np.empty((len(a), 3))
    found[:, 0] = ay * bz - az * by
    found[:, 1] = az * bx - ax * bz
    found[:, 2] = ax * by - ay * bx
    return found


def signed_curvature(curve: BSpline, at: Array, *, closed: bool = False) -> Array:
    """(n,) curvature in 1/mm at parameters, in the plane in which the curve turns hereabouts.

    See `turning_normals`. The sign changes at an inflexion; the first value is not negative.
    """
    first, second = (np.asarray(curve(at, nu=nu), dtype=np.float64) for nu in (1, 2))
    square = np.maximum(np.einsum("ij,ij->i", first, first), 1e-300)
    normal = turning_normals(curve, at, closed=closed)
    bend = np.einsum("ij,ij->i", second, normal) / square
    return np.asarray(-bend if len(bend) and bend[0] < 0.0 else bend)


def corner_parameters(curve: BSpline) -> Array:
    """(c,) parameters inside the domain at which the direction of the curve may break."""
    start, end = domain(curve)
    inner = curve.t[(curve.t > start) & (curve.t < end)]
    apart = curve.k - 1
    return np.unique(inner[apart:][inner[apart:] == inner[: len(inner) - apart]])


def curvature_extrema(curve: BSpline, *, closed: bool, prominence: float = 0.02) -> int:
    """How many times the signed curvature turns, ends of an open curve not counted.

    A turn counts when it stands out by more than `prominence` of the greatest curvature (and by
    more than 1e-7 per mm: a straight line has none). A corner ends one stretch and begins another.
    """
    start, end = domain(curve)
    count = max(400, 6 * (len(curve.t) - 2 * curve.k))
    corners = corner_parameters(curve)
    places = np.linspace(start, end, count, endpoint=not closed)
    if len(corners):
        near = 1e-9 * (end - start)
        places = np.sort(np.concatenate([places, corners - near, corners + near]))
    bend = signed_curvature(curve, places, closed=closed)
    least = prominence * float(np.abs(bend).max()) + 1e-7
    if len(corners):
        stretches = np.split(bend, np.searchsorted(places, corners))
        if closed:
            stretches = [*stretches[1:-1], np.concatenate([stretches[-1], stretches[0]])]
        return sum(_peaks_and_hollows(stretch, least) for stretch in stretches)
    if closed:
        turned = np.roll(bend, -int(np.argmin(bend)))
        return 2 * len(find_peaks(np.append(turned, turned[0]), prominence=least)[0])
    return _peaks_and_hollows(bend, least)


def _peaks_and_hollows(bend: Array, least: float) -> int:
    peaks = find_peaks(bend, prominence=least)[0]
    return len(peaks) + len(find_peaks(-bend, prominence=least)[0])


def foot_parameters(
    curve: BSpline, points: Array, guess: Array, *, closed: bool, rounds: int = 4
) -> Array:
    """(n,) parameters where the curve is nearest to each point, from a good guess (n,).

    Beyond the ends of an open curve its end tangents count, so a parameter outside the domain
    says how far past the end a point lies. Newton's method, steps held to a tenth of the domain.
    """
    start, end = domain(curve)
    most = 0.1 * (end - start)
    at = np.array(guess, dtype=np.float64)
    for _ in range(rounds):
        held = at if closed else np.clip(at, start, end)
        along = np.asarray(curve(held, nu=1))
        gap = points - np.asarray(curve(held)) - (at - held)[:, None] * along
        square = np.einsum("ij,ij->i", along, along)
        bend = np.where(at == held, np.einsum("ij,ij->i", gap, np.asarray(curve(held, nu=2))), 0.0)
        slope = np.where(square - bend > 0.2 * square, square - bend, square)
        step = np.einsum("ij,ij->i", gap, along) / np.maximum(slope, 1e-300)
        at = at + np.clip(step, -most, most)
        if np.abs(step).max(initial=0.0) < NEARLY * (end - start):
            break
    return start + np.mod(at - start, end - start) if closed else at


def closest_parameters(curve: BSpline, points: Array, *, closed: bool) -> tuple[Array, Array]:
    """Parameters (n,) of the closest points of the curve, held inside it, and distances (n,).

    Found among samples (eight to a knot span), then refined; cost n log m.
    """
    start, end = domain(curve)
    count = max(200, 8 * (len(curve.t) - 2 * curve.k))
    samples = np.linspace(start, end, count)
    _, near = cKDTree(np.asarray(curve(samples))).query(points)
    at = foot_parameters(curve, points, samples[near], closed=closed)
    if not closed:
        at = np.clip(at, start, end)
    distance = np.linalg.norm(np.asarray(curve(at)) - points, axis=1)
    return at, np.asarray(distance)
