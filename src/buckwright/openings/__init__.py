"""The openings step: doors, windows, screens and lids on the skin; how they swing, what glass.

make_openings   every opening of the job: outline, hinge axis, swing, glass
OpeningMaker    the same for one opening at a time

outline         lines joined into one loop; the shut gap on either side; names of edges
part            skin cut along the outline into part and body, edges turned inward
hinges          one axis through all pins; where it must not run; which way is out
swing, near     the part turned: first touch, clearance on the way, the way in
glass, drop     panes flat or bent in one direction; let down inside a door
checks, doubts  what is refused, and what is told with the answer
"""

from buckwright.openings.checks import LIMITS, check_opening
from buckwright.openings.make import OpeningMaker, make_openings

__all__ = ["LIMITS", "OpeningMaker", "check_opening", "make_openings"]
