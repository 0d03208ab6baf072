"""Profile gauges."""

from typing import Literal

from buckwright.model.fact import Fact, Numbers, Points2, Points3
from buckwright.model.finding import Finding

__all__ = ["Gauge", "GaugeSpec", "Gauges"]


class GaugeSpec(Fact):
    """Cards at planes of one axis across a region."""

    region: str
    axis: Literal["x", "y", "z"]
    at: tuple[float, ...]
    card_width: float = 60.0
    """mm of card behind the profile."""


class Gauge(Fact):
    """A profile card: held against the outside of the metal, it touches along `profile`."""

    name: str
    hand: Literal["left", "right"]
    plane: tuple[Literal["x", "y", "z"], float]
    section: Points3
    """(n, 3) the section of the skin that it fits, in vehicle axes."""
    profile: Points2
    """(n, 2) mm on the card, upright as it is held."""
    outline: Points2
    """Closed outline of the card, profile included; first point not repeated."""
    marks: Points2
    """(k, 2) reference marks on the profile: where named lines cross it."""
    mark_names: tuple[str, ...]
    origin: Numbers
    """(3,) vehicle point of the card's (0, 0)."""


class Gauges(Fact):
    """The set of cards: every left card followed by its mirror image for the right."""

    gauges: tuple[Gauge, ...]
    findings: tuple[Finding, ...] = ()
