"""Creases inside a region, and how well the skin keeps to its lines."""

from typing import Self

from pydantic import model_validator

from buckwright.model.fact import Fact, Indices, Numbers

__all__ = ["CreaseSpec", "CreaseTrack", "LineBound"]


class CreaseSpec(Fact):
    """An inner line along which the skin may break its direction.

    It is sharp from `start` to `end`, mm along the line from its first point; without an end to
    its last. Beyond, and past its ends inside the region, the crease fades out.
    """

    line: str
    start: float = 0.0
    end: float | None = None

    @model_validator(mode="after")
    def _checked(self) -> Self:
        if self.start < 0.0 or (self.end is not None and not self.end > self.start):
            message = "a crease runs from a place on its line to a later one"
            raise ValueError(message)
        return self


class CreaseTrack(Fact):
    """The vertices along a crease, in order, and how far the skin breaks at each."""

    line: str
    vertices: Indices
    closed: bool
    angles: Numbers
    """(k,) degrees between the two sides; above nothing where the edge stands out."""


class LineBound(Fact):
    """How well the skin keeps to one line."""

    line: str
    most: float
    """mm, the greatest distance from the line to the mesh."""
    rms: float
    jump: float
    """Degrees, the most by which the skin breaks across the line; 0 on the boundary."""
    place: tuple[float, float, float]
    """Where it breaks most."""
    crease: bool = False
    """Whether it was asked to break."""
