"""The tolerance band: a convex programme that keeps the batten near its points.

The band round a point is an octagon across the line, inside the circle of the band's half-width.
Among all control points that keep the curve in every octagon and on every pin, the programme finds
those that bend least. Only few points ever press on their band; they are brought in when they are
found outside.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.spline import crossed
from buckwright.lines.batten import Batten
from buckwright.lines.demands import Demands, demand, joined, no_demands, obey

__all__ = [
    "Band",
    "across_frames",
    "band_demands",
    "gaps_across",
    "hold_in_band",
    "pin_demands",
]

Array = NDArray[np.float64]

OCTAGON = float(np.cos(np.pi / 8.0))
"""Inner radius of an octagon whose corners lie on a circle of radius 1."""

ROUNDS = 6


@dataclass(frozen=True, eq=False, slots=True)
class Band:
    """How the line lies in its band."""

    most_outside: float
    """mm beyond the band at the worst point, where pins pull the line out; 0 where it is kept."""
    worst: int
    """The point farthest outside, or nearest its edge."""
    pressed: int
    """Points that press on their band."""
    half_width: Array
    """(n,) mm of the band round each point."""


def hold_in_band(
    batten: Batten,
    control: Array,
    stiffness: Array,
    *,
    half_width: Array,
    pins: Array,
    shape: Array | None = None,
) -> tuple[Array, Band]:
    """Control points (m, 3) in the band, changed as little as bending and data allow.

    Parameters: `control` as it rests on data and pins; `half_width` (n,) mm; `pins` (k,)
    parameters at which the curve must not move; `shape`, control points that tell which way the
    line runs at each point, the resting ones if not given. Where pins and band contradict each
    other the pins win, and the band is widened step by step until the programme has an answer.
    """
    rest, held = control, set[int]()
    shape = rest if shape is None else shape
    width = np.array(half_width)
    for _ in range(ROUNDS):
        outside = gaps_across(batten, control, across_frames(batten, shape)) - width
        new = set(np.flatnonzero(outside > 1e-6).tolist()) - held
        if not new:
            break
        held |= new
        order = np.array(sorted(held))
        answer = None
        for _ in range(ROUNDS):
            answer = _pressed(
                batten, rest, stiffness, across_frames(batten, shape), width, order, pins
            )
            if answer is not None:
                break
            width[order] *= 1.5
        if answer is None:
            break
        control = shape = answer
    beyond = gaps_across(batten, control, across_frames(batten, control)) - half_width
    worst = int(np.argmax(beyond))
    most = max(0.0, float(beyond[worst]))
    return control, Band(most, worst, len(held), np.asarray(half_width))


def across_frames(batten: Batten, control: Array) -> Array:
    """(n, 2, 3) two unit vectors across the line at each point."""
    run = batten.runs @ control
    run = run / np.linalg.norm(run, axis=1, keepdims=True)
    least = np.argmin(np.abs(run), axis=1)
    across = crossed(run, np.eye(3)[least])
    across = across / np.linalg.norm(across, axis=1, keepdims=True)
    return np.stack([across, crossed(run, across)], axis=1)


def gaps_across(batten: Batten, control: Array, frames: Array) -> Array:
    """(n,) distance of each point from the line, square to it."""
    gap = batten.basis @ control - batten.points
    return np.asarray(np.linalg.norm(np.einsum("nij,nj->ni", frames, gap), axis=1))


def band_demands(
    batten: Batten, rest: Array, frames: Array, width: Array, points: NDArray[np.int64]
) -> Demands:
    """Demands that keep the curve in the octagons of these points: four directions at each."""
    if not len(points):
        return no_demands(batten.modes.shape[1])
    first, second = frames[points, 0], frames[points, 1]
    ways = np.stack([first, second, (first + second) / 2**0.5, (first - second) / 2**0.5], axis=1)
    ways = ways.reshape(-1, 3)
    rows = np.repeat(batten.basis[points], 4, axis=0)
    centre = np.einsum("cd,cd->c", np.repeat(batten.points[points], 4, axis=0), ways)
    reach = np.repeat(width[points] * OCTAGON, 4)
    return demand(batten, rest, [(rows, ways)], centre - reach, centre + reach)


def pin_demands(batten: Batten, rest: Array, pins: Array, control: Array) -> Demands:
    """Demands that leave the curve where `control` has it at the parameters `pins` (k,)."""
    if not len(pins):
        return no_demands(batten.modes.shape[1])
    rows = batten.rows(pins)
    where = (rows @ control).ravel()
    term = (np.repeat(rows, 3, axis=0), np.tile(np.eye(3), (len(pins), 1)))
    return demand(batten, rest, [term], where, where, exact=True)


def _pressed(
    batten: Batten,
    rest: Array,
    stiffness: Array,
    frames: Array,
    width: Array,
    points: NDArray[np.int64],
    pins: Array,
) -> Array | None:
    """Control points with the curve inside the octagons of `points`; None if there are none."""
    parts = [
        band_demands(batten, rest, frames, width, points),
        pin_demands(batten, rest, pins, rest),
    ]
    found = obey(batten, rest, stiffness, joined(parts))
    return None if found is None else found.control
