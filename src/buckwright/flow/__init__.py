"""Where the steps are joined.

steps    the steps in order, on facts
work     working out a job file, keeping every answer at once
seams    where a region's seams should go, searched on all cores
packet   the bundle for the shop floor
"""

from buckwright.flow.packet import issue_packet, issue_zip, make_packet, packet_zip
from buckwright.flow.seams import accept_seams, study_seams
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
    "findings_of",
    "issue_packet",
    "issue_zip",
    "make_packet",
    "measure_pictures",
    "packet_zip",
    "solve_file",
    "solve_steps",
    "solved_steps",
    "study_seams",
    "workbench",
]
