"""Edits of views without a mat: how they are squared and scaled, and the lines traced in them."""

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from buckwright.errors import JobError
from buckwright.flow.pieces import picks_on_sheet, trace_on_sheet
from buckwright.flow.views import view_named, with_trace, with_view, without_view
from buckwright.model.job import Job
from buckwright.model.views import (
    VIEW_AXES,
    Known,
    Length,
    Pick,
    ViewPicture,
    ViewSpec,
    ViewTrace,
)
from buckwright.units import parse_length
from buckwright.web.typed import Edited, Typed, chosen

__all__ = [
    "SHEET",
    "SINGLE_VIEW_EDITS",
    "corner_places",
    "named_picture",
    "point_of",
    "points_of",
    "short_text",
]

SHEET = ""
"""What the page calls the joined sheet of a drawing in pieces where a picture is named."""

_LONGEST_NAME = 60
_MOST_POINTS = 2000


def _square(job: Job, typed: Typed) -> Edited:
    """How one picture of a view is squared, and what puts the view to scale.

    Of a drawing in pieces each piece is squared by itself; on the joined sheet it is only scaled.
    """
    view = view_named(job, str(typed.get("name", "")))
    pictures = view.pictures
    if not _on_sheet(view, typed):
        picture = named_picture(view, typed)
        corners = points_of(typed.get("corners"))
        changed = picture.model_copy(
            update={"corners": corners, "corners_at": corner_places(typed, len(corners))}
        )
        pictures = tuple(changed if one is picture else one for one in pictures)
    new = ViewSpec.model_validate(
        {
            **{name: getattr(view, name) for name in ("name", "traces", "drawing")},
            "pictures": pictures,
            "seen_from": chosen(typed, "seen_from", tuple(VIEW_AXES)),
            "length": _length(typed, view),
            "known": _knowns(typed, view),
            "plane": _typed_or_nothing(typed, "plane"),
            "distance": _typed_or_nothing(typed, "distance"),
        }
    )
    if new.distance < 0.0:
        raise JobError("A camera stands before the plane.", "Type how far away it was.")
    return with_view(job, new), f"view '{view.name}' squared and put to scale"


def _on_sheet(view: ViewSpec, typed: Typed) -> bool:
    """Whether it was clicked on the joined sheet of a drawing in pieces."""
    return len(view.pictures) > 1 and typed.get("picture") == SHEET


def _picks(view: ViewSpec, typed: Typed, key: str) -> tuple[Pick, ...]:
    """The places under that key, each with the picture that it lies in."""
    points = points_of(typed.get(key))
    if _on_sheet(view, typed):
        return picks_on_sheet(view, points) if len(points) else ()
    name = named_picture(view, typed).source.name
    return tuple(Pick(picture=name, px=(u, v)) for u, v in points.tolist())


def named_picture(view: ViewSpec, typed: Typed) -> ViewPicture:
    """The picture of the view under 'picture'; ValueError for one that it has not."""
    name = chosen(typed, "picture", [one.source.name for one in view.pictures])
    return next(one for one in view.pictures if one.source.name == name)


def points_of(told: Any) -> Any:
    """(n, 2) pixels as the page sends them; ValueError for anything else."""
    points = np.array([] if told is None else told, dtype=np.float64).reshape(-1, 2)
    if len(points) > _MOST_POINTS or not np.all(np.isfinite(points)):
        message = "pixels are missing"
        raise ValueError(message)
    return points


def point_of(told: Any) -> tuple[float, float]:
    """One pixel as the page sends it; ValueError for anything else."""
    points = points_of(told)
    if len(points) != 1:
        message = "one pixel is wanted"
        raise ValueError(message)
    return float(points[0, 0]), float(points[0, 1])


def corner_places(typed: Typed, count: int) -> Any:
    """(n, 2) mm of so many corners, of a rectangle by its sides; empty where they are not typed."""
    width, height = str(typed.get("width", "")).strip(), str(typed.get("height", "")).strip()
    if count == 0 or not (width or height):
        return np.zeros((0, 2))
    if not (width and height):
        raise JobError(
            "A rectangle has a width and a height.",
            "Type both, or neither: then its perspective must tell.",
        )
    w, h = parse_length(width), parse_length(height)
    if not (w > 0.0 and h > 0.0) or count != 4:
        raise JobError(
            "The rectangle needs four corners, and sides of more than nothing.",
            "Click four corners round about from the lower left, and type its sides.",
        )
    return np.array([[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]])


