"""Edges of sheet: how much metal the handbooks add for each.

Each row says where its numbers come from; `memory` means that nobody opened the page.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np

from buckwright.tables.rows import table_rows

__all__ = ["EdgeAllowance", "edge_allowance", "edge_allowances", "wired_edge_metal"]

_WRAP = np.radians(290.0)
"""How far metal goes round the wire of a wired edge."""
_THICK = 0.1
"""Sheet over this part of the wire's diameter needs more than the handbook's rule."""


@dataclass(frozen=True, slots=True)
class EdgeAllowance:
    """The rule for one kind of edge: mm.

    Attributes: edge; of, what the factor counts (`width`, `height`, `wire diameter`, or nothing);
    factor; usual, the size taken where none is given; least and most, what is usual; check, a
    worked example of the source; source.
    """

    edge: str
    of: str
    factor: float
    usual: float
    least: float
    most: float
    check: str
    source: str


@cache
def edge_allowances() -> tuple[EdgeAllowance, ...]:
    """Every kind of edge in the table."""
    return tuple(
        EdgeAllowance(
            row["edge"],
            row["of"],
            float(row["factor"]),
            float(row["usual_mm"]),
            float(row["least_mm"]),
            float(row["most_mm"]),
            row["check"],
            row["source"],
        )
        for row in table_rows("edge_allowances.csv")
    )


def edge_allowance(edge: str) -> EdgeAllowance:
    """The rule for that kind of edge; ValueError if the table does not have it."""
    found = next((rule for rule in edge_allowances() if rule.edge == edge), None)
    if found is None:
        message = f"no rule for a {edge!r}"
        raise ValueError(message)
    return found


def wired_edge_metal(wire: float, thickness: float) -> float:
    """Metal beyond the edge for a wire of that diameter in sheet of that thickness, mm.

    2.5 diameters (US Navy Steelworker manual: 1/8 in wire, 5/16 in). In sheet thicker than a
    tenth of the wire the neutral fibre lies farther out, and its length round 290 degrees of the
    wire is taken where that is more.
    """
    if wire <= 0.0 or thickness <= 0.0:
        message = "a wired edge needs a wire and a sheet"
        raise ValueError(message)
    rule = edge_allowance("wired edge").factor * wire
    return rule if thickness <= _THICK * wire else max(rule, 0.5 * (wire + thickness) * _WRAP)
