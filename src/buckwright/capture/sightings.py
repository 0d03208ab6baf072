"""All corners of all pictures as one table, and the cameras and mat that are fitted to it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.geometry.camera import project
from buckwright.model.pictures import Corners

__all__ = ["Cameras", "Sightings", "collect", "residuals"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

FULLY_SEEN = 110.0
"""px between neighbouring corners from which a corner is found as well as it can be."""


@dataclass(frozen=True, eq=False, slots=True)
class Sightings:
    """Corners seen: n of them in k pictures of g cameras (one camera: one size, one name)."""

    names: tuple[str, ...]
    sizes: tuple[tuple[int, int], ...]
    group: Index
    """(k,) camera of each picture."""
    picture: Index
    """(n,) picture of each corner."""
    corner: Index
    """(n,) number of the corner on the mat."""
    px: Array
    """(n, 2)."""
    trust: Array
    """(n,) 1 for a corner seen large, less for one seen small, whose error is larger by as much."""

    def kept(self, keep: NDArray[np.bool_]) -> "Sightings":
        """The same with only those corners (n,)."""
        return Sightings(
            names=self.names,
            sizes=self.sizes,
            group=self.group,
            picture=self.picture[keep],
            corner=self.corner[keep],
            px=self.px[keep],
            trust=self.trust[keep],
        )

    def counts(self) -> Index:
        """(k,) corners in each picture."""
        return np.bincount(self.picture, minlength=len(self.names)).astype(np.int64)

    def without(self, dropped: Sequence[int]) -> "Sightings":
        """The same without those pictures, the others numbered anew."""
        stay = [k for k in range(len(self.names)) if k not in set(dropped)]
        number = np.full(len(self.names), -1)
        number[stay] = np.arange(len(stay))
        keep = number[self.picture] >= 0
        _, group = np.unique(self.group[stay], return_inverse=True)
        return Sightings(
            names=tuple(self.names[k] for k in stay),
            sizes=tuple(self.sizes[k] for k in stay),
            group=group.astype(np.int64),
            picture=number[self.picture[keep]],
            corner=self.corner[keep],
            px=self.px[keep],
            trust=self.trust[keep],
        )


@dataclass(frozen=True, eq=False, slots=True)
class Cameras:
    """What is fitted: lenses of the groups, poses and drift of the pictures, points of the mat."""

    lens: Array
    """(g, 8): focal, principal point x and y, k1, k2, p1, p2, k3."""
    turn: Array
    """(k, 3) Rodrigues vectors, mat to camera."""
    shift: Array
    """(k, 3) mm."""
    drift: Array
    """(k, 3): relative change of the focal length, px of the principal point x and y."""
    points: Array
    """(corners, 3) mm."""

    def focal(self, group: Index) -> Array:
        """(k,) px, of each picture."""
        return np.asarray(self.lens[group, 0] * (1.0 + self.drift[:, 0]))

    def principal(self, group: Index) -> Array:
        """(k, 2) px, of each picture."""
        return np.asarray(self.lens[group, 1:3] + self.drift[:, 1:])


def collect(corners: Sequence[Corners]) -> Sightings:
    """One table of all corners; pictures in their order, cameras numbered as they first appear."""
    sizes = tuple(c.size for c in corners)
    kinds = tuple((c.size, c.camera) for c in corners)
    cameras = list(dict.fromkeys(kinds))
    return Sightings(
        names=tuple(c.picture for c in corners),
        sizes=sizes,
        group=np.array([cameras.index(kind) for kind in kinds], dtype=np.int64),
        picture=np.repeat(np.arange(len(corners)), [len(c.ids) for c in corners]),
        corner=np.concatenate([c.ids for c in corners]),
        px=np.concatenate([c.px for c in corners]),
        trust=np.concatenate([_trust(c.px) for c in corners]),
    )


def _trust(px: Array) -> Array:
    """(n,) from the distance to the nearest other corner of the picture.

    On a rendered mat the error grew in proportion as that distance fell below 110 px: 0.04 px
    above it, 0.06 at 90, 0.11 at 35.
    """
    if len(px) < 2:
        return np.ones(len(px))
    nearest = cKDTree(px).query(px, k=2)[0][:, 1]
    return np.asarray(np.clip(nearest / FULLY_SEEN, 0.1, 1.0))


def residuals(cameras: Cameras, seen: Sightings) -> Array:
    """(n, 2) px: where the cameras put each corner, less where it was seen."""
    of = seen.picture
    px = project(
        cameras.points[seen.corner],
        turn=cameras.turn[of],
        shift=cameras.shift[of],
        focal=cameras.focal(seen.group)[of],
        principal=cameras.principal(seen.group)[of],
        lens=cameras.lens[seen.group[of], 3:],
    )
    return px - seen.px
