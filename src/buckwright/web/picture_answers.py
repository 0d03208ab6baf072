"""Photographs sent from the page, one to a request."""

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from buckwright.flow import take_pictures
from buckwright.web.room import Room

__all__ = ["take_picture"]

LONGEST_NAME = 120


async def take_picture(request: Request) -> Response:
    """Take the body in as a photograph called `name`: looked at, kept by its hash, or refused."""
    room: Room = request.app.state.room
    name = _plain(request.query_params.get("name", ""))
    data = await request.body()
    taken, refused = await run_in_threadpool(take_pictures, room.desk.store, [(name, data)])
    if refused:
        words = {"problem": refused[0].problem, "remedy": refused[0].remedy}
        return JSONResponse(words, status_code=422)
    return JSONResponse({"taken": list(taken)})


def _plain(name: str) -> str:
    """The last part of a file's name, without what no name should hold."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    kept = "".join(c for c in last if c.isprintable()).strip()
    return kept[-LONGEST_NAME:] or "picture"
