"""What the page asks while somebody traces: tiles, snapped stretches, edits, one line in space."""

import json
from typing import Any

from starlette.background import BackgroundTask
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from buckwright.capture.clicks import check_clicks
from buckwright.errors import BuckwrightError, JobError
from buckwright.files.mats import traces_content
from buckwright.model.job import Job
from buckwright.model.pictures import PictureSource
from buckwright.web.room import Room
from buckwright.web.sheets.tracing import line_content, trace_content, tracing_content
from buckwright.web.trace_edits import TRACE_EDITS, read_clicks, source_of

__all__ = ["change_trace", "snap", "tile", "traced", "traces_file", "tracing"]

_FOREVER = "private, max-age=31536000, immutable"
_SNAPPED = ("tape", "edge", "silhouette")


def _room(request: Request) -> Room:
    room: Room = request.app.state.room
    return room


def _refused(problem: str, remedy: str, status: int) -> Response:
    return JSONResponse({"problem": problem, "remedy": remedy}, status_code=status)


def _missing() -> Response:
    return _refused("There is no such thing in this job.", "Reload the page.", 404)


def _unreadable() -> Response:
    return _refused("The page sent what cannot be read.", "Reload the page.", 400)


def _source(job: Job, digest: str) -> PictureSource | None:
    return next((source for source in job.pictures if source.sha256 == digest), None)


def tile(request: Request) -> Response:
    """One tile of a photograph, see `Darkroom.tile`."""
    asked, room = request.path_params, _room(request)
    if _source(room.desk.view().job, asked["digest"]) is None:
        return _missing()
    data = room.darkroom.tile(asked["digest"], asked["level"], asked["column"], asked["row"])
    if data is None:
        return _missing()
    return Response(data, media_type="image/jpeg", headers={"cache-control": _FOREVER})


def tracing(request: Request) -> Response:
    """What is traced on a picture, and what helps to trace a line on it."""
    view = _room(request).desk.view()
    source = _source(view.job, request.path_params["digest"])
    if source is None:
        return _missing()
    line = request.query_params.get("line", "")
    content = tracing_content(view.job, view.products, source, line)
    # Decoded while the picture is looked at, so that the first click need not wait for it.
    warm = BackgroundTask(_room(request).darkroom.prepare, source.sha256)
    return JSONResponse(content, background=warm)


def traced(request: Request) -> Response:
    """A line in space from its traces as they stand; why there is none yet, in a sentence."""
    room, name = _room(request), request.path_params["line"]
    view = room.desk.view()
    solved = view.products.calibration
    if solved is None:
        words = "The pictures are not placed yet, so no line can be seen in space."
        return JSONResponse({"line": None, "why": words})
    try:
        line = room.traced.line(view.job, solved, name)
    except KeyError:
        return JSONResponse({"line": None, "why": f"'{name}' is no line of the body."})
    except JobError as error:
        return JSONResponse({"line": None, "why": str(error)})
    source = _source(view.job, request.query_params.get("picture", ""))
    here = None if source is None else source.name
    picture = next((one for one in solved.pictures if one.name == here), None)
    return JSONResponse({"line": line_content(line, picture), "why": ""})


def traces_file(request: Request) -> Response:
    """All traces as a file that other jobs and the command line read."""
    content = traces_content(_room(request).desk.view().job.traces)
    headers = {"content-disposition": 'attachment; filename="traces.json"'}
    return Response(json.dumps(content), media_type="application/json", headers=headers)


async def snap(request: Request) -> Response:
    """Some stretches of a trace as they would be snapped; the job stays as it is."""
    return await _answered(request, _snapped)


async def change_trace(request: Request) -> Response:
    """Make an edit of traces, see `trace_edits`."""
    return await _answered(request, _changed)


async def _answered(request: Request, answer: Any) -> Response:
    try:
        typed = json.loads(await request.body())
        if not isinstance(typed, dict):
            return _unreadable()
        given: Response = await run_in_threadpool(answer, _room(request), typed)
    except BuckwrightError as error:
        return _refused(error.problem, error.remedy, 422)
    except (ValueError, TypeError):
        return _unreadable()
    return given


def _snapped(room: Room, typed: dict[str, Any]) -> Response:
    job = room.desk.view().job
    source, clicks, closed = source_of(job, typed), read_clicks(typed), bool(typed.get("closed"))
    kind, asked = typed.get("kind"), typed.get("stretches")
    count = len(clicks) if closed else len(clicks) - 1
    if kind not in _SNAPPED or not isinstance(asked, list):
        return _unreadable()
    stretches = [k for k in asked if isinstance(k, int) and 0 <= k < count]
    check_clicks(clicks, line="it", picture=source.name, size=source.size, closed=closed)
    found = room.darkroom.snap(source.sha256, clicks, stretches, kind=kind, closed=closed)
    return JSONResponse(
        {
            "stretches": [
                {
                    "stretch": k,
                    "px": snapped.points.round(3).tolist(),
                    "sigma": snapped.sigma.round(3).tolist(),
                    "seen": round(float(snapped.seen.mean()), 3),
                    "words": [f"{f.message} {f.remedy}" for f in snapped.findings],
                }
                for k, snapped in zip(stretches, found, strict=True)
            ]
        }
    )


def _changed(room: Room, typed: dict[str, Any]) -> Response:
    view = room.desk.view()
    what = str(typed.get("what"))
    if what not in TRACE_EDITS:
        return _unreadable()
    lost: list[str] = []

    def whole(digest: str, clicks: Any, kind: Any, closed: bool) -> Any:
        found = room.darkroom.whole(digest, clicks, kind=kind, closed=closed)
        lost.extend(f"{finding.message} {finding.remedy}" for finding in found.findings)
        return found

    job, words = TRACE_EDITS[what](view.job, typed, whole)
    number = room.desk.store.change(words, job)
    place = typed.get("place")
    place = len(job.traces) - 1 if not isinstance(place, int) else place
    known = 0 <= place < len(job.traces)
    return JSONResponse(
        {
            "done": words if number else None,
            "trace": trace_content(place, job.traces[place]) if known else None,
            "words": [*lost, *_unplaced(view.products.calibration, typed)],
        }
    )


def _unplaced(solved: Any, typed: dict[str, Any]) -> list[str]:
    """That a trace on a picture without a camera does not count yet."""
    names = () if solved is None else {picture.name for picture in solved.pictures}
    if typed.get("what") == "take traces" or typed.get("picture") in names:
        return []
    return [
        f"{typed.get('picture')} is not placed, so this trace does not count yet. Work the "
        "pictures out; if it stays unplaced, take it again with more of the mat in view."
    ]
