"""Paper patterns as a CSV table: gaps and overlaps between strips, station by station."""

import csv
from collections.abc import Sequence
from io import StringIO

from buckwright.model.papers import PaperPattern

__all__ = ["papers_csv"]

_HEAD = ("panel", "strip", "next_strip", "from_spine_mm", "gap_mm", "meaning")


def papers_csv(patterns: Sequence[PaperPattern]) -> str:
    """One row for each station of each joint; a negative gap is an overlap."""
    text = StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(_HEAD)
    for pattern in patterns:
        for joint in pattern.joints:
            for at, gap in zip(joint.at.tolist(), joint.gap.tolist(), strict=True):
                figure = round(gap, 1) + 0.0
                meaning = "butt" if not figure else "metal missing" if figure > 0 else "excess"
                writer.writerow(
                    (pattern.panel, *joint.strips, f"{at + 0.0:.0f}", f"{figure:+.1f}", meaning)
                )
    return text.getvalue()
