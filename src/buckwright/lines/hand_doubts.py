"""What the hand did to the lines, in words."""

import numpy as np

from buckwright.lines.band import across_frames, gaps_across
from buckwright.lines.doubts import SLIGHT
from buckwright.lines.fairing import band_width
from buckwright.lines.laying import Laid, LaidLine
from buckwright.lines.pulling import Pulled
from buckwright.model.fact import Points3
from buckwright.model.finding import Finding

__all__ = ["pull_doubts"]


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


def _moved(line: LaidLine, control: Points3) -> float:
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
