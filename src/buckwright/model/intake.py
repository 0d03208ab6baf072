"""What came of looking at a shoot: groups, refusals, where the cameras stood, what is missing."""

from pydantic import Field

from buckwright.model.fact import Fact
from buckwright.model.finding import Finding
from buckwright.model.pictures import PictureSource

__all__ = ["Intake", "PictureGroup", "Refusal", "ShootAdvice", "Stand", "Wanted"]


class PictureGroup(Fact):
    """Pictures of one camera at one focal length and size: they share a lens."""

    camera: str
    """As the files tell it; empty where they do not."""
    focal_mm: float
    size: tuple[int, int]
    pictures: tuple[str, ...]


class Refusal(Fact):
    """A picture that cannot be used, why, and what to do."""

    picture: str
    problem: str
    remedy: str


class Stand(Fact):
    """Where a camera stood, seen from the middle of the mat."""

    picture: str
    azimuth: float
    """rad, counter-clockwise seen from above, 0 along the columns: at side B of the mat."""
    height: float
    """rad above the mat."""
    distance: float
    """mm."""


class Wanted(Fact):
    """A place from which a picture is missing."""

    azimuth: float
    height: float
    words: str
    """Where that is, as one says it beside the mat."""


class ShootAdvice(Fact):
    """Which heights and sides there are, and what to photograph next."""

    stands: tuple[Stand, ...]
    wanted: tuple[Wanted, ...]
    """In the order in which they help most."""
    say: str
    """One sentence."""


class Intake(Fact):
    """A whole shoot looked at before it is solved."""

    accepted: tuple[PictureSource, ...]
    groups: tuple[PictureGroup, ...]
    refused: tuple[Refusal, ...]
    advice: ShootAdvice
    findings: tuple[Finding, ...] = Field(())
