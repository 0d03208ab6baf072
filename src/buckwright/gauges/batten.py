"""The shape that cards carry: battens laid over neighbouring cards.

Each card's profile is divided into equal parts of its length; through the same part of all cards
runs a batten, a cubic spline with free ends. Cards 'give' a shape within a tolerance when no
batten leaves the skin by more than that along the skin's normal.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.polyline import arc_lengths

__all__ = ["LAW", "Section", "batten_surface", "off_sections", "off_skin"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

LAW = (
    "Divide each card's profile into equal parts of its length; a batten with free ends "
    "(natural cubic spline) through the same part of all cards is the shape between them."
)


@dataclass(frozen=True, eq=False, slots=True)
class Section:
    """A profile at one place of a family of planes, sampled at equal parts of its length."""

    at: float
    """mm along the family's normal."""
    points: Array
    """(m, 3)"""
    outward: Array
    """(m, 3)"""


def divided(points: Array, outward: Array, count: int) -> tuple[Array, Array]:
    """Points and unit normals at `count` equal parts of the profile's length, ends included."""
    along = arc_lengths(points)
    at = np.linspace(0.0, along[-1], count)
    table = np.hstack([points, outward])
    found = np.column_stack([np.interp(at, along, column) for column in table.T])
    length = np.linalg.norm(found[:, 3:], axis=1, keepdims=True)
    return found[:, :3], found[:, 3:] / length


def batten_surface(cards: list[Section], at: Array) -> Array:
    """(len(at), m, 3) points of the battens over the cards, which stand in order.

    The battens' parameter is their mean length from card to card; `at` are places along the
    family's normal, from the first card to the last. Two cards give straight battens.
    """
    places = np.array([card.at for card in cards])
    points = np.stack([card.points for card in cards])
    if len(cards) == 2:
        share = ((at - places[0]) / (places[1] - places[0]))[:, None, None]
        return np.asarray(points[0] + share * (points[1] - points[0]))
    steps = np.linalg.norm(np.diff(points, axis=0), axis=2).mean(axis=1)
    length = np.concatenate([[0.0], np.cumsum(steps)])
    fine = np.linspace(0.0, length[-1], FINE)
    forward = CubicSpline(length, places, bc_type="natural")(fine)
    if np.all(np.diff(forward) > 0.0):
        return np.asarray(
            CubicSpline(length, points, axis=0, bc_type="natural")(np.interp(at, forward, fine))
        )
    # Such battens would turn back on the way: they are read by place instead.
    return np.asarray(CubicSpline(places, points, axis=0, bc_type="natural")(at))


def off_sections(surface: Array, sections: list[Section]) -> Array:
    """(k, m) normal distances of the battens (k, m, 3) from the skin's sections at those places.

    First-order exact: the nearest place of the section's curve, seen along the skin's normal.
    """
    return np.stack([_off_section(p, s) for p, s in zip(surface, sections, strict=True)])


def _off_section(points: Array, section: Section) -> Array:
    start, side = section.points[:-1], np.diff(section.points, axis=0)
    square = np.maximum(np.einsum("nd,nd->n", side, side), 1e-300)
    # The nearest place is a few parts away at most: a window of them is looked at.
    m = len(points)
    window = np.clip(np.arange(m)[:, None] + np.arange(-REACH, REACH)[None], 0, m - 2)
    offset = points[:, None] - start[window]
    share = np.clip(np.einsum("mwd,mwd->mw", offset, side[window]) / square[window], 0.0, 1.0)
    gap = offset - share[:, :, None] * side[window]
    best = np.argmin(np.einsum("mwd,mwd->mw", gap, gap), axis=1)
    rows = np.arange(m)
    piece, part = window[rows, best], share[rows, best, None]
    normal = (1.0 - part) * section.outward[piece] + part * section.outward[piece + 1]
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    return np.asarray(np.einsum("md,md->m", gap[rows, best], normal))


FINE = 4001
REACH = 12
"""Parts of a profile by which a batten may slip along it."""


def off_skin(surface: Array, curved: CurvedMesh) -> Array:
    """(k, m) normal distances of the battens (k, m, 3) from the smooth surface itself.

    A batten that runs past the metal's edge is measured from the surface going straight on.
    """
    points = surface.reshape(-1, 3)
    on, upright = curved.lift(points)
    off = np.einsum("nd,nd->n", points - on, upright)
    return np.asarray(off.reshape(surface.shape[:2]))
