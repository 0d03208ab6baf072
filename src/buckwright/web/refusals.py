"""Answers that say no in two sentences, and files that are brought to the page."""

from collections.abc import Callable

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from buckwright.errors import BuckwrightError

__all__ = ["brought", "file_name", "refused"]

LONGEST_NAME = 120


def refused(error: BuckwrightError, status: int = 422) -> Response:
    """What is wrong and what to do, as the page shows it, and where, if it is in one place."""
    told: dict[str, object] = {"problem": error.problem, "remedy": error.remedy}
    if error.place is not None:
        told["place"] = error.place
    return JSONResponse(told, status_code=status)


async def brought(request: Request, take: Callable[[Request, bytes], Response]) -> Response:
    """What `take` answers to the bytes that came; it works in a thread, and may refuse them."""
    data = await request.body()
    try:
        return await run_in_threadpool(take, request, data)
    except BuckwrightError as error:
        return refused(error)


def file_name(name: str, other: str) -> str:
    """The last part of a file's name, without what no name should hold; `other` if none is left."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    kept = "".join(c for c in last if c.isprintable()).strip(". ")
    return kept[-LONGEST_NAME:] or other
