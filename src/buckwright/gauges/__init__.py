"""The gauges step: profile cards held against the metal, stands for them, and sweeps.

make       `make_gauges`, the whole step
planes     planes square to an axis, anywhere, or at a place on a line
sections   where a plane cuts a face of the metal, as a smooth profile
cards      a profile as a card: coordinates, outline, marks, and its mirror image
choose     how many cards, and where, so that between them the shape is within a tolerance
batten     the shape that cards carry, and how far it leaves the skin
stand      feet and combs that slot together and hold the cards in their planes
sweeps     the fewest arcs that touch everywhere, and which belongs where
sagitta    how much the metal bends over a chord
part       a part from a mesh, without a job
summary    gauges in numbers
doubts     doubts about cards that leave them standing
"""

from buckwright.gauges.batten import LAW
from buckwright.gauges.make import make_gauges
from buckwright.gauges.part import part_findings, part_skin
from buckwright.gauges.summary import gauge_summary
from buckwright.gauges.sweeps import choose_sweeps

__all__ = [
    "LAW",
    "choose_sweeps",
    "gauge_summary",
    "make_gauges",
    "part_findings",
    "part_skin",
]
