"""Advice on a shoot: which heights and sides are missing, and what to photograph next.

A line needs to be seen from two heights at least, or level lines cannot be placed; eight pictures
low and all round, six higher, and one from above did best for the least walking.
"""

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.camera import camera_centre
from buckwright.model.intake import ShootAdvice, Stand, Wanted
from buckwright.model.pictures import Calibration

__all__ = ["advise_shoot", "shoot_so_far", "side_words"]

Array = NDArray[np.float64]

_RINGS = (("low", 20.0, 8), ("high", 48.0, 6), ("from above", 85.0, 1))
"""Name, degrees above the mat, and how many pictures all round."""
_BETWEEN = (33.0, 68.0)
"""Degrees at which one ring ends and the next begins."""
_LEAST_HEIGHT = 4.0
_SIDES = ("B", "C", "D", "A")
"""Of the mat, from 0 degrees on; printed on it."""
_COVERS = {8: 34.0, 6: 46.0, 1: 360.0}
"""Degrees to each side that a picture serves."""


def shoot_so_far(calibration: Calibration) -> ShootAdvice:
    """The advice after the cameras were placed."""
    middle = calibration.mat_points.mean(axis=0) if len(calibration.mat_points) else np.zeros(3)
    stands = []
    for picture in calibration.pictures:
        arm = camera_centre(picture.rotation_vector, picture.translation) - middle
        flat = float(np.hypot(arm[0], arm[1]))
        stands.append(
            Stand(
                picture=picture.name,
                azimuth=float(np.arctan2(arm[1], arm[0])),
                height=float(np.arctan2(arm[2], flat)),
                distance=float(np.linalg.norm(arm)),
            )
        )
    return advise_shoot(tuple(stands))


def advise_shoot(stands: tuple[Stand, ...]) -> ShootAdvice:
    """What is missing from these stands; before the first picture, the whole plan."""
    wanted = tuple(w for ring in range(len(_RINGS)) for w in _missing(ring, stands))
    ordered = tuple(sorted(wanted, key=lambda w: -_emptiness(w, stands)))
    return ShootAdvice(stands=stands, wanted=ordered, say=_sentence(stands, ordered))


def _ring_of(height: float) -> int:
    degrees = np.degrees(height)
    return -1 if degrees < _LEAST_HEIGHT else int(np.searchsorted(_BETWEEN, degrees))


def _missing(ring: int, stands: tuple[Stand, ...]) -> list[Wanted]:
    name, degrees, count = _RINGS[ring]
    mine = np.array([s.azimuth for s in stands if _ring_of(s.height) == ring])
    missing = []
    for k in range(count):
        azimuth = 2.0 * np.pi * k / count
        turn = np.abs(np.angle(np.exp(1j * (mine - azimuth))))
        if len(mine) and np.degrees(turn.min()) <= _COVERS[count]:
            continue
        words = "straight from above" if count == 1 else f"{name}, {side_words(azimuth)}"
        missing.append(Wanted(azimuth=azimuth, height=float(np.radians(degrees)), words=words))
    return missing


def side_words(azimuth: float) -> str:
    """At side B, or from the corner of sides B and C."""
    place = np.degrees(azimuth) % 360.0 / 90.0
    first = int(place) % 4
    rest = place - int(place)
    if rest < 0.2:
        return f"at side {_SIDES[first]}"
    if rest > 0.8:
        return f"at side {_SIDES[(first + 1) % 4]}"
    return f"from the corner of sides {_SIDES[first]} and {_SIDES[(first + 1) % 4]}"


def _emptiness(wanted: Wanted, stands: tuple[Stand, ...]) -> float:
    """Angle in rad to the nearest stand."""
    if not stands:
        return 0.0
    aim = _direction(wanted.azimuth, wanted.height)
    cosine = max(float(aim @ _direction(s.azimuth, s.height)) for s in stands)
    return float(np.arccos(np.clip(cosine, -1.0, 1.0)))


def _direction(azimuth: float, height: float) -> Array:
    flat = np.cos(height)
    return np.array([flat * np.cos(azimuth), flat * np.sin(azimuth), np.sin(height)])


def _sentence(stands: tuple[Stand, ...], wanted: tuple[Wanted, ...]) -> str:
    if not stands:
        return (
            "Walk round the mat twice: eight pictures from low, about 20 degrees up, six from "
            "about 48 degrees, and one straight from above; turn the phone upright for two."
        )
    if not wanted:
        return "All sides are there, at both heights and from above."
    rings = [_ring_of(stand.height) for stand in stands]
    empty = [_RINGS[r][0] for r in range(2) if r not in rings]
    gaps = f"No picture was taken from {' or '.join(empty)} heights. " if empty else ""
    first = "; ".join(w.words for w in wanted[:3])
    more = f"; and {len(wanted) - 3} more" if len(wanted) > 3 else ""
    return f"{gaps}Photograph next: {first}{more}."
