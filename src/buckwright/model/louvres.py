"""Fields of louvres: slots cut in rows and columns, each with its lip pressed out."""

from typing import Any, Literal

from pydantic import SerializerFunctionWrapHandler, model_serializer

from buckwright.model.fact import Fact, Points3, Triangles
from buckwright.model.finding import Finding

__all__ = ["LouvreField", "LouvreSpec"]

Place = tuple[float, float, float]


class LouvreSpec(Fact):
    """Rows and columns of equal louvres round a place on a region. mm.

    Each is cut along one long side; the metal beside the cut is pressed out to a lip.
    """

    name: str
    region: str
    at: Place
    """The middle of the field, on or near the skin."""
    along: Literal["x", "y", "z"] = "x"
    """The axis that the cuts follow, as near as the skin lets them."""
    rows: int = 1
    """Side by side, across the cuts."""
    columns: int = 1
    """End to end."""
    length: float
    """Of the cut."""
    width: float
    """From the cut to the root."""
    height: float
    """Of the lip above the skin."""
    row_pitch: float
    column_pitch: float
    """From louvre to louvre."""
    between: tuple[str, ...] = ()
    """Lines of the region that no louvre may cross or touch."""
    opens: Literal["plus", "minus"] = "plus"
    """Whether the cut lies towards the greater or the lesser side of the rows' direction."""
    slits: Literal["on the formed panel", "in the flat"] = "on the formed panel"
    """Whether a die cuts and presses in one blow once the panel is formed, or the slits are cut
    with the blank; metal that is stretched tears from a slit."""

    @model_serializer(mode="wrap")
    def _written(self, write: SerializerFunctionWrapHandler) -> dict[str, Any]:
        """As before there was a choice where it is the usual one: stored answers stay fresh."""
        told: dict[str, Any] = write(self)
        if self.slits == "on the formed panel":
            told.pop("slits", None)
        return told


class LouvreField(Fact):
    """A field of louvres as it stands on the skin."""

    name: str
    region: str
    spec: LouvreSpec
    cuts: tuple[Points3, ...]
    """(k, 3) each, on the skin."""
    vertices: Points3
    triangles: Triangles
    cut_length: float
    """mm of all cuts."""
    across: float
    """What the metal stretches from the root to the lip, as a fraction."""
    lip: float
    """What the lip stretches along, as a fraction."""
    between_rows: float | None = None
    """mm of plain metal from louvre to louvre; None where there is one row."""
    between_columns: float | None = None
    to_edge: float
    """mm from the nearest louvre to the region's edge or a line it keeps from."""
    nearest: str
    """What that is."""
    findings: tuple[Finding, ...] = ()
