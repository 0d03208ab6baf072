"""How many cards, and where, so that between them the shape is within a tolerance.

Starting from the first and last place, a card is added where the battens over the cards leave the
skin most, until none does by more than the tolerance; then every card that is not needed is taken
out again. What is left is measured on the skin itself at places that had no part in choosing.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment
from scipy.spatial.distance import cdist

from buckwright.errors import JobError
from buckwright.gauges.batten import Section, batten_surface, divided, off_sections, off_skin
from buckwright.gauges.cards import upright
from buckwright.gauges.planes import CutPlane
from buckwright.gauges.sections import Face, Profile

__all__ = ["Chosen", "choose_planes"]

Array = NDArray[np.float64]

PLACES = 80
"""Places along the region where a card may stand, about."""
STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
"""mm: places are multiples of one of these."""
PARTS, PROOF_PARTS = 101, 151
FINEST, WORTH = 1.0, 0.1
"""mm: places need not be closer; no tolerance below this is worth closer places."""
MANY = 40
"""Cards of a run beyond which nobody looks whether one could be spared."""
JUMP = 6.0
"""Steps by which an end of the section may move from place to place, and battens follow it."""
BETWEEN, MESH_TRUE = 0.01, 0.02
"""Added to the greatest error found: as a share of it, and in mm."""
CORNER_DEG = 35.0
"""Turn of the metal's edge from place to place that makes it a corner."""
ROUNDS = 6
SMALL = 120.0
"""mm over all below which a part was hardly measured in millimetres."""


@dataclass(frozen=True, eq=False, slots=True)
class Chosen:
    """Where the planes of the cards lie along the normal (k,), and how true the shape is."""

    at: Array
    runs: Array
    """(r, 2) first and last card of each run of battens."""
    error: float
    error_at: Array
    reached: bool
    left_out: tuple[float, float]
    """mm of the region before the first and after the last card."""


Row = list[Section]
"""One piece of the section at successive places."""
Part = tuple[Array, float, Array]
"""Places of the cards of a run, its greatest error, and where that is."""
Band = list[tuple[float, list[Profile]]]
"""Successive places, each with the pieces of its section."""


def choose_planes(
    face: Face, normal: Array, tolerance: float, *, least_square_deg: float = 40.0
) -> Chosen:
    """The planes across `normal` (3,) for that tolerance, at round distances from the origin.

    None is set where it meets the metal more flatly than `least_square_deg`.

    Where the section falls into another number of pieces (at a window), or its end turns a corner
    of the metal's edge or jumps, battens end, and there is a card at that place or on both sides
    of it. Raises JobError where no section is worth a card.
    """
    vertices = face.curved.vertices
    along = (vertices[vertices[:, 1] <= 0.0] if face.whole else vertices) @ normal
    if not len(along):
        raise JobError("There is nothing on the left for gauges.", "Give the left side of it.")
    low, high = float(along.min()), float(along.max())
    step = next((s for s in STEPS if s >= (high - low) / PLACES), STEPS[-1])
    places = np.arange(np.ceil(low / step), np.floor(high / step) + 1) * step
    bands = _bands(face, normal, places, least_square_deg)
    if not bands:
        raise _no_card(float(np.ptp(vertices, axis=0).max()))
    parts = [
        part
        for band in bands
        for part in _choose_run(face, normal, band, (tolerance, step, least_square_deg))
    ]
    at = np.unique(np.concatenate([found for found, _, _ in parts]))
    _, error, place = max(parts, key=lambda part: part[1])
    left_out = (float(at[0]) - low, high - float(at[-1]))
    runs = np.array([found[[0, -1]] for found, _, _ in parts])
    return Chosen(at, runs, error, place, error <= tolerance, left_out)


def _choose_run(
    face: Face, normal: Array, band: Band, asked: tuple[float, float, float]
) -> list[Part]:
    """Cards for a run; where all its places are not enough, for its finer runs."""
    tolerance, step, least_square_deg = asked
    part = _choose_band(face, normal, band, tolerance, step)
    if part[1] <= tolerance or step <= FINEST or tolerance < WORTH:
        return [part]
    finer = STEPS[max(STEPS.index(step) - 2, 0)]
    first, last = (round(place / finer) for place in (band[0][0], band[-1][0]))
    places = finer * np.arange(first, last + 1, dtype=np.float64)
    bands = _bands(face, normal, places, least_square_deg)
    return [_choose_band(face, normal, fine, tolerance, finer) for fine in bands]


def _no_card(size: float) -> JobError:
    problem = "No card of 40 mm or more fits across the part square enough to the metal"
    if size < SMALL:
        return JobError(
            f"{problem}: it measures only {size:.4g} mm over all.",
            f"If those are inches, multiply its mesh by 25.4 ({25.4 * size:.0f} mm).",
        )
    return JobError(f"{problem}.", "Choose another direction for the cards.")


def _bands(face: Face, normal: Array, places: Array, least_square_deg: float) -> list[Band]:
    """Runs of neighbouring places with the same number of pieces, each piece in step."""
    bands: list[Band] = []
    reach = JUMP * float(np.diff(places[:2]).sum())
    broken = True
    for place in places:
        pieces = _pieces(face, normal, float(place), least_square_deg)
        if pieces and not broken and len(bands[-1][-1][1]) == len(pieces):
            pieces = _matched(pieces, bands[-1][-1][1])
            broken = _ends_moved(pieces, bands[-1][-1][1]) > reach
        else:
            broken = True
        if pieces:
            bands += [[]] if broken else []
            bands[-1].append((float(place), pieces))
        broken = not pieces
    return [part for band in bands for part in _parted_at_corners(band)]


