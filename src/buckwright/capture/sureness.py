"""How sure the cameras are, in the frame that the mat's points make and at the scale of its bars.

What shifts, turns or grows the whole figure is no error in that frame: it is taken off by the
mat's points, the growth by the bars where there are any (an S-transformation).

Reference: W. Baarda, 'S-transformations and criterion matrices' (1973).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.capture.bundle import Adjusted, Lengths
from buckwright.capture.sightings import Cameras
from buckwright.geometry.camera import camera_centre, rotation_matrix, turn_slopes

__all__ = ["Sureness", "sureness_of"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_OWN = 9
"""Of each picture: turn, place of the centre, focal length, principal point."""


@dataclass(frozen=True, eq=False, slots=True)
class Sureness:
    """Covariance of what the cameras do to a ray, in the adjusted figure's axes and scale."""

    covariance: Array
    """(9 k + 5 g) square. Of each picture: turn (3) rad in the camera's axes, centre (3) mm,
    focal length and principal point (2) px; then of each group its distortion (5)."""
    growth_sigma: float
    """Standard error of the figure's size by the images, relative to the bars as they lie in it:
    a bar's ends are found no better than other corners."""

    def centre_variance(self, pictures: int) -> Array:
        """(k,) mm^2, mean of the three axes."""
        diagonal = np.diag(self.covariance)[: _OWN * pictures].reshape(pictures, _OWN)
        return np.asarray(diagonal[:, 3:6].mean(axis=1))

    def moved(self, rotation: Array, scale: float, pictures: int) -> Array:
        """The covariance where the figure is turned and grown: only the centres feel it."""
        change = np.eye(len(self.covariance))
        for k in range(pictures):
            own = np.s_[_OWN * k + 3 : _OWN * k + 6]
            change[own, own] = scale * rotation
        return np.asarray(change @ self.covariance @ change.T)


def sureness_of(adjusted: Adjusted, seen: Index, bars: Lengths) -> Sureness:
    """The sureness of all cameras; `seen` (m,) are the corners that make the frame."""
    cameras = adjusted.cameras
    slopes = np.vstack([_camera_slopes(cameras, adjusted.seen.group), _point_slopes(cameras, seen)])
    common = _common_motions(cameras, seen)
    told = len(slopes) - 3 * len(seen)
    frame = np.zeros((7, len(slopes)))
    frame[:, told:] = np.linalg.pinv(common[told:])
    if len(bars.ends):
        frame[6] = 0.0
        sides = bars.slopes(cameras.points) * (bars.mm / bars.sigma)[:, None]
        for ends, side in zip(np.searchsorted(seen, bars.ends), sides, strict=True):
            for at, sign in zip(ends, (-1.0, 1.0), strict=True):
                first = told + 3 * at
                frame[6, first : first + 3] += sign * side
    fixed = slopes - common @ np.linalg.solve(frame @ common, frame @ slopes)
    rows = np.vstack([fixed[:told], np.linalg.pinv(common[told:])[6] @ fixed[told:]])
    covariance = np.asarray(rows @ adjusted.covariance @ rows.T)
    return Sureness(covariance[:-1, :-1], float(np.sqrt(max(covariance[-1, -1], 0.0))))


def _camera_slopes(cameras: Cameras, group: Index) -> Array:
    """(9 k + 5 g, p) derivative of what `Sureness` tells by all parameters of the bundle."""
    pictures, lenses = len(cameras.turn), cameras.lens.size
    size = lenses + _OWN * pictures + cameras.points.size
    slopes = np.zeros((_OWN * pictures + 5 * len(cameras.lens), size))
    matrix = rotation_matrix(cameras.turn)
    centred = turn_slopes(-cameras.turn, -cameras.shift)
    for k in range(pictures):
        row, first, lens = _OWN * k, lenses + 9 * k, 8 * group[k]
        turn, drift = slopes[row : row + 3], first + 6
        for axis in np.eye(3):
            # d(R p) = w x (R p) for the small turn w: summed over p = R^T axis it gives 2 w.
            moved = turn_slopes(cameras.turn[k], (matrix[k].T @ axis)[None])[0]
            turn[:, first : first + 3] += 0.5 * np.cross(axis, moved, axisb=0, axisc=0)
        slopes[row + 3 : row + 6, first : first + 3] = -centred[k]
        slopes[row + 3 : row + 6, first + 3 : first + 6] = -matrix[k].T
        slopes[row + 6, lens] = 1.0 + cameras.drift[k, 0]
        slopes[row + 6, drift] = cameras.lens[group[k], 0]
        slopes[[row + 7, row + 8], [lens + 1, lens + 2]] = 1.0
        slopes[[row + 7, row + 8], [drift + 1, drift + 2]] = 1.0
    for g in range(len(cameras.lens)):
        rows = _OWN * pictures + 5 * g + np.arange(5)
        slopes[rows, 8 * g + 3 + np.arange(5)] = 1.0
    return slopes


def _point_slopes(cameras: Cameras, seen: Index) -> Array:
    first = cameras.lens.size + _OWN * len(cameras.turn)
    slopes = np.zeros((3 * len(seen), first + cameras.points.size))
    columns = first + (3 * seen[:, None] + np.arange(3)).ravel()
    slopes[np.arange(3 * len(seen)), columns] = 1.0
    return slopes


def _common_motions(cameras: Cameras, seen: Index) -> Array:
    """(9 k + 5 g + 3 m, 7) how everything moves with a shift, a turn about each axis, and growth.

    About the middle of the frame's points.
    """
    points = cameras.points[seen]
    middle = points.mean(axis=0)
    centres = camera_centre(cameras.turn, cameras.shift) - middle
    pictures = np.zeros((len(centres), _OWN, 7))
    pictures[:, :3, 3:6] = -rotation_matrix(cameras.turn)
    pictures[:, 3:6] = _motions(centres)
    lenses = np.zeros((5 * len(cameras.lens), 7))
    moved = _motions(points - middle)
    return np.vstack([pictures.reshape(-1, 7), lenses, moved.reshape(-1, 7)])


def _motions(places: Array) -> Array:
    """(n, 3, 7)."""
    motions = np.zeros((len(places), 3, 7))
    motions[:, :, :3] = np.eye(3)
    for axis in range(3):
        motions[:, :, 3 + axis] = np.cross(np.eye(3)[axis], places)
    motions[:, :, 6] = places
    return motions
