"""One wire's own sheet: how to cut it, bend it and hold it, and its outline on paper."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.bendtable import roll_words
from buckwright.drawings.cautions import cautions_for
from buckwright.drawings.viewing import end_words, outside_of, seen_from, view_from
from buckwright.geometry.plane import Plane, project
from buckwright.geometry.polyline import arc_lengths, closest_on_polyline, resample_polyline
from buckwright.model.bending import Bending
from buckwright.model.buck import Buck, Wire
from buckwright.web.words import rounded

__all__ = ["wire_content"]

Array = NDArray[np.float64]

DRAWN_STEP = 10.0
"""mm along the rod between drawn points: finer than the eye sees on a screen."""
FLAT_PART, FLAT_MOST = 0.005, 5.0
"""As on the paper sheets: flat within 5 mm, or within 0.5 % of its length."""


def wire_content(buck: Buck, wire: Wire) -> dict[str, Any]:
    """What a person with a bender needs of this wire, ready for JSON; lengths in mm."""
    marks = _marks(buck, wire)
    return {
        "name": wire.name,
        "length": wire.length,
        "cut_length": wire.cut_length,
        "parts": wire.parts,
        "splices": [
            splice.model_dump(include={"at", "overlap", "stub_length"}) for splice in wire.splices
        ],
        "marks": [{"at": at, "to": to, "kind": kind} for at, to, kind in marks],
        "bending": None if wire.bending is None else _bending(wire.bending),
        "drawing": _drawing(wire, marks),
        "doubts": [
            finding.model_dump()
            for finding in buck.findings
            if finding.where in (wire.name, wire.asked)
        ],
        "cautions": cautions_for("wire"),
    }


def _bending(bending: Bending) -> dict[str, Any]:
    told = bending.model_dump(
        include={"off", "off_plane", "way", "words", "elastic_radius", "bender_radius"}
        | {"stands_off", "stands_off_at"}
    )
    pieces = [
        {**piece.model_dump(exclude={"rotation_deg"}), "roll": roll_words(piece)}
        for piece in bending.pieces
    ]
    pushes = [push.model_dump(exclude={"direction"}) for push in bending.pushes]
    return {**told, "pieces": pieces, "pushes": pushes}


def _marks(buck: Buck, wire: Wire) -> list[tuple[float, str, str]]:
    """Distance along the rod, what meets it there, and whether that is a wire or a post."""
    found = [
        (tack.at[own], tack.wires[1 - own], "wire")
        for tack in buck.tacks
        for own in (0, 1)
        if tack.wires[own] == wire.name
    ]
    for post in buck.posts:
        if post.wire == wire.name:
            ends = np.stack([post.start, post.end])
            gap, _, at = closest_on_polyline(ends, wire.axis, closed=wire.closed)
            found.append((float(at[np.argmin(gap)]), post.name, "post"))
    return sorted(found)


def _drawing(wire: Wire, marks: list[tuple[float, str, str]]) -> dict[str, Any]:
    """The rod seen square to its best plane and, if it leaves that, along the paper too."""
    axis = np.vstack([wire.axis, wire.axis[:1]]) if wire.closed else wire.axis
    plane = view_from(axis, outside_of(wire.side))
    count = int(np.clip(wire.length / DRAWN_STEP, 40, 900))
    drawn = axis if len(axis) <= count else resample_polyline(axis, count)
    places = _points_at(axis, [at for at, _, _ in marks])
    _, height = project(axis, plane)
    residual = float(np.abs(height).max())
    spatial = residual > max(FLAT_MOST, FLAT_PART * wire.length)
    first, last = end_words(wire.axis[0], wire.axis[-1])
    return {
        "seen_from": seen_from(plane.axes),
        "residual": residual,
        "views": [
            _view(plane, drawn, places, edge=edge)
            for edge in ((False, True) if spatial else (False,))
        ],
        "ends": ["ends meet", ""] if wire.closed else [f"{first} end", f"{last} end"],
    }


def _points_at(axis: Array, along: list[float]) -> Array:
    lengths = arc_lengths(axis)
    return np.column_stack([np.interp(along, lengths, axis[:, k]) for k in range(3)])


def _view(plane: Plane, points: Array, places: Array, *, edge: bool) -> dict[str, Any]:
    def seen(of: Array) -> Any:
        if not len(of):
            return []
        flat, height = project(of, plane)
        return rounded(np.column_stack([flat[:, 0], height]) if edge else flat, 1)

    return {"edge": edge, "points": seen(points), "marks": seen(places)}
