"""What the page asks about lines that are moved by hand."""

from collections.abc import Callable

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from buckwright.errors import JobError
from buckwright.web.room import Room

__all__ = ["batten", "stepped"]


def batten(request: Request) -> Response:
    """The line of a name in the hand, see `loft`."""
    room: Room = request.app.state.room
    name = request.path_params["name"]
    try:
        return JSONResponse(room.loft.line(room.desk.view(), name))
    except KeyError:
        words = {"problem": f"There is no line '{name}' to pull.", "remedy": "Reload the page."}
        return JSONResponse(words, status_code=404)


def stepped(room: Room, step: Callable[[], str | None]) -> Response:
    """Undo or redo; what the hand did to lines is worked out again at once."""
    view = room.desk.view()
    done = step()
    job = room.desk.store.job()
    try:
        reference = room.loft.answer(view, job)
    except JobError:
        # The lines then count as stale, and working them out again tells why.
        reference = None
    if reference is not None:
        room.loft.keep(view, job, reference)
    return JSONResponse({"done": done})
