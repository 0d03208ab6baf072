"""The people who must fit inside."""

from typing import Literal

from buckwright.model.fact import Fact
from buckwright.model.finding import Finding
from buckwright.model.package import Package, PackageSpec

__all__ = ["FitAnswer", "FitQuestion", "HeightFit", "Person"]


class Person(Fact):
    """Body sizes, mm, measured on the person or chosen from the survey.

    What is None was not measured; then the survey's 95th percentile, or that of `chosen`, stands.
    """

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
    who: Literal["woman", "man", "either"] = "either"
    chosen: float | None = None
    """Percentile of the survey that the sizes were taken at; None where the person was measured."""
    eye_height: float | None = None
    hip_breadth: float | None = None
    head_breadth: float | None = None
    head_length: float | None = None
    thigh_clearance: float | None = None
    knee_height: float | None = None
    buttock_knee: float | None = None
    buttock_popliteal: float | None = None
    popliteal_height: float | None = None
    abdomen_depth: float | None = None
    chest_depth: float | None = None
    foot_length: float | None = None
    foot_breadth: float | None = None
    forearm_length: float | None = None
    eye_spacing: float | None = None


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
    abreast: float | None = None
    """mm over the shoulders of all, measured together as they sit in their coats; it then stands
    for the sum of breadths, clothing and gaps."""
    finished: float | None = None
    """mm, a width over the metal at the shoulders to compare with."""
    package: PackageSpec | None = None
    """Seats, steering, wheels and engine; None leaves them out."""


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
    package: Package | None = None
