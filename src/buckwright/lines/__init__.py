"""Lines: from the mat to full size, fair, meeting where they cross, changed on purpose.

make_reference     the whole step, in two halves                  reference.py
place_lines        mat frame -> vehicle axes at full size         placing.py, datum.py
fair_network       all lines, drawn together at their crossings   network.py, laying.py
feel_line          one line in the hand, which pins pull        condensing.py, pulling.py, grips.py
fair_line          one line: least change of curvature in a band  fairing.py, drafting.py
apply_departures   stretch zones                                  departing.py

batten.py is the penalised spline with its choice of stiffness, band.py keeps it near its points,
turns.py takes out turns of curvature that the points do not insist on, both by the convex programme
of demands.py; doubts.py puts into words what is in doubt.
"""

from buckwright.lines.condensing import Felt, feel_line
from buckwright.lines.departing import apply_departures
from buckwright.lines.fairing import fair_line
from buckwright.lines.network import fair_network
from buckwright.lines.placing import place_lines
from buckwright.lines.reference import (
    Lofted,
    finish_reference,
    lay_reference,
    make_reference,
)

__all__ = [
    "Felt",
    "Lofted",
    "apply_departures",
    "fair_line",
    "fair_network",
    "feel_line",
    "finish_reference",
    "lay_reference",
    "make_reference",
    "place_lines",
]
