"""Lettering of single strokes, for pens and cutters, and the width that words take everywhere.

Writers that use a real font fit its width to this one, so that words keep to the room that was
left for them, whatever the file. The strokes are the plain alphabet of A. V. Hershey,
'Calligraphy for computers', US Naval Weapons Laboratory (1967), through the package Hershey-Fonts.
"""

import unicodedata
from functools import cache

import numpy as np
from HersheyFonts import HersheyFonts
from numpy.typing import NDArray

__all__ = ["ascii_text", "lettering_strokes", "lettering_width", "wrapped"]

Array = NDArray[np.float64]

CAPITAL = 21.0
"""Units of the alphabet from the base line to the top of capitals."""
BOX, BELOW = 28.0, 7.0
"""Units of the whole glyph box, and of its part under the base line."""

_SPELT = {
    "×": "x",
    "°": " deg",
    "±": "+-",
    "–": "-",
    "—": "-",
    "−": "-",
    "’": "'",
    "‘": "'",
    "“": '"',
    "”": '"',
    "′": "'",
    "″": '"',
    "ß": "ss",
    "æ": "ae",
    "ø": "o",
    "½": " 1/2",
    "¼": " 1/4",
    "¾": " 3/4",
    "≤": "<=",
    "≥": ">=",
    "·": ".",
}


def ascii_text(text: str) -> str:
    """The text in ASCII: accents dropped, signs spelt out, anything else a question mark."""
    spelt = "".join(_SPELT.get(c, c) for c in text)
    plain = "".join(c for c in unicodedata.normalize("NFKD", spelt) if not unicodedata.combining(c))
    return "".join(c if " " <= c <= "~" else "?" for c in plain)


def lettering_width(text: str, height: float) -> float:
    """Width of the words with capitals of that height, side bearings included."""
    return sum(_glyph(c)[0] for c in ascii_text(text)) * height


def lettering_strokes(text: str, height: float) -> tuple[Array, ...]:
    """Polylines (n, 2) of the words, from (0, 0) at the left end of the base line, y up."""
    strokes, at = [], 0.0
    for c in ascii_text(text):
        width, lines = _glyph(c)
        strokes += [(line + np.array([at, 0.0])) * height for line in lines]
        at += width
    return tuple(strokes)


def wrapped(text: str, height: float, width: float) -> list[str]:
    """The text in lines no wider than `width`; a longer word stands alone."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and lettering_width(longer, height) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


@cache
def _glyph(character: str) -> tuple[float, tuple[Array, ...]]:
    """Width and strokes for capitals of height 1."""
    alphabet = _alphabet()
    (shape,) = alphabet.glyphs_for_text(character)
    lines = (np.array(line) for line in alphabet.strokes_for_text(character))
    strokes = tuple((line * BOX - (0.0, BELOW)) / CAPITAL for line in lines)
    return shape.char_width / CAPITAL, strokes


@cache
def _alphabet() -> HersheyFonts:
    alphabet = HersheyFonts()
    alphabet.load_default_font("futural")
    alphabet.normalize_rendering(1.0)
    return alphabet
