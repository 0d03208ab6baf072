"""Straight lines drawn over the smooth surface behind a mesh, from given places and directions."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.curved_mesh import CurvedMesh

__all__ = ["SurfaceRays", "surface_rays"]

Array = NDArray[np.float64]

_OFF = 0.05
"""A step whose end lies off the surface by more than this part of it has passed the rim."""


@dataclass(frozen=True, eq=False, slots=True)
class SurfaceRays:
    """Straight lines over a surface.

    Attributes: points and normals (n, k, 3), every `step` mm along the k lines, the start first;
    reach (k,), mm along each line to the rim; beyond it the line's points repeat its last.
    """

    points: Array
    normals: Array
    reach: Array
    step: float


def surface_rays(
    surface: CurvedMesh, starts: Array, ways: Array, *, step: float, longest: float
) -> SurfaceRays:
    """Geodesics from `starts` (k, 3) on the surface towards `ways` (k, 3), to the rim.

    Each step goes on straight in the tangent plane and is put back on the surface, where its
    direction loses what sticks out: on a sphere exactly a great circle, elsewhere of second order
    in `step`. No line goes on beyond `longest`.
    """
    here, up = surface.lift(starts)
    way = _tangent(ways, up)
    reach, alive = np.zeros(len(starts)), np.ones(len(starts), dtype=np.bool_)
    points, normals = [here], [up]
    for _ in range(int(np.ceil(longest / step))):
        if not alive.any():
            break
        here, up, way, reach = here.copy(), up.copy(), way.copy(), reach.copy()
        going = np.flatnonzero(alive)
        target = here[going] + step * way[going]
        lifted, upright = surface.lift(target)
        off = target - lifted
        off -= np.einsum("kd,kd->k", off, upright)[:, None] * upright
        past = np.linalg.norm(off, axis=1) > _OFF * step
        # What was still on the surface of the step that passed the rim.
        part = np.clip(step - np.einsum("kd,kd->k", off, way[going]), 0.0, step)
        reach[going] += np.where(past, part, _arcs(here[going], lifted, up[going], upright))
        on = going[~past]
        here[on], up[on] = lifted[~past], upright[~past]
        way[on] = _tangent(way[on], up[on])
        alive[going[past]] = False
        points.append(here)
        normals.append(up)
    return SurfaceRays(np.stack(points), np.stack(normals), reach, step)


def _tangent(ways: Array, up: Array) -> Array:
    flat = ways - np.einsum("kd,kd->k", ways, up)[:, None] * up
    return np.asarray(flat / np.linalg.norm(flat, axis=1, keepdims=True))


def _arcs(start: Array, end: Array, up: Array, upright: Array) -> Array:
    """(k,) lengths of the arcs over the chords, from how far the normals turn."""
    chord = np.linalg.norm(end - start, axis=1)
    half = np.arcsin(np.clip(0.5 * np.linalg.norm(upright - up, axis=1), 0.0, 1.0))
    return np.asarray(chord * np.where(half > 1e-6, half / np.sin(np.maximum(half, 1e-9)), 1.0))
