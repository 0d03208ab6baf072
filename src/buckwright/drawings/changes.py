"""What a later change asks of the wires that stand: one list to take to the buck."""

from collections.abc import Collection

import numpy as np

from buckwright.drawings.board import BIG, FIGURE, NAME
from buckwright.drawings.cautions import cautions_for
from buckwright.drawings.listing import lines_below, list_columns
from buckwright.model.buck import Buck, WireChange
from buckwright.model.drawings import Label, Sheet, Stroke
from buckwright.model.job import Job

__all__ = ["change_sheets"]

WIDTH = 900.0
"""mm of the list on paper."""
MARGIN = 15.0
TOLD: dict[str, str] = {
    "bend again": "BEND AGAIN",
    "move": "TACK ELSEWHERE",
    "trim": "TRIM",
    "goes": "CUT OUT",
    "new": "NEW",
    "right": "leave",
}


def change_sheets(job: Job, buck: Buck, only: Collection[str] | None = None) -> tuple[Sheet, ...]:
    """One sheet that says of each wire what to do; none if nothing is built or all stays right.

    With `only`, the wires of those names and those that go.
    """
    told = [
        change
        for change in buck.changes
        if only is None or change.wire in only or change.verdict == "goes"
    ]
    wanted = [change for change in told if change.verdict != "right"]
    if not wanted:
        return ()
    right = sum(change.verdict == "right" for change in buck.changes)
    title = f"{job.name}, revision {job.revision}: what the change asks of the wires"
    head = lines_below(
        (0.0, 0.0),
        [
            ("What the change asks of the wires", BIG),
            (f"{right} of {len(buck.changes)} stay as they are, and are not listed.", FIGURE),
        ],
        width=WIDTH,
    )
    table = list_columns((0.0, _lowest(head) - NAME), _rows(wanted), FIGURE)
    words = lines_below(
        (0.0, _lowest(table) - NAME),
        [(f"{change.wire}: {change.words}", FIGURE) for change in wanted],
        width=WIDTH,
    )
    labels = (*head, *table, *words)
    return (
        Sheet(
            name="wire-changes",
            title=title,
            strokes=(_border(labels),),
            labels=labels,
            notes=(
                "Lengths are mm along the rod as it was built, from its end 0. What is to be bent "
                "again, and what is new, has a bend sheet of its own in this packet.",
                *cautions_for("wire"),
            ),
            kind="wire",
        ),
    )


def _rows(changes: list[WireChange]) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = [("wire", "what to do", "off by", "long at 0", "long at the end")]
    for change in changes:
        stands = bool(change.built_as) and change.verdict != "goes"
        trims = tuple(f"{by:+.1f}" if abs(by) >= 0.05 else "" for by in change.trim)
        name = change.wire
        if change.built_as not in ("", change.wire):
            name = f"{change.wire} (built as {change.built_as})"
        rows.append(
            (
                name,
                TOLD[change.verdict],
                f"{change.most:.1f}" if stands else "",
                *(trims if stands else ("", "")),
            )
        )
    return rows


def _lowest(labels: Collection[Label]) -> float:
    return min(float(label.corners()[:, 1].min()) for label in labels)


def _border(labels: Collection[Label]) -> Stroke:
    points = np.vstack([label.corners() for label in labels])
    low, high = points.min(axis=0) - MARGIN, points.max(axis=0) + MARGIN
    corners = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
    return Stroke(ink="thin", points=corners, closed=True, name="border")
