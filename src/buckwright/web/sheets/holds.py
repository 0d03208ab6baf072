"""What lines are told to keep, as the sheet of lines lists and draws it."""

from typing import Any

from buckwright.lines.hold_choices import told_hold
from buckwright.model.holds import EndTangent
from buckwright.model.job import Job
from buckwright.model.lines import Line

__all__ = ["drawn_holds", "hold_rows"]


def hold_rows(job: Job) -> dict[str, dict[str, Any]]:
    """For each line that keeps something, or whose mirror image does, what was asked of it."""
    if not job.holds:
        return {}
    rows = {}
    for spec in job.lines:
        hold = told_hold(job.holds, job.lines, spec.name)
        if hold.is_empty:
            continue
        rows[spec.name] = {
            "straights": [[run.start, run.end] for run in hold.straights],
            "corners": list(hold.corners),
            "weights": [[one.start, one.end, one.times] for one in hold.weights],
            "tolerance": hold.tolerance,
            "ends": {tangent.end: _way(tangent) for tangent in hold.tangents},
        }
    return rows


def drawn_holds(line: Line) -> dict[str, Any]:
    """Where along a line its straight runs, corners and held ends lie, and how it kept its band."""
    return {
        "straights": [list(run) for run in line.straights],
        "corners": list(line.corners),
        "heldEnds": list(line.held_ends),
        "tolerance": line.tolerance,
        "beyond": line.beyond,
    }


def _way(tangent: EndTangent) -> dict[str, str]:
    direction = " ".join(f"{part:g}" for part in tangent.direction or ())
    return {"way": tangent.way, "direction": direction, "line": tangent.line}
