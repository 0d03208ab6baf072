"""The table of offsets as a file: taken away as CSV, and read back."""

from pathlib import Path
from tempfile import TemporaryDirectory

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from buckwright.errors import BuckwrightError, JobError
from buckwright.files.offset_tables import LARGEST, OffsetUnit, offset_table_csv, read_offsets
from buckwright.lines.offsets import even_stations, hold_offsets, table_of_offsets
from buckwright.model.finding import Finding
from buckwright.model.job import Reference
from buckwright.units import parse_length
from buckwright.web.refusals import file_name, refused
from buckwright.web.room import Room

__all__ = ["offsets_csv", "read_offsets_csv"]

LEAST_EVERY, MOST_EVERY = 5.0, 5000.0
"""mm from station to station."""


def offsets_csv(request: Request) -> Response:
    """The table at stations `every` so far, in the unit that is asked for."""
    room: Room = request.app.state.room
    view, asked = room.desk.view(), request.query_params
    unit: OffsetUnit = "in" if asked.get("unit") == "in" else "mm"
    try:
        every = parse_length(asked.get("every", "200 mm"))
        if not LEAST_EVERY <= every <= MOST_EVERY:
            raise JobError(f"Stations every {every:g} mm make no table.", "Give 5 mm to 5 m.")
        network = _reference(view.products.lines).network
    except BuckwrightError as refusal:
        return refused(refusal)
    table = table_of_offsets(network, even_stations(network, every))
    name = f"offsets-{view.job.revision}.csv"
    kept = "".join(c if c.isascii() and (c.isalnum() or c in "-.") else "-" for c in name)
    headers = {"content-disposition": f'attachment; filename="{kept}"'}
    return Response(offset_table_csv(table, unit=unit), media_type="text/csv", headers=headers)


async def read_offsets_csv(request: Request) -> Response:
    """Hold the lines to the figures of the table that is sent; what was left out is told."""
    data = await request.body()
    try:
        return await run_in_threadpool(_read, request, data)
    except BuckwrightError as refusal:
        return refused(refusal)


def _read(request: Request, data: bytes) -> Response:
    room: Room = request.app.state.room
    view = room.desk.view()
    reference = _reference(view.products.lines)
    if len(data) > LARGEST:
        raise JobError("That is too large for a table of offsets.", "Split it.")
    name = file_name(request.query_params.get("name", ""), "table.csv")
    with TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_bytes(data)
        rows, unread = read_offsets(path)
    reason = f"table of offsets {name}"
    job = view.job
    held = hold_offsets(rows, reference.network, job.departures, job.pins, reason=reason)
    if held.held:
        new = job.model_copy(update={"pins": held.pins})
        pulled = room.loft.answer(view, new)
        room.desk.store.change(f"{held.held} figures of the table of offsets held", new)
        if pulled is not None:
            room.loft.keep(view, new, pulled)
    told = [_told(finding) for finding in (*unread, *held.findings)]
    return JSONResponse({"held": held.held, "same": held.same, "left_out": told})


def _told(finding: Finding) -> str:
    return f"{finding.message} {finding.remedy}"


def _reference(lines: Reference | None) -> Reference:
    if lines is None:
        raise JobError("The lines have not been worked out.", "Work them out first.")
    return lines
