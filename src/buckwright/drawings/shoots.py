"""The shoot from above: where cameras stood round the mat, and from where pictures are missing.

The farther out, the lower the camera stood; the middle is straight above.
"""

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import line, ring, words
from buckwright.model.drawings import Label, Sheet, Stroke
from buckwright.model.intake import ShootAdvice, Stand, Wanted

__all__ = ["SCALE_NOT_MEASURED", "shoot_sheet"]

Array = NDArray[np.float64]

SCALE_NOT_MEASURED = (
    "SCALE NOT MEASURED: every length here rests on the printer of the mat, 3 mm in a metre or "
    "more. Measure a bar of the mat and type it in before cutting."
)

_RADIUS, _HALF, _DOT, _OPEN = 270.0, 48.0, 6.5, 12.0
"""mm: the horizon, half the mat drawn, a camera, a place that is missing."""
_HEIGHTS = (20.0, 48.0)
_TEXT, _SMALL = 10.0, 7.0


def shoot_sheet(advice: ShootAdvice) -> Sheet:
    """The plan of the shoot; missing places are numbered in the order that helps most."""
    strokes: list[Stroke] = [ring("grid", (0.0, 0.0), _far(np.radians(h))) for h in _HEIGHTS]
    labels: list[Label] = []
    for degrees in _HEIGHTS:
        far = _far(np.radians(degrees))
        labels.append(words((0.0, far + 3.0), f"{degrees:.0f} degrees up", _SMALL, centred=True))
    strokes += _mat()
    labels += _sides()
    for stand in advice.stands:
        strokes += _camera(stand)
    for number, wanted in enumerate(advice.wanted, start=1):
        at = _at(wanted.azimuth, wanted.height)
        strokes.append(ring("shrink", at, _OPEN))
        labels.append(words(at - [0.0, 0.5 * _TEXT], str(number), _TEXT, centred=True))
    notes = (advice.say, *(f"{k}: {_told(w)}" for k, w in enumerate(advice.wanted, start=1)))
    return Sheet(
        name="shoot",
        title="Where the cameras stood, and from where pictures are missing",
        strokes=tuple(strokes),
        labels=tuple(labels),
        notes=notes,
        kind="check",
    )


def _told(wanted: Wanted) -> str:
    return f"{wanted.words}, about {np.degrees(wanted.height):.0f} degrees up"


def _far(height: float) -> float:
    share = min(max(height, 0.0), 0.5 * np.pi) / (0.5 * np.pi)
    return float(1.15 * _RADIUS * (1.0 - share))


def _at(azimuth: float, height: float) -> Array:
    return _far(height) * np.array([np.cos(azimuth), np.sin(azimuth)])


def _camera(stand: Stand) -> list[Stroke]:
    """A dot, and a short line towards the mat."""
    at = _at(stand.azimuth, stand.height)
    inward = -at / max(float(np.linalg.norm(at)), 1e-9)
    return [
        ring("outline", at, _DOT),
        line("outline", at + _DOT * inward, at + 2.6 * _DOT * inward, name=stand.picture),
    ]


def _mat() -> list[Stroke]:
    wide, high = _HALF, 0.68 * _HALF
    corners = np.array([[-wide, -high], [wide, -high], [wide, high], [-wide, high]])
    return [Stroke(ink="thin", points=corners, closed=True, name="mat")]


def _sides() -> list[Label]:
    wide, high = _HALF, 0.68 * _HALF
    places = {"A": (0.0, -high - 14.0), "B": (wide + 10.0, -5.0), "C": (0.0, high + 4.0)}
    places["D"] = (-wide - 10.0, -5.0)
    return [words(at, name, _TEXT, centred=True) for name, at in places.items()]
