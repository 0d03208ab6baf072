"""The buck step: wires set in from the skin, tacks, inner frame, posts, and what to cut.

make        `make_buck`, the whole step
choosing    one edit of which wires there are: `add_wire`, `drop_wire`, `move_wire`, `rename_wire`
proposing   `propose_wires`: what the lines and two rules of spacing ask for, `accept_wires` takes
spacing     the skin between neighbouring wires: its sagitta, and how far a rod across it gives
wires       the wires that are asked for, as rods in their places, and as products
paths       where a wire runs on the skin: along a line or a section, with the normal
line_runs   a line over the mesh, joined across regions without a crease
creases     which way a rod lies off a line where two regions meet at an angle
metal       rods against the metal of other regions: ends cut back
rods        a rod set in to a depth: points, lengths, least bend radius
layers      which crossing wire lies inside which
meeting     where two rods come near, and the room between their tubes
joints      wires cut and butted at others, ends cut back to what they end on
tacks       tack marks along both rods
splices     where a closed wire's ends meet, and where one longer than the bars is spliced
openings    wires in the way of metal, of parts that open, of each other: what puts it right
growing     what stands: `mark_built`, `changes_of`, `wires_to_make` (`comparing`: rod by rod)
inner_frame `build_frame`: all of the inner frame and its posts, from these:
  obstacles      what it keeps off, as points: metal, wires, `wheels`, people (`occupants`)
  inner_face     exact distances to the inner face of the skin
  frame          the box, its rings and members (`frame_search`: the largest clear one)
  bracing        diagonals and their saw cuts; `frame_stock`: tube or folded strip
  seating        members that are bolted because people sit there
  posts          straight rods from the frame to tacks (`post_room`: past everything)
  arms           tubes that reach out to what the box does not reach, as under wings
  standing       legs, feet, the slope at which it falls over
  frame_rooms, way_out, weight, lifting, frame_doubts   what is known of it then
bending     the bend table of each wire, and which are only sprung into place
pushing     how hard a sprung rod pushes at its tacks
springback  round bar and sheet: radius to bend to, what stays elastic
stock       `plan_cuts`: what to take from the rack and to buy, and how to cut it; `rack_after`
            (`cutting`, `fill`, `refill`, `patterns`, `cut_search`: how the plan is found)
boards      `make_boards`: the station buck, from these:
  board_sections   the inner face at planes, as closed shapes
  board_shapes     boards before they are let into each other; board_laps: slots with relief
  board_edges      bevels, and what an edge leaves open; board_parts: parts that a sheet holds
doubts      findings
"""

from buckwright.buck.boards import make_boards
from buckwright.buck.choosing import (
    accept_wires,
    add_wire,
    drop_wire,
    move_wire,
    rename_wire,
)
from buckwright.buck.growing import changes_of, mark_built, unmark_built, wires_to_make
from buckwright.buck.make import make_buck
from buckwright.buck.proposing import Proposals, propose_wires
from buckwright.buck.spacing import push_deflection
from buckwright.buck.springback import elastic_radius, forming_radius, released_radius
from buckwright.buck.stock import plan_cuts, rack_after

__all__ = [
    "Proposals",
    "accept_wires",
    "add_wire",
    "changes_of",
    "drop_wire",
    "elastic_radius",
    "forming_radius",
    "make_boards",
    "make_buck",
    "mark_built",
    "move_wire",
    "plan_cuts",
    "propose_wires",
    "push_deflection",
    "rack_after",
    "released_radius",
    "rename_wire",
    "unmark_built",
    "wires_to_make",
]
