"""What was built, held against the skin."""

from typing import Literal

import numpy as np

from buckwright.model.fact import Fact, Numbers, Points3, frozen
from buckwright.model.finding import Finding

__all__ = ["CheckResult", "Spot", "Survey"]


class Survey(Fact):
    """Points measured on something built, in its own frame, mm."""

    name: str
    region: str
    points: Points3
    sigma: float
    """mm, standard error of one coordinate."""
    side: Literal["whole", "left", "right"] = "left"


class Spot(Fact):
    """A connected area that stands too high or lies too low."""

    kind: Literal["high", "low"]
    centre: Numbers
    height: float
    """mm, peak, positive outside the skin."""
    mean: float
    area: float
    """mm^2."""
    points: int
    words: str
    doubt: float = 0.0
    """mm, two standard errors of its height above the shape that was meant: those of the points,
    of the seating, and of the skin, whose lines are in doubt and which nobody measured between."""


class CheckResult(Fact):
    """The survey seated on the skin: seated = rotation @ p + translation."""

    survey: str
    region: str
    rotation: Points3
    translation: Numbers
    seated: Points3
    distance: Numbers
    """(n,) mm, positive outside the skin."""
    rms: float
    """mm of the points outside all spots."""
    seating_sigma: float
    tolerance: float
    spots: tuple[Spot, ...]
    sigma: Numbers = frozen(np.zeros(0))
    """(n,) mm, standard error of each distance from the shape that was meant, all told; older
    answers hold none."""
    skin_sigma: float = 0.0
    """mm, rms of the skin's own part in that."""
    findings: tuple[Finding, ...] = ()
