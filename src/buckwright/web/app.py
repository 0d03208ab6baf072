"""The page's server as an ASGI app."""

import contextlib
import json
import mimetypes
import socket
from collections.abc import AsyncIterator, Awaitable, Callable
from pathlib import Path

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, PlainTextResponse, Response
from starlette.routing import BaseRoute, Mount, Route, WebSocketRoute
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp, Scope
from starlette.websockets import WebSocket

from buckwright.errors import BuckwrightError
from buckwright.web import (
    answers,
    buck_answers,
    draft_answers,
    handed_answers,
    line_answers,
    offset_answers,
    scan_answers,
    seam_answers,
    table_answers,
    trace_answers,
    view_answers,
)
from buckwright.web.contracts import JobStore, Work, Works
from buckwright.web.guard import MOST_BYTES, Guard
from buckwright.web.measure_answers import MEASURE_ROUTES
from buckwright.web.overlay_answers import OVERLAY_ROUTES
from buckwright.web.picture_answers import take_picture
from buckwright.web.room import Room

__all__ = ["BUNDLE", "make_app"]

BUNDLE = Path(__file__).parent / "bundle"

# Some machines' registries call scripts plain text, and a browser then refuses to run them.
mimetypes.add_type("text/javascript", ".js")
mimetypes.add_type("text/css", ".css")
mimetypes.add_type("font/woff2", ".woff2")