def _ends_moved(pieces: list[Profile], before: list[Profile]) -> float:
    ends = [np.array([p.points[[0, -1]] for p in some]) for some in (pieces, before)]
    return float(np.linalg.norm(ends[0] - ends[1], axis=2).max())


def _parted_at_corners(band: Band) -> list[Band]:
    """The run parted where an end of the section turns a corner of the metal's edge.

    Battens end there: the place of the corner belongs to both sides.
    """
    ends = np.array([[p.points[[0, -1]] for p in pieces] for _, pieces in band])
    if len(band) < 3:
        return [band]
    steps = np.diff(ends.reshape(len(band), -1, 3), axis=0)
    steps /= np.maximum(np.linalg.norm(steps, axis=2, keepdims=True), 1e-12)
    turn = np.arccos(np.clip(np.einsum("nkd,nkd->nk", steps[:-1], steps[1:]), -1.0, 1.0))
    sharp = np.pad(np.degrees(turn.max(axis=1)), 1)
    corners = [
        k
        for k in range(1, len(band) - 1)
        if sharp[k] > CORNER_DEG and sharp[k - 1] <= sharp[k] > sharp[k + 1]
    ]
    stops = [0, *corners, len(band) - 1]
    return [band[first : last + 1] for first, last in pairwise(stops)]


def _pieces(face: Face, normal: Array, at: float, least_square_deg: float) -> list[Profile]:
    plane = CutPlane(at * normal, normal)
    axes = plane.card_axes()
    found = face.cut(plane)
    if any(p.squareness_deg(normal) < least_square_deg for p in found):
        return []
    turned = [upright(p, axes) for p in found]
    return sorted(turned, key=lambda p: tuple(axes @ p.points.mean(axis=0)))


def _matched(pieces: list[Profile], before: list[Profile]) -> list[Profile]:
    """The pieces in the order of those before, each the nearest, and running the same way."""
    middles = [np.array([p.points.mean(axis=0) for p in some]) for some in (before, pieces)]
    _, order = linear_sum_assignment(cdist(*middles))
    return [_in_step(pieces[k], b) for k, b in zip(order.tolist(), before, strict=True)]


def _in_step(profile: Profile, before: Profile) -> Profile:
    """The profile turned round if it runs against the one before."""
    ends, old = profile.points[[0, -1]], before.points[[0, -1]]
    if np.linalg.norm(ends - old) <= np.linalg.norm(ends[::-1] - old):
        return profile
    return Profile(profile.points[::-1], profile.outward[::-1], profile.closed)


def _choose_band(
    face: Face,
    normal: Array,
    band: Band,
    tolerance: float,
    step: float,
) -> Part:
    """Places of the cards, greatest error measured on the skin, and where."""
    places = np.array([place for place, _ in band])
    if len(places) == 1:
        return places, 0.0, band[0][1][0].points[0]
    rows = _rows(band, PARTS)
    fine = _rows(band, PROOF_PARTS)
    target = tolerance
    tried: Part | None = None
    for _ in range(ROUNDS):
        chosen = _pruned(rows, _greedy(rows, target), target)
        error, place = _proof(face, fine, chosen, step)
        if tried is None or error < tried[1]:
            tried = (places[chosen], error, place)
        if error <= tolerance or len(chosen) == len(places) or tolerance < 2.0 * MESH_TRUE:
            break
        target *= 0.95 * tolerance / error
    assert tried is not None
    return tried


def _rows(band: Band, count: int) -> list[Row]:
    pieces = range(len(band[0][1]))
    return [
        [
            Section(at, *divided(profiles[k].points, profiles[k].outward, count))
            for at, profiles in band
        ]
        for k in pieces
    ]


def _errors(rows: list[Row], chosen: list[int]) -> Array:
    """(n,) greatest normal distance of the battens at each place."""
    at = np.array([section.at for section in rows[0]])
    each = [off_sections(batten_surface([row[i] for i in chosen], at), row) for row in rows]
    return np.asarray(np.abs(np.stack(each)).max(axis=(0, 2)))


def _greedy(rows: list[Row], target: float) -> list[int]:
    chosen = [0, len(rows[0]) - 1]
    while True:
        errors = _errors(rows, chosen)
        errors[chosen] = 0.0
        worst = int(np.argmax(errors))
        if errors[worst] <= target:
            return chosen
        chosen = sorted([*chosen, worst])


def _pruned(rows: list[Row], chosen: list[int], target: float) -> list[int]:
    """Without the cards that are not needed, those tried first whose loss costs least."""
    while 2 < len(chosen) < min(len(rows[0]), MANY):
        fewer = [[*chosen[:k], *chosen[k + 1 :]] for k in range(1, len(chosen) - 1)]
        costs = [float(_errors(rows, some).max()) for some in fewer]
        least = int(np.argmin(costs))
        if costs[least] > target:
            break
        chosen = fewer[least]
    return chosen


def _proof(face: Face, rows: list[Row], chosen: list[int], step: float) -> tuple[float, Array]:
    """Greatest normal distance of the battens from the skin between all places, and where.

    What may lie between the samples, and what the mesh itself may be out, are added.
    """
    low, high = rows[0][0].at, rows[0][-1].at
    at = np.arange(low + 0.5 * step, high, step)
    worst, place = -1.0, np.zeros(3)
    for row in rows:
        surface = batten_surface([row[i] for i in chosen], at)
        off = np.abs(off_skin(surface, face.curved))
        k = np.unravel_index(int(np.argmax(off)), off.shape)
        if off[k] > worst:
            worst, place = float(off[k]), surface[k]
    return (1.0 + BETWEEN) * worst + MESH_TRUE, place
