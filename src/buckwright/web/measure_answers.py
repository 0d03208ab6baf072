"""What the page asks while somebody reads off the lines: sections, distances, typed lengths."""

from collections.abc import Callable
from functools import wraps

import numpy as np
from numpy.typing import NDArray
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from buckwright.errors import BuckwrightError, JobError
from buckwright.lines.measuring import measure_between, plane_crossings
from buckwright.model.job import Reference
from buckwright.units import parse_length
from buckwright.web.desk import View
from buckwright.web.room import Room
from buckwright.web.sheets.skin_shape import section_frame

__all__ = ["MEASURE_ROUTES"]

Array = NDArray[np.float64]

MOST = 1e6
"""mm; nothing of a body is farther away."""


def _in_words(answer: Callable[[Request, View], Response]) -> Callable[[Request], Response]:
    """The same answer from the job as it stands; what is refused is told in words."""

    @wraps(answer)
    def told(request: Request) -> Response:
        room: Room = request.app.state.room
        try:
            return answer(request, room.desk.view())
        except BuckwrightError as refusal:
            words = {"problem": refusal.problem, "remedy": refusal.remedy}
            return JSONResponse(words, status_code=422)
        except (KeyError, ValueError):
            words = {"problem": "The page asked for what is not there.", "remedy": "Reload it."}
            return JSONResponse(words, status_code=404)

    return told


def _reference(view: View) -> Reference:
    if view.products.lines is None:
        raise JobError("The lines have not been worked out.", "Work them out first.")
    return view.products.lines


@_in_words
def _length(request: Request, _: View) -> Response:
    """The length `text` as it was typed, in mm."""
    return JSONResponse({"mm": parse_length(request.query_params.get("text", ""))})


@_in_words
def _crossings(request: Request, view: View) -> Response:
    """Where the lines pass through the plane at `at` across `across`."""
    origin, normal = _plane(request)
    found = plane_crossings(_reference(view).network, origin=origin, normal=normal)
    return JSONResponse([one.model_dump(mode="json") for one in found])


@_in_words
def _skin(request: Request, view: View) -> Response:
    """The frame of the skin's section by that plane, with its comb."""
    origin, normal = _plane(request)
    data = section_frame(view.job, view.products, origin, normal)
    if data is None:
        raise JobError("The skin has not been worked out.", "Work it out, then cut it.")
    return Response(data, media_type="application/octet-stream")


@_in_words
def _between(request: Request, view: View) -> Response:
    """From the place `first` to the place `second`; each repeats as line@share."""
    asked = request.query_params
    first, second = ([_place(text) for text in asked.getlist(name)] for name in ("first", "second"))
    if not first or not second:
        message = "two places are wanted"
        raise ValueError(message)
    return JSONResponse(
        measure_between(_reference(view).network, first, second).model_dump(mode="json")
    )


def _plane(request: Request) -> tuple[Array, Array]:
    asked = request.query_params
    origin, normal = (_triple(asked.get(name, "")) for name in ("at", "across"))
    if np.linalg.norm(normal) < 1e-9:
        raise JobError(
            "Those two points give no plane.", "Pick two that stand apart in that direction."
        )
    return origin, normal


def _triple(text: str) -> Array:
    values = np.array([float(part) for part in text.split(",")])
    if values.shape != (3,) or not np.all(np.abs(values) < MOST):
        message = "a point has three coordinates"
        raise ValueError(message)
    return values


def _place(text: str) -> tuple[str, float]:
    name, _, share = text.rpartition("@")
    return name, float(share)


MEASURE_ROUTES: list[BaseRoute] = [
    Route("/api/length", _length),
    Route("/api/section", _crossings),
    Route("/api/section/skin", _skin),
    Route("/api/between", _between),
]
