"""The skin to take along: as STEP, STL, GLB and PLY, and as a solid scale model."""

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from buckwright.errors import BuckwrightError, JobError
from buckwright.files.scene import solid_bytes
from buckwright.flow.handing import SKIN_FORMATS, skin_bytes
from buckwright.model.job import Job
from buckwright.model.skin import Skin
from buckwright.skin.solid import Solid, solid_model
from buckwright.units import parse_length
from buckwright.web.refusals import refused
from buckwright.web.room import Room

__all__ = ["model_file", "model_told", "skin_file"]

_KINDS = {
    "glb": "model/gltf-binary",
    "ply": "application/octet-stream",
    "step": "model/step",
    "stl": "model/stl",
}


def skin_file(request: Request) -> Response:
    """The whole skin in the format that the address names."""
    job, skin = _known(request)
    kind = str(request.path_params["kind"])
    if skin is None or kind not in SKIN_FORMATS:
        return refused(JobError("There is no such file.", "Work the skin out, and reload."), 404)
    return _download(skin_bytes(skin, kind, name=job.name), f"skin-{job.revision}.{kind}", kind)


def model_told(request: Request) -> Response:
    """What a model of that scale and thickness would be: bodies, size, material, doubts."""
    try:
        solid = _solid(request)
    except BuckwrightError as refusal:
        return refused(refusal)
    return JSONResponse(
        {
            "bodies": solid.pieces,
            "size": list(solid.size),
            "volume": solid.volume,
            "words": [f"{f.message} {f.remedy}" for f in solid.findings],
        }
    )


def model_file(request: Request) -> Response:
    """The model itself as STL, or as PLY."""
    kind = str(request.path_params["kind"])
    if kind not in ("stl", "ply"):
        return refused(JobError("There is no such file.", "Reload the page."), 404)
    try:
        solid = _solid(request)
    except BuckwrightError as refusal:
        return refused(refusal)
    data = solid_bytes(solid.vertices, solid.triangles, kind)
    return _download(data, f"model.{kind}", kind)


def _solid(request: Request) -> Solid:
    _, skin = _known(request)
    if skin is None:
        raise JobError("The skin is not worked out yet.", "Work it out first.")
    asked = request.query_params
    text = asked.get("scale", "8")
    try:
        parts = float(text.replace(",", ".").removeprefix("1:").removeprefix("1/"))
    except ValueError:
        raise JobError(f"'{text}' is no scale.", "Type it like 1:8.") from None
    if not parts > 0.0:
        raise JobError(f"'{text}' is no scale.", "Type it like 1:8.")
    thickness = parse_length(asked.get("thickness", "2 mm"))
    return solid_model(skin, scale=1.0 / parts, thickness=thickness)


def _known(request: Request) -> tuple[Job, Skin | None]:
    room: Room = request.app.state.room
    view = room.desk.view()
    return view.job, view.products.skin


def _download(data: bytes, name: str, kind: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(data, media_type=_KINDS[kind], headers=headers)
