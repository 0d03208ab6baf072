"""Lines: from the mat to full size, fair, meeting where they cross, changed on purpose.

make_reference     the whole step                                 reference.py
place_lines        mat frame -> vehicle axes at full size         placing.py, datum.py
fair_network       all lines, drawn together at their crossings   network.py, crossings.py, sides.py
fair_line          one line: least change of curvature in a band  fairing.py, drafting.py
apply_departures   stretch zones                                  departing.py

batten.py is the penalised spline with its choice of stiffness, band.py keeps it near its points,
turns.py takes out turns of curvature that the points do not insist on, both by the convex programme
of demands.py; doubts.py puts into words what is in doubt.
"""

from buckwright.lines.departing import apply_departures
from buckwright.lines.fairing import fair_line
from buckwright.lines.network import fair_network
from buckwright.lines.placing import place_lines
from buckwright.lines.reference import make_reference

__all__ = ["apply_departures", "fair_line", "fair_network", "make_reference", "place_lines"]