class _Assets(StaticFiles):
    """Files whose names hold their hash, so that a browser may keep them for ever."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        response = await super().get_response(path, scope)
        if response.status_code == 200:
            response.headers["cache-control"] = answers.FOREVER
        return response


def make_app(
    path: Path,
    store: JobStore,
    *,
    token: str,
    host: str,
    port: int,
    works: Works,
    follow: Work | None = None,
    bundle: Path = BUNDLE,
    most_bytes: int = MOST_BYTES,
) -> ASGIApp:
    """The page of one job.

    `path` is the job file that long works open for themselves, `store` the same file opened for
    reading and edits. `host` and `port` are where the server listens: requests that call it by
    any other name are refused. `token` is the secret of the printed address. `follow` is the work
    that is begun by itself after edits that leave the skin stale.
    """
    room = Room(path, store, works, follow)

    @contextlib.asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:
        yield
        await room.close()

    app = Starlette(
        routes=_routes(bundle),
        lifespan=lifespan,
        exception_handlers={BuckwrightError: _in_words, Exception: _unforeseen},
    )
    app.state.room = room
    app.state.bundle = bundle
    return Guard(app, token=token, port=port, hosts=_names(host, port), most_bytes=most_bytes)


def _names(host: str, port: int) -> list[str]:
    """Names by which this server may be called."""
    names = [host, "127.0.0.1", "localhost"]
    if host not in ("127.0.0.1", "localhost"):
        names += [socket.gethostname(), f"{socket.gethostname().split('.')[0]}.local"]
    return [f"{name}:{port}" for name in names]


def _routes(bundle: Path) -> list[BaseRoute]:
    return [
        Route("/", _front),
        Route("/api/job", answers.job),
        Route("/api/sheet/{name}", answers.sheet),
        Route("/api/picture/{digest}", answers.picture),
        Route("/api/pictures", _then_tell(take_picture), methods=["POST"]),
        Route("/api/draft", draft_answers.draft),
        Route("/api/frame/{what}", answers.frame),
        Route("/api/frame/{what}/{place:int}", answers.frame),
        Route("/api/wire/{place:int}", buck_answers.wire),
        Route("/api/wire/{place:int}.pdf", buck_answers.wire_paper),
        Route("/api/change.zip", buck_answers.change_packet),
        Route("/api/scans", _then_tell(scan_answers.take_scan), methods=["POST"]),
        Route("/api/tables", _then_tell(table_answers.take_table), methods=["POST"]),
        Route("/api/skin.{kind}", handed_answers.skin_file),
        Route("/api/model", handed_answers.model_told),
        Route("/api/model.{kind}", handed_answers.model_file),
        Route("/api/views", _then_tell(view_answers.take_view), methods=["POST"]),
        Route("/api/views/joined", view_answers.joined),
        Route("/api/views/keep", _then_tell(view_answers.keep_lines), methods=["POST"]),
        Route("/api/view/{name}/sheet.jpg", view_answers.joined_sheet),
        Route("/api/view/{name}.png", view_answers.squared_picture),
        Route("/api/hull", view_answers.hull),
        Route("/api/seams", seam_answers.studies),
        Route("/api/batten/{name}", line_answers.batten),
        *MEASURE_ROUTES,
        *OVERLAY_ROUTES,
        Route("/api/offsets.csv", offset_answers.offsets_csv),
        Route("/api/offsets", _then_tell(offset_answers.read_offsets_csv), methods=["POST"]),
        Route("/api/change", _then_tell(answers.change), methods=["POST"]),
        Route("/api/tile/{digest}/{level:int}/{column:int}/{row:int}", trace_answers.tile),
        Route("/api/tracing/{digest}", trace_answers.tracing),
        Route("/api/traced/{line}", trace_answers.traced),
        Route("/api/traces.json", trace_answers.traces_file),
        Route("/api/snap", trace_answers.snap, methods=["POST"]),
        Route("/api/trace", _then_tell(trace_answers.change_trace), methods=["POST"]),
        Route("/api/undo", _then_tell(answers.step_back), methods=["POST"]),
        Route("/api/redo", _then_tell(answers.step_forth), methods=["POST"]),
        Route("/api/work/{name}", _start, methods=["POST"]),
        Route("/api/stop", _stop, methods=["POST"]),
        Route("/api/packet.zip", answers.whole_packet),
        Route("/api/packet/{name:path}", answers.packet_file),
        WebSocketRoute("/api/socket", _socket),
        Mount("/assets", _Assets(directory=bundle / "assets", check_dir=False)),
    ]


async def _front(request: Request) -> Response:
    index: Path = request.app.state.bundle / "index.html"
    if not index.is_file():
        words = "The page was not built. Install buckwright again: pip install --editable .\n"
        return PlainTextResponse(words, status_code=500)
    return FileResponse(index, headers={"cache-control": "no-cache"})


def _then_tell(
    answer: Callable[[Request], Response | Awaitable[Response]],
) -> Callable[[Request], Awaitable[Response]]:
    """The same answer, after which every open page hears that the job changed."""

    async def told(request: Request) -> Response:
        given = await run_in_threadpool(answer, request)
        response = given if isinstance(given, Response) else await given
        if response.status_code == 200:
            request.app.state.room.changed()
        return response

    return told


async def _start(request: Request) -> Response:
    room: Room = request.app.state.room
    name = request.path_params["name"]
    try:
        asked = json.loads(await request.body() or b"{}")
    except ValueError:
        asked = None
    if not isinstance(asked, dict):
        words = {"problem": "The page sent what cannot be read.", "remedy": "Reload the page."}
        return JSONResponse(words, status_code=400)
    if name not in room.workshop.works:
        return JSONResponse({"problem": "There is no such work.", "remedy": ""}, status_code=404)
    try:
        room.start(name, asked)
    except ValueError:
        words = {"problem": "Something is still being worked on.", "remedy": "Wait, or cancel it."}
        return JSONResponse(words, status_code=409)
    return JSONResponse(room.workshop.status.json(), status_code=202)


async def _stop(request: Request) -> Response:
    room: Room = request.app.state.room
    room.workshop.stop()
    return JSONResponse(room.workshop.status.json())


async def _socket(page: WebSocket) -> None:
    await page.app.state.room.listen(page)


async def _in_words(_: Request, error: Exception) -> Response:
    assert isinstance(error, BuckwrightError)
    return JSONResponse({"problem": error.problem, "remedy": error.remedy}, status_code=422)


async def _unforeseen(_: Request, error: Exception) -> Response:
    words = {
        "problem": f"The program made a mistake ({type(error).__name__}); nothing was lost.",
        "remedy": "Reload the page; if it happens again, tell the makers what you did.",
    }
    return JSONResponse(words, status_code=500)
