"""CSV tables of the skin's treatments: a row for each, and the points of their lines."""

import csv
from collections.abc import Sequence
from io import StringIO

from buckwright.model.treatments import TreatmentRow

__all__ = ["treatment_lines_csv", "treatments_csv"]

HEAD = ("what", "name", "region", "length_mm", "closed", "sheet", "words")
LINE_HEAD = ("what", "name", "region", "point", "x_mm", "y_mm", "z_mm")


def treatments_csv(rows: Sequence[TreatmentRow]) -> str:
    """One row for each treatment."""
    return _written(
        HEAD,
        [
            (
                row.what,
                row.name,
                row.region,
                "" if row.length is None else round(row.length, 1),
                "yes" if row.closed else "no",
                row.step,
                row.words,
            )
            for row in rows
        ],
    )


def treatment_lines_csv(rows: Sequence[TreatmentRow]) -> str:
    """The points of meetings, trims and beads, in order."""
    return _written(
        LINE_HEAD,
        [
            (row.what, row.name, row.region, number, *(round(float(v), 2) for v in point))
            for row in rows
            for number, point in enumerate(row.line, start=1)
        ],
    )


def _written(head: Sequence[str], rows: Sequence[Sequence[str | float]]) -> str:
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows(rows)
    return out.getvalue()