def _typed_or_nothing(typed: Typed, key: str) -> float:
    text = str(typed.get(key, "")).strip()
    return parse_length(text) if text else 0.0


def _length(typed: Typed, view: ViewSpec) -> Length | None:
    text = str(typed.get("length", "")).strip()
    ends = _picks(view, typed, "ends")
    if not text and not ends:
        return None
    if len(ends) != 2 or not text:
        raise JobError("A length has two ends and a figure.", "Click both ends and type it.")
    return Length(first=ends[0], second=ends[1], mm=parse_length(text))


def _knowns(typed: Typed, view: ViewSpec) -> tuple[Known, ...]:
    """Wheel centres, and one more known place."""
    found = []
    wheels = _picks(view, typed, "wheels")
    if wheels:
        base = str(typed.get("wheelbase", "")).strip()
        if len(wheels) != 2 or not base:
            raise JobError(
                "Wheels are two centres and a wheelbase.", "Click both centres and type it."
            )
        height = _typed_or_nothing(typed, "wheel_height")
        for pick, x in zip(wheels, (0.0, parse_length(base)), strict=True):
            found.append(Known(pick=pick, right=x, up=height))
    if typed.get("place") is not None:
        figures = [_figure(typed, key) for key in ("right", "up")]
        if figures == [None, None]:
            raise JobError("A known place has a figure.", "Type where it is.")
        point_of(typed.get("place"))
        (pick,) = _picks(view, typed, "place")
        found.append(Known(pick=pick, right=figures[0], up=figures[1]))
    return tuple(found)


def _figure(typed: Mapping[str, Any], key: str) -> float | None:
    text = str(typed.get(key, "")).strip()
    return parse_length(text) if text else None


def short_text(typed: Typed, key: str, problem: str) -> str:
    """A short name under that key; JobError with that problem for none."""
    name = str(typed.get(key, "")).strip()
    if not name or len(name) > _LONGEST_NAME:
        raise JobError(problem, "Type it in few words.")
    return name


def _trace(job: Job, typed: Typed) -> Edited:
    view = view_named(job, str(typed.get("name", "")))
    picture, px = _traced(view, typed)
    line = short_text(typed, "line", "It is not said which line this is.")
    ends = [_figure(typed, key) for key in ("nearest", "farthest")]
    low, high = (ends[0] if end is None else end for end in ends)
    crown = _typed_or_nothing(typed, "crown")
    if crown < 0.0:
        raise JobError("A crown has a radius of more than nothing.", "Leave it empty for none.")
    trace = ViewTrace(
        line=line,
        picture=picture,
        px=px,
        closed=typed.get("closed") is True,
        outline=typed.get("outline") is True,
        between=None if low is None or high is None else (low, high),
        crown=crown,
    )
    return with_trace(job, view.name, trace), f"'{line}' traced in view '{view.name}'"


def _traced(view: ViewSpec, typed: Typed) -> tuple[str, Any]:
    px = points_of(typed.get("px"))
    if _on_sheet(view, typed) and len(px):
        return trace_on_sheet(view, px)
    return named_picture(view, typed).source.name, px


def _untrace(job: Job, typed: Typed) -> Edited:
    view = view_named(job, str(typed.get("name", "")))
    line = chosen(typed, "line", [trace.line for trace in view.traces])
    left = tuple(trace for trace in view.traces if trace.line != line)
    views = tuple(
        view.model_copy(update={"traces": left}) if one is view else one for one in job.views
    )
    return job.model_copy(update={"views": views}), f"'{line}' taken out of view '{view.name}'"


def _out(job: Job, typed: Typed) -> Edited:
    name = str(typed.get("name", ""))
    return without_view(job, name), f"view '{name}' taken out"


SINGLE_VIEW_EDITS: dict[str, Callable[[Job, Typed], Edited]] = {
    "view square": _square,
    "view trace": _trace,
    "view untrace": _untrace,
    "view out": _out,
}
"""By the name that the page sends."""
