"""The searches for seams that were made since the job was opened."""

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from buckwright.web.room import Room
from buckwright.web.sheets.seam_rows import study_row

__all__ = ["studies"]


def studies(request: Request) -> Response:
    """Every study, by region."""
    room: Room = request.app.state.room
    found = room.desk.view().studies
    return JSONResponse({region: study_row(study) for region, study in found.items()})
