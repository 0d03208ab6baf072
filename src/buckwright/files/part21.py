"""Text of a STEP file: numbered entities after ISO 10303-21."""

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["Entities", "listed", "number", "quoted"]

Array = NDArray[np.float64]


class Entities:
    """Entities in the order in which they were added; each is known by its reference, `#7`."""

    def __init__(self) -> None:
        self.lines: list[str] = []

    def add(self, text: str) -> str:
        """The reference of a new entity."""
        reference = f"#{len(self.lines) + 1}"
        self.lines.append(f"{reference}={text};")
        return reference

    def point(self, at: Array) -> str:
        """A point in the plane or in space."""
        return self.add(f"CARTESIAN_POINT('',{listed(at)})")

    def direction(self, along: Sequence[float]) -> str:
        """A direction."""
        return self.add(f"DIRECTION('',{listed(along)})")

    def spline_curve(self, degree: int, knots: Array, control: Array) -> str:
        """A B-spline curve with (n, d) control points."""
        points = ",".join(self.point(p) for p in control)
        values, counts = repeated(knots)
        return self.add(
            f"B_SPLINE_CURVE_WITH_KNOTS('',{degree},({points}),.UNSPECIFIED.,.F.,.F.,"
            f"{listed(counts)},{listed(values)},.UNSPECIFIED.)"
        )

    def spline_surface(
        self, degree: int, knots: tuple[Array, Array], control: Array, name: str
    ) -> str:
        """A B-spline surface with (nu, nv, 3) control points."""
        rows = ",".join("(" + ",".join(self.point(p) for p in row) + ")" for row in control)
        (u, nu), (v, nv) = (repeated(k) for k in knots)
        return self.add(
            f"B_SPLINE_SURFACE_WITH_KNOTS({quoted(name)},{degree},{degree},({rows}),"
            f".UNSPECIFIED.,.F.,.F.,.F.,{listed(nu)},{listed(nv)},{listed(u)},{listed(v)},"
            ".UNSPECIFIED.)"
        )


def number(value: float) -> str:
    """A real as Part 21 wants it: always with a point; nine digits after it at most."""
    if isinstance(value, int | np.integer):
        return str(int(value))
    text = f"{value:.9f}".rstrip("0")
    return "0." if text == "-0." else text


def listed(values: Iterable[float]) -> str:
    """Numbers in brackets."""
    return "(" + ",".join(number(value) for value in values) + ")"


def quoted(text: str) -> str:
    r"""Text in quotes: signs beyond ASCII as \X2\ and \X4\, quotes and backslashes doubled."""
    parts = []
    for sign in text:
        code = ord(sign)
        if sign in "'\\":
            parts.append(2 * sign)
        elif 32 <= code < 127:
            parts.append(sign)
        elif code < 0x10000:
            parts.append(f"\\X2\\{code:04X}\\X0\\")
        else:
            parts.append(f"\\X4\\{code:08X}\\X0\\")
    return "'" + "".join(parts) + "'"


def repeated(knots: Array) -> tuple[Array, NDArray[np.int64]]:
    """Different knots and how often each occurs."""
    values, counts = np.unique(knots, return_counts=True)
    return values, counts.astype(np.int64)
