"""The people who must fit inside."""

from buckwright.model.fact import Fact
from buckwright.model.finding import Finding

__all__ = ["FitAnswer", "FitQuestion", "HeightFit", "Person"]


class Person(Fact):
    """Measured body sizes, mm."""

    name: str
    shoulder_breadth: float
    """Bideltoid breadth (ISO 7250-1)."""
    elbow_breadth: float
    """Forearm to forearm breadth, seated."""
    sitting_height: float
    shoulder_height: float
    """Acromial height above the seat."""
    elbow_height: float
    """Elbow rest height above the seat."""


class FitQuestion(Fact):
    """Who sits abreast, where, and what stands between them and the metal."""

    people: tuple[Person, ...]
    seat_x: float
    """Station of the shoulders."""
    seat_z: float
    """Height of the loaded seat above the ground."""
    clothing: float = 20.0
    """mm added to each breadth."""
    between: float = 15.0
    """mm kept between neighbours."""
    door_thickness: float = 50.0
    """mm from the skin's inner face to the trim, each side."""
    sheet_thickness: float = 1.2


class HeightFit(Fact):
    """Needed and given width at one height."""

    name: str
    z: float
    needed: float
    given: float
    sigma: float
    """mm, standard error of the given width."""
    spare: float


class FitAnswer(Fact):
    """Will they fit?"""

    fits: bool
    heights: tuple[HeightFit, ...]
    random_pair: float
    """Share of random pairs (half of each sex) whose shoulders fit."""
    widen_by: float
    """mm to widen the body so that they fit; 0 if they do."""
    findings: tuple[Finding, ...] = ()
