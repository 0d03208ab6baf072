"""Where the steps are joined.

steps    the steps in order, on facts
intake   taking in pictures: each looked at by itself, then all sorted
shoot    a shoot checked before it is traced, or taken into a job
marked   the pictures' marked points, and a word on those not measured
work     working out a job file, keeping every answer at once
seams    where a region's seams should go, searched on all cores
dividing one panel made two by a seam drawn by hand, two made one by dropping it
loft     lines moved by hand: laid once, pulled at once
packet   the bundle for the shop floor
change_packet  the same for a change alone: only the wires that it asks for
"""

from buckwright.flow.change_packet import issue_change, issue_change_zip
from buckwright.flow.dividing import divide_panel, drop_seam, seam_names
from buckwright.flow.marked import measure_points
from buckwright.flow.packet import issue_packet, issue_zip, make_packet, packet_zip
from buckwright.flow.seams import accept_seams, study_seams
from buckwright.flow.shoot import check_shoot, take_pictures
from buckwright.flow.steps import (
    Bench,
    Progress,
    StoppedError,
    findings_of,
    measure_pictures,
    solve_steps,
    solved_steps,
)
from buckwright.flow.work import solve_file, workbench

__all__ = [
    "Bench",
    "Progress",
    "StoppedError",
    "accept_seams",
    "check_shoot",
    "divide_panel",
    "drop_seam",
    "findings_of",
    "issue_change",
    "issue_change_zip",
    "issue_packet",
    "issue_zip",
    "make_packet",
    "measure_pictures",
    "measure_points",
    "packet_zip",
    "seam_names",
    "solve_file",
    "solve_steps",
    "solved_steps",
    "study_seams",
    "take_pictures",
    "workbench",
]
