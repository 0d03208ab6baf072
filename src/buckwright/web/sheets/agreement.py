"""Where views disagree, and the table of offsets, for the sheet of lines."""

from typing import Any

from buckwright.lines.agreement import view_agreement
from buckwright.lines.offsets import even_stations, table_of_offsets
from buckwright.model.job import Job, Reference
from buckwright.web.words import rounded

__all__ = ["offset_rows", "view_rows"]

OFFSET_STEP = 200.0
"""mm between the stations of the table of offsets."""
MOST_VIEWS = 400
"""Places shown on the page; the CSV has all."""


def view_rows(job: Job, reference: Reference) -> list[dict[str, Any]]:
    """Each place that two views speak of, worst first."""
    return [
        {
            "lines": [one.line, one.other],
            "quantity": one.quantity,
            "views": one.views,
            "says": one.says,
            "by": one.by,
            "doubt": one.doubt,
            "unlikely": one.unlikely,
            "point": rounded(one.point, 1),
        }
        for one in view_agreement(reference, job.lines)[:MOST_VIEWS]
    ]


def offset_rows(job: Job, reference: Reference) -> dict[str, Any]:
    """Half-breadth and height of each line of the body at even stations.

    Of a line that passes a station twice, the first place along it.
    """
    datum = {spec.name for spec in job.lines if spec.use == "datum"}
    stations = even_stations(reference.network, OFFSET_STEP)
    rows: dict[str, dict[float, list[float]]] = {}
    for one in table_of_offsets(reference.network, stations):
        cell = [round(one.half_breadth, 4), round(one.height, 4)]
        rows.setdefault(one.line, {}).setdefault(one.station, cell)
    met = [float(x) for x in stations if any(float(x) in row for row in rows.values())]
    return {
        "stations": met,
        "rows": [
            {"name": name, "at": [row.get(x) for x in met]}
            for name, row in rows.items()
            if len(row) > 1 and name not in datum
        ],
    }
