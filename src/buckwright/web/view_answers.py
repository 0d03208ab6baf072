"""Views without a mat: pictures taken in, the squared picture, the join, the hull."""

from pathlib import Path
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from buckwright.errors import BuckwrightError, JobError
from buckwright.flow.pieces import sheet_picture
from buckwright.flow.views import (
    hull_of_job,
    keep_joined,
    shown_view,
    take_view_picture,
    view_named,
)
from buckwright.model.job import Job
from buckwright.model.views import VIEW_AXES, ViewSpec
from buckwright.web.refusals import brought, refused
from buckwright.web.room import Room
from buckwright.web.sheets.singleviews import joined_rows
from buckwright.web.words import rounded

__all__ = ["hull", "joined", "joined_sheet", "keep_lines", "squared_picture", "take_view"]

_LONGEST_NAME = 60


def _room(request: Request) -> Room:
    room: Room = request.app.state.room
    return room


async def take_view(request: Request) -> Response:
    """Take the body in as the picture of a new view, or as another piece of a drawing."""
    return await brought(request, _taken)


def _taken(request: Request, data: bytes) -> Response:
    asked, store = request.query_params, _room(request).desk.store
    file = Path(asked.get("file", "").replace("\\", "/")).name or "picture"
    name = asked.get("name", "").strip() or Path(file).stem
    if len(name) > _LONGEST_NAME or asked.get("seen_from") not in VIEW_AXES:
        raise JobError("The view needs a short name.", "Type it, and take the picture again.")
    picture = take_view_picture(store, file, data)
    job = _room(request).desk.view().job
    old = next((view for view in job.views if view.name == name), None)
    if old is not None and not old.drawing:
        raise JobError(
            f"There is a view '{name}' already.", "Give this one another name, or take it out."
        )
    before = () if old is None else old.pictures
    if file in {one.source.name for one in before}:
        raise JobError(f"The view '{name}' has {file} already.", "Nothing needs doing.")
    view = ViewSpec.model_validate(
        {
            "name": name,
            "seen_from": asked["seen_from"],
            "drawing": asked.get("drawing") == "yes",
            "pictures": (*before, picture),
        }
        if old is None
        else {**{k: getattr(old, k) for k in ViewSpec.model_fields}, "pictures": (*before, picture)}
    )
    views = tuple(one for one in job.views if one is not old)
    words = f"{file} taken in as view '{name}'"
    store.change(words, job.model_copy(update={"views": (*views, view)}))
    return JSONResponse({"done": words})


def squared_picture(request: Request) -> Response:
    """A view squared and drawn, as a PNG."""
    room = _room(request)
    try:
        view = view_named(room.desk.view().job, request.path_params["name"])
        data, _, _ = shown_view(view, room.desk.store.picture_bytes)
    except BuckwrightError as error:
        return refused(error, 404)
    return Response(data, media_type="image/png", headers={"cache-control": "no-store"})


def joined_sheet(request: Request) -> Response:
    """The pieces of a drawing joined to one sheet, as a JPEG."""
    room = _room(request)
    try:
        view = view_named(room.desk.view().job, request.path_params["name"])
        data = sheet_picture(view, room.desk.store.picture_bytes)
    except BuckwrightError as error:
        return refused(error, 404)
    return Response(data, media_type="image/jpeg", headers={"cache-control": "no-store"})


def joined(request: Request) -> Response:
    """All views in one frame."""
    return JSONResponse(joined_rows(_room(request).desk.view().job))


def keep_lines(request: Request) -> Response:
    """Make the lines that views give the job's own."""
    try:
        _, table = keep_joined(_room(request).desk.store)
    except BuckwrightError as error:
        return refused(error)
    return JSONResponse({"done": f"{len(table.lines)} lines of views are the job's own"})


def hull(request: Request) -> Response:
    """The hull of all closed silhouettes with the lines measured, mm of the mat; or why not."""
    view = _room(request).desk.view()
    try:
        return JSONResponse(_hull(view.job, view.products))
    except JobError as error:
        return JSONResponse({"why": f"{error.problem} {error.remedy}"})


def _hull(job: Job, products: Any) -> dict[str, Any]:
    found = hull_of_job(job.traces, products.calibration, products.measured)
    return {
        "why": "",
        "vertices": rounded(found.vertices, 2),
        "triangles": found.triangles.tolist(),
        "cell": found.cell,
        "volume": found.volume,
        "pictures": list(found.pictures),
        "lines": [
            {"name": line.name, "closed": line.closed, "points": rounded(line.points, 1)}
            for line in products.measured
        ],
        "outside": [{**one.model_dump(), "point": rounded(one.point, 1)} for one in found.outside],
        "findings": [finding.model_dump() for finding in found.findings],
    }
