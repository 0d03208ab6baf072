"""Panels, their blanks, and where the metal must move.

making     make_panels: the specs of a job to panels with blanks
seams      dividing a region of the skin at its seams; rim: a panel's edges by name
cutting    a region with edges along lines, planes and seams; drawn_seams: laid through points
disc       what a mesh must be before it can be laid flat
blank      flatten_panel: the flat piece of one panel with its strains
aims       least work, least greatest strain, stretch only, shrink only
lie        how a blank is turned on the sheet: its grain, and so that the sheet holds it
outline    the outline to cut
notches    cuts in the allowance at inside corners, and openings
edges      what each edge becomes; edge_plan: its metal; margins: uneven outlines
other_side the right side as the left's mirror image, with its own names and marks
marks      match marks along seams, datum marks, the centre line
grid       squares on the blank and their lengths on the finished panel
shape_map  areas of stretch, shrink and bend, in the trade's words
bend       principal curvatures; bend_words: flat, rolled, crowned, reverse, and the anvil
order      the order of work, from the largest shrink
verdict    whether the alloy takes it, and what to do if not; closer_seam: one seam more
doubts     findings: units, sheet size, overlaps
nesting    nest_blanks, press_blanks: blanks on offcuts and sheets; offcuts_after: the rack
paper      strips of paper that show where metal is missing or in excess; paper_side: both sides
summary    a blank in numbers, for the command `blank`

Where a region's seams should go, by search:
seam_study   propose_seams: options at full fineness, which to take; accept: into the job
seam_search  the best few ways to divide, divided further; seam_states: weighed
seam_ways    along lines, straight over the skin; seam_parts: what they divide; seam_start
seam_specs   what is found as seams and panels of the job; seam_words: why
"""

from buckwright.panels.blank import flatten_panel
from buckwright.panels.grid import panel_grid
from buckwright.panels.making import make_panels
from buckwright.panels.nesting import nest_blanks, offcuts_after, press_blanks
from buckwright.panels.paper import paper_pattern
from buckwright.panels.seam_search import Watch
from buckwright.panels.seam_study import accept, propose_seams
from buckwright.panels.summary import blank_summary

__all__ = [
    "Watch",
    "accept",
    "blank_summary",
    "flatten_panel",
    "make_panels",
    "nest_blanks",
    "offcuts_after",
    "panel_grid",
    "paper_pattern",
    "press_blanks",
    "propose_seams",
]
