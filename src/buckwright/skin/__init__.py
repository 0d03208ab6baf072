"""The skin step: smooth regions over the lines.

sampling      one set of vertices along all lines, shared by regions
loops         the outer loop of a region
fields        the faces between its lines, from how they cross
region_lines  which pieces of which lines make a region
layout        the lines laid flat, before there is a surface
frame         how firmly the lines hold the skin
grain         the way in which the skin's shape changes least
sheet         the surface of one region over its chart, from coarse to fine
doubt         where it is in doubt
mirroring     the right side from the left
span          the step itself
"""

from buckwright.skin.span import span_region, span_skin

__all__ = ["span_region", "span_skin"]
