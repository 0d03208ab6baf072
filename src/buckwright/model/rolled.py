"""Fields of the skin that are flat or bent in one direction: the shop rolls or folds those."""

from typing import Literal

from buckwright.model.fact import Fact, Points3

__all__ = ["RolledField"]


class RolledField(Fact):
    """A field between lines that a plane, a cylinder or a cone comes near to everywhere."""

    kind: Literal["flat", "cylinder", "cone"]
    lines: tuple[str, ...]
    """Lines that bound it or run along its rim."""
    area: float
    """mm^2."""
    off_rms: float
    off_most: float
    """mm, from the plane, cylinder or cone."""
    radius: tuple[float, float]
    """mm, least and greatest radius across the rulings; 0 for a flat field."""
    axis: tuple[float, float, float]
    """Direction of the axis; the normal of a flat field."""
    apex: tuple[float, float, float] | None = None
    """Of a cone."""
    place: tuple[float, float, float]
    """About its middle."""
    rulings: tuple[Points3, ...] = ()
    """(2, 3) each, straight lines on it from rim to rim, evenly spread."""
    exact: bool = False
    """Whether the skin was made exactly so."""
    words: str = ""
