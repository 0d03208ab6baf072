"""What the page asks to lay over or under a photograph."""

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from buckwright.web.room import Room
from buckwright.web.sheets.overlay import overlay_content

__all__ = ["OVERLAY_ROUTES"]


def _overlay(request: Request) -> Response:
    room: Room = request.app.state.room
    view = room.desk.view()
    content = overlay_content(view.job, view.products, request.path_params["digest"])
    if content is None:
        words = {"problem": "That picture is not placed.", "remedy": "Work the pictures out."}
        return JSONResponse(words, status_code=404)
    return JSONResponse(content)


OVERLAY_ROUTES: list[BaseRoute] = [Route("/api/overlay/{digest}", _overlay)]
