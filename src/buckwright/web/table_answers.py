"""Tables of offsets brought to the page and taken in as lines."""

from pathlib import Path
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from buckwright.errors import JobError
from buckwright.flow.tables import keep_table, without_table
from buckwright.model.job import Job
from buckwright.units import parse_length
from buckwright.web.refusals import brought
from buckwright.web.room import Room
from buckwright.web.typed import Edited, Typed

__all__ = ["TABLE_EDITS", "table_rows", "take_table"]

LONGEST_NAME = 60


async def take_table(request: Request) -> Response:
    """Take in one table: its bytes, and how it is asked for in the address."""
    return await brought(request, _taken)


def _taken(request: Request, data: bytes) -> Response:
    room: Room = request.app.state.room
    asked, lines = request.query_params, room.desk.view().products.lines
    name = Path(asked.get("file", "")).name
    if not name or len(name) > LONGEST_NAME:
        raise JobError("The table needs a name.", "Give its file a name of few words.")
    unit, wheelbase = asked.get("unit", "").strip(), asked.get("wheelbase", "").strip()
    table = keep_table(
        room.desk.store,
        None if lines is None else lines.reference,
        data,
        name,
        sigma=parse_length(asked.get("sigma", "")),
        unit=unit,
        wheelbase=parse_length(wheelbase) if wheelbase else 0.0,
    )
    words = [f"{found.message} {found.remedy}" for found in table.findings]
    done = f"{len(table.lines)} lines taken in from {name}"
    return JSONResponse({"done": done, "words": words})


def table_rows(job: Job) -> list[dict[str, Any]]:
    """The job's tables as the lines sheet shows them."""
    return [
        {
            "name": table.name,
            "sigma": table.sigma,
            "wheelbase": table.wheelbase,
            "lines": [line.name for line in table.lines],
            "findings": len(table.findings),
        }
        for table in job.tables
    ]


def _drop(job: Job, typed: Typed) -> Edited:
    name = str(typed.get("name"))
    return without_table(job, name), f"table '{name}' left out"


TABLE_EDITS = {"drop table": _drop}
"""By the name that the page sends."""
