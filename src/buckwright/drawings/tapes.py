"""Lengths measured with a tape beside what the lines give: one list to take to the model."""

import numpy as np

from buckwright.drawings.board import BIG, FIGURE, NAME
from buckwright.drawings.cautions import cautions_for
from buckwright.drawings.listing import lines_below, list_columns
from buckwright.model.drawings import Label, Sheet, Stroke
from buckwright.model.job import Job
from buckwright.model.tapes import TapeCheck, TapeRow

__all__ = ["tape_sheets"]

WIDTH = 900.0
"""mm of the list on paper."""
MARGIN = 15.0
WRONG = {"tape": "the tape", "lines": "the lines' scale", "either": "not known", "": ""}
HEAD = ("tape", "says", "", "lines give", "", "apart", "times sure", "more likely wrong")


def tape_sheets(job: Job, check: TapeCheck | None) -> tuple[Sheet, ...]:
    """One sheet with every tape, worst first, and a sentence for each that disagrees; else none."""
    if check is None or not (check.rows or check.findings):
        return ()
    off = sum(row.wrong != "" for row in check.rows)
    told = (
        f"{off} of {len(check.rows)} {'does' if off == 1 else 'do'} not agree with the lines."
        if off
        else "All agree."
    )
    head = lines_below((0.0, 0.0), [("Tapes against the lines", BIG), (told, FIGURE)], width=WIDTH)
    table = list_columns(
        (0.0, _lowest(head) - NAME), [HEAD, *(_row(row) for row in check.rows)], FIGURE
    )
    words = lines_below(
        (0.0, _lowest(table) - NAME),
        [(f"{one.message} {one.remedy}", FIGURE) for one in check.findings],
        width=WIDTH,
    )
    labels = (*head, *table, *words)
    return (
        Sheet(
            name="tapes",
            title=f"{job.name}, revision {job.revision}: tapes against the lines",
            strokes=(_border(labels),),
            labels=labels,
            notes=(
                "mm at full size, as measured, before departures. 'Times sure' counts how often "
                "the difference holds what tape and lines together are sure to.",
                *cautions_for("elevation"),
            ),
        ),
    )


def _row(row: TapeRow) -> tuple[str, ...]:
    return (
        row.name,
        f"{row.typed:.1f}",
        f"± {row.sigma:.1f}",
        f"{row.lines:.1f}",
        f"± {row.lines_sigma:.1f}",
        f"{row.typed - row.lines:+.1f}",
        f"{abs(row.sigmas):.1f}",
        WRONG[row.wrong],
    )


def _lowest(labels: tuple[Label, ...]) -> float:
    return min(float(label.corners()[:, 1].min()) for label in labels)


def _border(labels: tuple[Label, ...]) -> Stroke:
    points = np.vstack([label.corners() for label in labels])
    low, high = points.min(axis=0) - MARGIN, points.max(axis=0) + MARGIN
    corners = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
    return Stroke(ink="thin", points=corners, closed=True, name="border")
