"""Sentences whose numbers the page writes in the units that its reader chose.

A sentence is a list of plain text and of figures; a figure is one key with its value:
{"mm"} a dimension, {"fine"} a doubt or a gap in mm, {"run"} mm of stock, {"m2"} an area in mm^2,
{"kg"} a mass, {"text"} a figure that needs no unit of length.
"""

from typing import Any

__all__ = [
    "Figure",
    "Words",
    "area",
    "counted",
    "figure",
    "fine",
    "length",
    "mass",
    "rounded",
    "run",
]

Figure = dict[str, float | str]
Words = list[str | Figure]


def length(mm: float) -> Figure:
    """A dimension: whole and tenth millimetres, or feet, inches and sixteenths."""
    return {"mm": round(float(mm), 4)}


def fine(mm: float) -> Figure:
    """A doubt, gap or deviation: hundredths of a millimetre, or thousandths of an inch."""
    return {"fine": round(float(mm), 5)}


def run(mm: float) -> Figure:
    """A long run of stock in mm: shown in metres or feet."""
    return {"run": round(float(mm), 1)}


def area(mm2: float) -> Figure:
    """An area in mm^2: shown in square metres or square feet."""
    return {"m2": round(float(mm2), 1)}


def mass(kg: float) -> Figure:
    """A mass in kg: shown in kilograms or pounds."""
    return {"kg": round(float(kg), 4)}


def figure(text: str) -> Figure:
    """A number that is the same everywhere: '0.31 px', '96 %'."""
    return {"text": text}


def counted(number: int, one: str, many: str | None = None) -> Figure:
    """'1 wire', '12 wires'."""
    return figure(f"{number} {one if number == 1 else many or one + 's'}")


def rounded(array: Any, digits: int = 2) -> Any:
    """Nested lists of an array, short enough to send."""
    return array.round(digits).tolist()
