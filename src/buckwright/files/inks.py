"""One pen for each ink: width, colour, dashes, and its layer in a cut file.

Widths are steps of ISO 128-2 that can be seen a step away in a cold shop. Stretch and shrink are
told apart by colour and by dashes, so that a black printer and a colour-blind reader see both.
"""

from dataclasses import dataclass

from buckwright.model.drawings import Ink

__all__ = ["PENS", "Pen"]


@dataclass(frozen=True, slots=True)
class Pen:
    """Width and dashes in mm, colour as red, green, blue from 0 to 1, layer name and its colour."""

    width: float
    colour: tuple[float, float, float]
    dashes: tuple[float, ...]
    layer: str
    layer_colour: int


_BLACK, _GREY, _PALE = (0.0, 0.0, 0.0), (0.25, 0.25, 0.25), (0.6, 0.6, 0.6)
_ORANGE, _VIOLET = (0.70, 0.30, 0.0), (0.30, 0.16, 0.58)

PENS: dict[Ink, Pen] = {
    "grid": Pen(0.18, _PALE, (), "GRID", 9),
    "thin": Pen(0.35, _GREY, (), "THIN", 8),
    "centre": Pen(0.35, _GREY, (12.0, 2.0, 1.0, 2.0), "CENTRE", 4),
    "crease": Pen(0.5, _BLACK, (), "CREASE", 5),
    "outline": Pen(0.7, _BLACK, (), "OUTLINE", 7),
    "stretch": Pen(0.5, _ORANGE, (), "STRETCH", 30),
    "shrink": Pen(0.5, _VIOLET, (6.0, 2.0), "SHRINK", 200),
    "mark": Pen(0.5, _BLACK, (), "MARK", 3),
    "text": Pen(0.35, _BLACK, (), "TEXT", 2),
    "cut": Pen(0.7, _BLACK, (), "CUT", 1),
}
"""In the order in which they are drawn: what must not be hidden comes last."""
