"""What the addresses of the buck answer with: one wire's sheet, on paper too, and the change."""

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from buckwright.drawings import bend_sheets
from buckwright.files.pdf import tiled_pdf
from buckwright.flow.change_packet import issue_change_zip
from buckwright.flow.packet import Paper
from buckwright.model.buck import Wire
from buckwright.store import JobFile
from buckwright.web.desk import View
from buckwright.web.room import Room
from buckwright.web.sheets.wire import wire_content

__all__ = ["change_packet", "wire", "wire_paper"]

MOST_STAGES = 9
_PAPERS: dict[str, Paper] = {"A4": "A4", "A3": "A3", "Letter": "Letter"}


def _view(request: Request) -> View:
    room: Room = request.app.state.room
    return room.desk.view()


def _missing() -> Response:
    words = {"problem": "There is no such wire in this job.", "remedy": "Reload the page."}
    return JSONResponse(words, status_code=404)


def _asked(request: Request, view: View) -> Wire | None:
    place, buck = int(request.path_params["place"]), view.products.buck
    return None if buck is None or place >= len(buck.wires) else buck.wires[place]


def wire(request: Request) -> Response:
    """Cut, bend and hold: all that is known of one wire, by its place among the wires."""
    view = _view(request)
    asked, buck = _asked(request, view), view.products.buck
    if asked is None or buck is None:
        return _missing()
    return JSONResponse(wire_content(buck, asked))


def wire_paper(request: Request) -> Response:
    """Its bend sheet at full size in tiles for a desk printer; `paper` A4, A3 or Letter."""
    view = _view(request)
    asked, buck = _asked(request, view), view.products.buck
    paper = _PAPERS.get(request.query_params.get("paper", "A4"))
    if asked is None or buck is None or paper is None:
        return _missing()
    sheets = bend_sheets(view.job, buck, only={asked.name})
    data = tiled_pdf(sheets, paper=paper, title=sheets[0].title)
    return _download(data, f"{sheets[0].name}-{view.job.revision}-{paper}.pdf", "application/pdf")


def change_packet(request: Request) -> Response:
    """The packet for the change alone as a zip; `stage` names one, all of them without."""
    stage = request.query_params.get("stage", "")
    if stage and not (stage.isdigit() and 1 <= int(stage) <= MOST_STAGES):
        return _missing()
    room: Room = request.app.state.room
    with JobFile.open(room.workshop.path) as file:
        data = issue_change_zip(file, stage=int(stage) if stage else None)
    return _download(data, "wire-changes.zip", "application/zip")


def _download(data: bytes, name: str, kind: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(data, media_type=kind, headers=headers)
