"""What each address of the page answers with."""

import json
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from buckwright.errors import BuckwrightError
from buckwright.web.desk import SIZES
from buckwright.web.edits import edit_job
from buckwright.web.line_answers import stepped
from buckwright.web.room import Room
from buckwright.web.sheets import SHEETS, sheet_content, sheet_outline
from buckwright.web.sheets.buck import buck_frame
from buckwright.web.sheets.checking import check_frame
from buckwright.web.sheets.openings import openings_frame
from buckwright.web.sheets.panels import panel_frame
from buckwright.web.sheets.skin_fields import fields_frame
from buckwright.web.sheets.skin_shape import comb_frame, shape_frame
from buckwright.web.sheets.skin_treatments import SKIN_FRAMES

__all__ = [
    "change",
    "frame",
    "job",
    "packet_file",
    "picture",
    "sheet",
    "step_back",
    "step_forth",
    "whole_packet",
]

FOREVER = "private, max-age=31536000, immutable"

_KINDS = {
    "csv": "text/csv",
    "dxf": "image/vnd.dxf",
    "glb": "model/gltf-binary",
    "json": "application/json",
    "pdf": "application/pdf",
    "png": "image/png",
    "step": "model/step",
    "svg": "image/svg+xml",
    "txt": "text/plain",
}


def _room(request: Request) -> Room:
    room: Room = request.app.state.room
    return room


def _refused(problem: str, remedy: str, status: int) -> Response:
    return JSONResponse({"problem": problem, "remedy": remedy}, status_code=status)


def _missing() -> Response:
    return _refused("There is no such thing in this job.", "Reload the page.", 404)


def job(request: Request) -> Response:
    """Title block, history, and the outline of all sheets."""
    room = _room(request)
    view = room.desk.view()
    room.drafts.note(view)
    back, forth = view.next_back_and_forth()
    outline = sheet_outline(view)
    for entry in outline:
        if entry["name"] == "drawings":
            entry["state"] = room.packet_state()
    packet = room.packet
    return JSONResponse(
        {
            "name": view.job.name,
            "revision": view.job.revision,
            "scale": view.job.scale,
            "wheelbase": None if view.products.lines is None else view.products.lines.wheelbase,
            "number": view.revision_number,
            "sheets": outline,
            "undo": back,
            "redo": forth,
            "history": [o.model_dump(include=_TOLD) for o in view.operations[-200:]],
            "packet": None
            if packet is None
            else {
                "revision": packet.revision,
                "size": len(packet.data),
                "files": [{"name": file.name, "size": file.size} for file in packet.files()],
            },
            "work": room.workshop.status.json(),
        }
    )


_TOLD = {"id", "made", "who", "description", "kind", "subject"}


def sheet(request: Request) -> Response:
    """One sheet."""
    name = request.path_params["name"]
    if name not in SHEETS:
        return _missing()
    room = _room(request)
    view = room.desk.view()
    if name == "lines":
        room.loft.prepare(view)
        if room.follows:
            room.drafts.prepare(view)
    return JSONResponse(sheet_content(name, view))


def picture(request: Request) -> Response:
    """A photograph by its hash, as large as asked for."""
    view = _room(request).desk.view()
    digest = request.path_params["digest"]
    asked = request.query_params.get("most", "")
    if not asked.isdigit() or int(asked) not in SIZES:
        return _missing()
    known = [source.sha256 for source in view.job.pictures]
    known += [one.source.sha256 for single in view.job.views for one in single.pictures]
    if digest not in known:
        return _missing()
    try:
        data = _room(request).desk.picture(digest, int(asked))
    except BuckwrightError as error:
        return _refused(error.problem, error.remedy, 404)
    return Response(data, media_type="image/jpeg", headers={"cache-control": FOREVER})


def frame(request: Request) -> Response:
    """Numbers of a sheet in binary.

    Of skin, treated, face, shape, comb, fields, buck, panel/<place>, check/<place>.
    """
    view = _room(request).desk.view()
    what, place = request.path_params["what"], request.path_params.get("place", 0)
    products = view.products
    data: bytes | None = None
    if what in SKIN_FRAMES and products.skin is not None:
        at = request.query_params.get("at", "")
        data = SKIN_FRAMES[what](view.job, products.skin, at)
    elif what == "buck" and products.buck is not None:
        data = buck_frame(view.job, products.buck)
    elif what == "panel" and products.panels is not None and place < len(products.panels.panels):
        data = panel_frame(products.panels.panels[place], products.panels.blanks[place])
    elif what == "check" and products.skin is not None and place < len(products.checks):
        check = products.checks[place]
        sides = {survey.name: survey.side for survey in view.job.surveys}
        data = check_frame(check, products.skin, sides.get(check.survey))
    elif what == "openings" and products.openings is not None and products.skin is not None:
        data = openings_frame(products.openings, products.skin)
    elif what == "shape":
        data = shape_frame(view.job, products)
    elif what == "fields":
        data = fields_frame(view.job, products)
    elif what == "comb":
        axis, at = request.query_params.get("axis", ""), request.query_params.get("at", "")
        data = comb_frame(view.job, products, axis, float(at)) if _is_place(at) else None
    if data is None:
        return _missing()
    return Response(data, media_type="application/octet-stream")


def _is_place(text: str) -> bool:
    """Whether it is a place along an axis, in mm."""
    digits = text.removeprefix("-").replace(".", "", 1)
    return digits.isascii() and digits.isdigit() and len(digits) <= 12


async def change(request: Request) -> Response:
    """Make an edit: a JSON object that names it, see `edits`."""
    try:
        typed: Any = json.loads(await request.body())
        if not isinstance(typed, dict):
            raise TypeError
        return await run_in_threadpool(_edited, _room(request), typed)
    except BuckwrightError as error:
        return _refused(error.problem, error.remedy, 422)
    except (ValueError, TypeError):
        return _refused("The page sent what cannot be read.", "Reload the page.", 400)


def _edited(room: Room, typed: dict[str, Any]) -> Response:
    view = room.desk.view()
    new, words = edit_job(view, typed)
    pulled = room.loft.answer(view, new)
    number = room.desk.store.change(words, new)
    if pulled is not None:
        room.loft.keep(view, new, pulled)
    return JSONResponse({"done": words if number else None})


def step_back(request: Request) -> Response:
    """Undo."""
    room = _room(request)
    return stepped(room, room.desk.store.undo)


def step_forth(request: Request) -> Response:
    """Redo."""
    room = _room(request)
    return stepped(room, room.desk.store.redo)


def whole_packet(request: Request) -> Response:
    """The packet made last, as one zip."""
    packet = _room(request).packet
    if packet is None:
        return _refused("No packet has been made yet.", "Make it on the sheet of drawings.", 404)
    name = _plain(f"{_room(request).desk.view().job.name}-{packet.revision}")
    return _download(packet.data, f"{name}.zip", "application/zip")


def packet_file(request: Request) -> Response:
    """One file of the packet."""
    packet, name = _room(request).packet, request.path_params["name"]
    if packet is None or name not in {file.name for file in packet.files()}:
        return _missing()
    short = name.rsplit("/", 1)[-1]
    kind = _KINDS.get(short.rsplit(".", 1)[-1].lower(), "application/octet-stream")
    return _download(packet.read(name), _plain(short), kind)


def _download(data: bytes, name: str, kind: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(data, media_type=kind, headers=headers)


def _plain(name: str) -> str:
    kept = (c if c.isascii() and (c.isalnum() or c in "-_. ") else "-" for c in name)
    return "".join(kept).strip(". ") or "packet"
