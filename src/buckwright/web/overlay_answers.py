"""What the page asks to lay over or under a photograph."""

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from buckwright.errors import BuckwrightError
from buckwright.web.room import Room
from buckwright.web.sheets.overlay import overlay_content
from buckwright.web.sheets.underlay import underlay_content

__all__ = ["OVERLAY_ROUTES"]


def _overlay(request: Request) -> Response:
    room: Room = request.app.state.room
    view = room.desk.view()
    content = overlay_content(view.job, view.products, request.path_params["digest"])
    if content is None:
        words = {"problem": "That picture is not placed.", "remedy": "Work the pictures out."}
        return JSONResponse(words, status_code=404)
    return JSONResponse(content)


def _underlay(request: Request) -> Response:
    """What all silhouettes leave of the body, as a ring per view; it takes seconds at first."""
    room: Room = request.app.state.room
    view = room.desk.view()
    try:
        return JSONResponse(underlay_content(view.job, view.products))
    except BuckwrightError as refusal:
        words = {"problem": refusal.problem, "remedy": refusal.remedy}
        return JSONResponse(words, status_code=422)


OVERLAY_ROUTES: list[BaseRoute] = [
    Route("/api/overlay/{digest}", _overlay),
    Route("/api/underlay", _underlay),
]
