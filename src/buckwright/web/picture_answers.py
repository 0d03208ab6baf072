"""Photographs sent from the page, one to a request."""

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from buckwright.flow import take_pictures
from buckwright.web.refusals import file_name
from buckwright.web.room import Room

__all__ = ["take_picture"]


async def take_picture(request: Request) -> Response:
    """Take the body in as a photograph called `name`: looked at, kept by its hash, or refused."""
    room: Room = request.app.state.room
    name = file_name(request.query_params.get("name", ""), "picture")
    data = await request.body()
    taken, refused = await run_in_threadpool(take_pictures, room.desk.store, [(name, data)])
    if refused:
        words = {"problem": refused[0].problem, "remedy": refused[0].remedy}
        return JSONResponse(words, status_code=422)
    return JSONResponse({"taken": list(taken)})
