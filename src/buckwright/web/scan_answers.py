"""Scans brought to the page and taken into the skin."""

from pathlib import Path

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from buckwright.errors import JobError
from buckwright.flow.scan_places import placed_by
from buckwright.flow.scans import keep_scan
from buckwright.model.job import Job
from buckwright.model.scans import OUTWARDS, ScanSource
from buckwright.units import parse_length
from buckwright.web.refusals import brought
from buckwright.web.room import Room
from buckwright.web.typed import Edited, Typed

__all__ = ["SCAN_EDITS", "take_scan"]

LONGEST_NAME = 60
MOST_ACROSS = 5000.0


async def take_scan(request: Request) -> Response:
    """Take in one scan: its bytes, and how it is asked for in the address."""
    return await brought(request, _taken)


def _taken(request: Request, data: bytes) -> Response:
    room: Room = request.app.state.room
    asked, view = request.query_params, room.desk.view()
    file_name = Path(asked.get("file", "")).name
    name = asked.get("name", "").strip() or Path(file_name).stem
    outward, side = asked.get("outward", "up"), asked.get("side", "whole")
    if outward not in OUTWARDS or side not in ("whole", "left"):
        raise JobError("The page sent what cannot be read.", "Reload the page.")
    if not name or len(name) > LONGEST_NAME:
        raise JobError("The scan needs a name.", "Type what the part is called, in few words.")
    across = parse_length(asked.get("close_below", "").strip() or "0 mm")
    if not 0.0 <= across <= MOST_ACROSS:
        raise JobError(
            "No gap is as wide as that.", "Type how far across a gap may be that is to be closed."
        )
    scan = ScanSource.model_validate(
        {
            "name": name,
            "sha256": "",
            "kind": "stl",
            "unit": parse_length(f"1 {asked.get('units', 'mm')}"),
            "side": side,
            "outward": OUTWARDS[outward],
            "close_below": across,
        }
    )
    lines = view.products.lines
    network = None if lines is None else lines.network
    pairs = [row for row in asked.get("points", "").splitlines() if row.strip()]
    sigma = parse_length(asked.get("sigma", "").strip() or "1 mm")
    place = placed_by(pairs, asked.get("on", "").strip(), view.products, sigma=sigma)
    region = keep_scan(room.desk.store, network, data, file_name, scan, place=place)
    words = [f"{found.message} {found.remedy}" for found in region.findings]
    return JSONResponse({"done": f"scan '{name}' taken into the skin", "words": words})


def _drop(job: Job, typed: Typed) -> Edited:
    name = typed.get("name")
    kept = tuple(scan for scan in job.scans if scan.name != name)
    if len(kept) == len(job.scans):
        raise JobError(f"There is no scan '{name}'.", "Reload the page and try again.")
    return job.model_copy(update={"scans": kept}), f"scan '{name}' left out"


SCAN_EDITS = {"drop scan": _drop}
"""By the name that the page sends."""
