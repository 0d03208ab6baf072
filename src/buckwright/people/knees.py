"""Room before the knees: to the metal, to a dashboard, to the engine."""

import numpy as np
from numpy.typing import NDArray

from buckwright.model.package import Box, Clearance, PackageSpec
from buckwright.people.rooms import Lining
from buckwright.people.seating import Seated

__all__ = ["KNEE_ROOM", "knee_clearances"]

Array = NDArray[np.float64]

KNEE_ROOM = 50.0
"""mm wanted before the knees: common practice, no source."""
KNEE_HALF = 55.0
"""mm, half the breadth of a knee (from memory)."""


def knee_clearances(
    people: tuple[Seated, ...], spec: PackageSpec, metal: Lining
) -> tuple[Clearance, ...]:
    """Least room before each person's knees, and what stands there; negative where it is lacking.

    Parameters: `metal` is the inner face of the skin. Knees reach from the seat up to the knee
    height measured above it, each as far from the middle of the person as the hip joints.
    """
    return tuple(_one(person, spec, metal) for person in people)


def _one(person: Seated, spec: PackageSpec, metal: Lining) -> Clearance:
    points = _knees(person)
    offers = [(*_to_metal(person, points, metal), "the metal before them")]
    if spec.dash is not None:
        offers.append((person.knee[0] - spec.dash, points[0], "the dashboard"))
    if spec.engine is not None:
        offers.append((*_to_box(points, spec.engine), "the engine box"))
    value, at, what = min(offers, key=lambda offer: offer[0])
    return Clearance(
        name=f"{person.name}'s knees",
        value=value,
        wanted=KNEE_ROOM,
        at=(float(at[0]), float(at[1]), float(at[2])),
        words=f"from the knees to {what}",
    )


def _knees(person: Seated) -> Array:
    """(n, 3) points over the fronts of both knees."""
    above = max(person.body["knee_height"] - person.body["popliteal_height"], 1.0)
    apart = max(0.5 * person.body["hip_breadth"] - 2.0 * KNEE_HALF, 0.0) + KNEE_HALF
    heights = person.knee[1] + np.linspace(0.0, above, 5)
    across = np.concatenate(
        [person.y + side * apart + np.linspace(-KNEE_HALF, KNEE_HALF, 5) for side in (-1.0, 1.0)]
    )
    grid = np.stack(np.meshgrid(across, heights, indexing="ij"), axis=-1).reshape(-1, 2)
    return np.column_stack([np.full(len(grid), person.knee[0]), grid])


def _to_metal(person: Seated, points: Array, metal: Lining) -> tuple[float, Array]:
    """Least distance to the metal; below zero where a knee pokes through it."""
    forward = np.array([-1.0, 0.0, 0.0])
    best, place = metal.nearest(points)
    for point in points:
        start = np.array([person.hip[0], point[1], point[2]])
        ahead = metal.along(start, forward)
        if ahead is not None and ahead < start[0] - point[0]:
            lacking = ahead - (start[0] - point[0])
            best, place = (lacking, point) if lacking < best else (best, place)
    return best, place


def _to_box(points: Array, box: Box) -> tuple[float, Array]:
    """Least distance to a box; inside it as far below zero as the way out to the rear."""
    low, high = np.array(box.low), np.array(box.high)
    away = np.linalg.norm(np.maximum(np.maximum(low - points, points - high), 0.0), axis=1)
    inside = np.all((points > low) & (points < high), axis=1)
    away = np.where(inside, points[:, 0] - high[0], away)
    k = int(np.argmin(away))
    return float(away[k]), points[k]
