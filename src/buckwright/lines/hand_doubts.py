"""What the hand did to the lines, in words."""

import numpy as np

from buckwright.lines.band import across_frames, gaps_across
from buckwright.lines.fairing import SLIGHT, band_width
from buckwright.lines.held_lines import run_direction
from buckwright.lines.laying import Laid, LaidLine
from buckwright.lines.pulling import Pulled
from buckwright.model.fact import Points3
from buckwright.model.finding import Finding

__all__ = ["pull_doubts", "run_on_doubts"]

TURNED = 0.1
"""Degrees between two lines that the eye does not see."""


def pull_doubts(laid: Laid, pulled: Pulled) -> tuple[Finding, ...]:
    """For each line that was moved by hand, or by a crossing that was, how far.

    A note where its points leave that open, a doubt where it leaves them.
    """
    found = []
    pinned = {grip.line for grip in pulled.grips}
    for k, (line, control) in enumerate(zip(laid.lines, pulled.controls, strict=True)):
        moved = _moved(line, control)
        if moved < SLIGHT:
            continue
        name = line.sided.placed.name
        how = "was pulled by hand" if k in pinned else "was taken along by the lines it crosses"
        beyond, where = _beyond(line, control)
        if beyond < SLIGHT:
            found.append(
                Finding(
                    code="pulled",
                    where=name,
                    message=f"'{name}' {how} by {moved:.1f} mm at most, which its points "
                    "leave open.",
                    remedy="Take its pins away to have it as it was measured.",
                    kind="note",
                )
            )
            continue
        at = ", ".join(f"{value:.0f}" for value in where)
        found.append(
            Finding(
                code="pulled-off",
                where=name,
                message=f"'{name}' {how} by {moved:.1f} mm at most, and passes its measured "
                f"points by {beyond:.1f} mm more than their doubt near ({at}).",
                remedy="It is a departure from the model now; take its pins away if that was "
                "not meant.",
            )
        )
    return tuple(found)


def run_on_doubts(laid: Laid, pulled: Pulled) -> tuple[Finding, ...]:
    """Lines that no longer run on from another, since the hand turned one of them."""
    found = []
    drafts = [line.draft for line in laid.lines]
    for run_on in laid.run_ons:
        draft, control = drafts[run_on.line], pulled.controls[run_on.line]
        end = np.array([draft.end if run_on.end else draft.start])
        run = draft.batten.rows(end, derivative=1)[0] @ control
        way = run_direction(run_on, drafts, pulled.controls, control)
        sine = np.linalg.norm(np.cross(way, run / np.linalg.norm(run)))
        angle = float(np.degrees(np.arcsin(min(float(sine), 1.0))))
        if angle > TURNED:
            found.append(
                Finding(
                    code="runs-off",
                    where=draft.name,
                    message=f"'{draft.name}' was laid to run on from "
                    f"'{drafts[run_on.other].name}', and after the pulls they stand "
                    f"{angle:.1f} degrees apart.",
                    remedy="Pull nearer to that place, or at both of them alike.",
                )
            )
    return tuple(found)


def _moved(line: LaidLine, control: Points3) -> float:
    most = float(np.linalg.norm(control - line.control, axis=1).max())
    if most < SLIGHT:
        # The curve moves no farther than its control points.
        return most
    places = np.linspace(line.draft.start, line.draft.end, 4 * len(control))
    moved = line.draft.batten.rows(places) @ (control - line.control)
    return float(np.linalg.norm(moved, axis=1).max())


def _beyond(line: LaidLine, control: Points3) -> tuple[float, Points3]:
    """How far, in mm, the point that is passed farthest lies beyond its band; that point."""
    batten, draft = line.draft.batten, line.draft
    gaps = gaps_across(batten, control, across_frames(batten, control))
    before = gaps_across(batten, line.control, across_frames(batten, line.control))
    width = np.maximum(band_width(draft, line.sided.tolerance), before)
    worst = int(np.argmax(gaps - width))
    return float((gaps - width)[worst]), batten.points[worst]
