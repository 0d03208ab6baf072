"""The skin step: smooth regions over the lines.

sampling      one set of vertices along all lines, shared by regions
loops         the outer loop of a region
fields        the faces between its lines, from how they cross
line_map      the lines of a whole body as a map: fields, and pieces of line between them
proposing     regions and open fields found from it; walls: what divides them; opening_out: rings
              round openings; telling, naming: what is said of them; turning_order: corners
line_faults   lines that bound nothing, each with its place
filling       what they look like before there is a skin
region_lines  which pieces of which lines make a region
layout        the lines laid flat, before there is a surface
frame         how firmly the lines hold the skin
grain         the way in which the skin's shape changes least
limber        how limber the lines draw it, and along which grain, as they say themselves
disagreeing   lines that miss each other: which of them is to blame
softening     lines moved together within their tolerance, before the skin is spanned
moved_lines   these moves kept, for drafts
sheet         the surface of one region over its chart, from coarse to fine
refining      triangles of the solved sheet divided down to the edge length
bounds        distance to each line, breaks across lines and creases
doubt         where it is in doubt
finishing     a sheet made a region: holes cut out, outside outward
drafting      a coarse region in a moment, from the draft before
mirroring     the right side from the left
span          the step itself
crowns        how much it is crowned, in the trade's words
stripes       lights mirrored in it, and shades
sections      plane sections with their curvature
soft_spots    dips that no line asks for; spots: those of a whole skin
turned        places that turn inward, and no line does
shape         all of these for a whole skin
offsets       the skin set in or out
meetings      lines in which regions cut each other
trimming      pieces of regions taken away; trim_lines: a trim laid on a region
edge_strips   flanges, hems and wired edges along the rim of a region
beads         stiffening beads and swages; bead_metal: whether the sheet takes them
louvres       fields of louvres; louvre_metal likewise
"""

from buckwright.skin.crowns import crown_classes, crown_words
from buckwright.skin.filling import picture_field
from buckwright.skin.proposing import propose_fields
from buckwright.skin.sections import section_lines
from buckwright.skin.shape import skin_section, skin_shape
from buckwright.skin.soft_spots import soft_spots
from buckwright.skin.softening import Softened, soften_lines, soften_regions
from buckwright.skin.span import span_region, span_skin
from buckwright.skin.spots import skin_spots
from buckwright.skin.stripes import isophotes, mirror_angles, reflection_stripes

__all__ = [
    "Softened",
    "crown_classes",
    "crown_words",
    "isophotes",
    "mirror_angles",
    "picture_field",
    "propose_fields",
    "reflection_stripes",
    "section_lines",
    "skin_section",
    "skin_shape",
    "skin_spots",
    "soft_spots",
    "soften_lines",
    "soften_regions",
    "span_region",
    "span_skin",
]
