"""The grids of all panels as a CSV table: what the tape must read from crossing to crossing."""

import csv
from io import StringIO

from buckwright.model.panels import Panels

__all__ = ["grids_csv"]

_HEAD = (
    "panel",
    "line",
    "way",
    "from",
    "to",
    "blank_mm",
    "finished_mm",
    "change_percent",
    "on_strip",
)


def grids_csv(panels: Panels) -> str:
    """One row for each piece of a grid line between two crossings, in order along the line."""
    text = StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(_HEAD)
    for grid in panels.grids:
        for line in grid.lines:
            for k, (blank, panel) in enumerate(
                zip(line.blank_lengths, line.panel_lengths, strict=True)
            ):
                writer.writerow(
                    (
                        grid.panel,
                        line.name,
                        line.way,
                        line.crossings[k],
                        line.crossings[k + 1],
                        f"{blank:.1f}",
                        f"{panel:.1f}",
                        f"{100.0 * (panel / blank - 1.0):+.1f}",
                        "yes" if line.strip else "no",
                    )
                )
    return text.getvalue()
