"""The gauges step: profile cards that are held against the outside of the metal.

make       `make_gauges`, the whole step
sections   where a plane cuts a region, as a smooth profile
cards      a profile as a card: coordinates, outline, marks, and its mirror image
"""

from buckwright.gauges.make import make_gauges

__all__ = ["make_gauges"]
