"""Single places measured from pictures: bolt holes, wheel centres, datum marks.

Frame: millimetres of the mat, as in `pictures.py`.
"""

from typing import Literal

from buckwright.model.fact import Fact, Numbers, Points3
from buckwright.model.finding import Finding

__all__ = ["MeasuredPoint", "PlacedPoint"]


class MeasuredPoint(Fact):
    """A place as the pictures give it: a marked dot, or the middle of a round rim."""

    name: str
    kind: Literal["dot", "rim"]
    point: Numbers
    """(3,) mm."""
    covariance: Points3
    """(3, 3) mm^2: the hand's doubt and the cameras'."""
    sigma: float
    """mm, standard error in one direction: root of a third of the covariance's trace."""
    pictures: tuple[str, ...]
    residual_px: float
    """rms of the clicks, in one direction."""
    radius: float = 0.0
    """mm of a rim; 0 of a dot."""
    axis: Numbers | None = None
    """(3,) unit vector square to a rim's plane; None of a dot."""
    findings: tuple[Finding, ...] = ()


class PlacedPoint(Fact):
    """A measured point in vehicle axes at full size, before departures."""

    name: str
    point: Numbers
    """(3,) mm."""
    sigma: float
    """mm in one direction, the scale's doubt included."""
    radius: float = 0.0
    """mm of a rim; 0 of a dot."""
