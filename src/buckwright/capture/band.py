"""The picture beside a path, laid out straight: one row across the path at each of its points."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["Band", "normals", "straighten", "through_clicks"]

Array = NDArray[np.float64]

_GAMMA = 2.2
_LINEAR = (255.0 * (np.arange(256) / 255.0) ** _GAMMA).astype(np.float32)
"""Light that made a grey value: cameras store about its 1 / 2.2th power."""


@dataclass(frozen=True, eq=False, slots=True)
class Band:
    """Grey values beside a path."""

    path: Array
    """(n, 2) px."""
    normal: Array
    """(n, 2) unit."""
    across: Array
    """(m,) px along the normal, evenly spaced, symmetrical about 0."""
    grey: NDArray[np.float32]
    """(n, m)."""

    def moved(self, by: Array) -> Array:
        """(n, 2): the path with each point moved along its normal."""
        return self.path + by[:, None] * self.normal


def straighten(
    grey: NDArray[np.uint8], path: Array, *, half: float, step: float, light: bool = False
) -> Band:
    """The band of a picture (rows, columns) within `half` px of a path (n, 2), every `step` px.

    Only the window round the path is read; outside of the picture its border goes on. A `step`
    above 1 px looks at a picture shrunk by it. `light` asks for light instead of grey values, in
    which the grey of a pixel is the mean over what it covers.
    """
    count = round(half / step)
    across = np.arange(-count, count + 1, dtype=np.float64) * step
    shrink = max(1.0, step)
    low = np.floor(path.min(axis=0) - half - 3.0 * shrink)
    high = np.ceil(path.max(axis=0) + half + 3.0 * shrink)
    left, top = np.clip(low, 0, np.array(grey.shape[::-1]) - 1).astype(int)
    right, bottom = np.clip(high + 1, (left + 1, top + 1), grey.shape[::-1]).astype(int)
    window = grey[top:bottom, left:right]
    part = np.asarray(_LINEAR[window] if light else window, dtype=np.float32)
    scale = np.ones(2)
    if shrink > 1.0:
        size = np.maximum(np.round(np.array(part.shape[::-1]) / shrink), 1).astype(int)
        scale = size / np.array(part.shape[::-1])
        to = (int(size[0]), int(size[1]))
        part = np.asarray(cv2.resize(part, to, interpolation=cv2.INTER_AREA), dtype=np.float32)
    normal = normals(path)
    at = path[:, None, :] + across[None, :, None] * normal[:, None, :] - (left, top)
    at = ((at + 0.5) * scale - 0.5).astype(np.float32)
    rows = cv2.remap(
        part, at[:, :, 0], at[:, :, 1], cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
    )
    return Band(path, normal, across, np.asarray(rows, dtype=np.float32))


def normals(path: Array) -> Array:
    """(n, 2) unit normals of a path (n, 2), a quarter turn from its direction.

    Taken over a few points, so that the wobble of the points does not turn them.
    """
    reach = min(3, len(path) - 1)
    last = len(path) - 1
    row = np.arange(len(path))
    along = path[np.minimum(row + reach, last)] - path[np.maximum(row - reach, 0)]
    along /= np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-12)
    return np.column_stack([-along[:, 1], along[:, 0]])


def through_clicks(clicks: Array, *, closed: bool, step: float) -> list[Array]:
    """For each stretch from click to click, points about `step` px apart, both clicks included.

    A centripetal Catmull-Rom spline: it has no loops or overshoot where clicks are uneven.
    Reference: C. Yuksel, S. Schaefer, J. Keyser, doi:10.1016/j.cad.2010.08.008.
    """
    if closed:
        around = np.vstack([clicks[-1:], clicks, clicks[:2]])
    else:
        before, after = 2.0 * clicks[0] - clicks[1], 2.0 * clicks[-1] - clicks[-2]
        around = np.vstack([before[None], clicks, after[None]])
    return [_stretch(around[k : k + 4], step) for k in range(len(around) - 3)]


def _stretch(four: Array, step: float) -> Array:
    gaps = np.linalg.norm(np.diff(four, axis=0), axis=1)
    knots = np.concatenate([[0.0], np.cumsum(np.sqrt(np.maximum(gaps, 1e-6)))])
    count = max(2, round(float(gaps[1]) / step) + 1)
    t = np.linspace(knots[1], knots[2], count)[:, None]

    def mixed(a: Array, b: Array, start: float, end: float) -> Array:
        return np.asarray(((end - t) * a + (t - start) * b) / (end - start))

    a1 = mixed(four[0], four[1], knots[0], knots[1])
    a2 = mixed(four[1], four[2], knots[1], knots[2])
    a3 = mixed(four[2], four[3], knots[2], knots[3])
    b1, b2 = mixed(a1, a2, knots[0], knots[2]), mixed(a2, a3, knots[1], knots[3])
    return mixed(b1, b2, knots[1], knots[2])
