"""The buck step: wires set in from the skin, tacks, inner frame, posts, and what to cut.

make        `make_buck`, the whole step
wires       the wires that are asked for, as rods in their places, and as products
paths       where a wire runs on the skin: along a line or a section, with the normal
line_runs   a line over the mesh, joined across regions without a crease
rods        a rod set in to a depth: points, lengths, least bend radius
layers      which crossing wire lies inside which
meeting     where two rods come near, and the room between their tubes
tacks       butts cut back; tack marks along both rods
frame       the box of square tube, its rings and members (`frame_search`: the largest clear one)
inner_face  distances to the inner face of the skin
posts       straight rods from the frame to tacks
bending     the bend table of each wire, and which are only sprung into place
pushing     how hard a sprung rod pushes at its tacks
springback  round bar and sheet: radius to bend to, what stays elastic
stock       `plan_cuts`: bars to buy and how to cut them (`fill`, `patterns`: how)
doubts      findings
"""

from buckwright.buck.make import make_buck
from buckwright.buck.springback import elastic_radius, forming_radius, released_radius
from buckwright.buck.stock import plan_cuts

__all__ = ["elastic_radius", "forming_radius", "make_buck", "plan_cuts", "released_radius"]
