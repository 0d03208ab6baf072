"""DXF for cutters and pens: arcs and straight pieces, one layer for each ink, millimetres.

R2010 (AC1024), because older versions lose the unit; ASCII text only, because readers disagree
about anything else; words are single strokes on their own layer, because a cutter may ignore text.
"""

import re
from io import StringIO
from uuid import UUID

import numpy as np
from ezdxf import units
from ezdxf.document import Drawing
from ezdxf.filemanagement import new
from numpy.typing import NDArray

from buckwright.files.inks import PENS
from buckwright.geometry.biarc import fit_arcs
from buckwright.geometry.lettering import lettering_strokes
from buckwright.model.drawings import Label, Sheet, Stroke

__all__ = ["dxf_text"]

Array = NDArray[np.float64]

TOLERANCE = 0.1
"""mm that a cut may leave the drawn line."""
FIT_SHARE = 0.9
"""Part of it that the arcs may use: the rest is for the check between samples and for rounding."""


def dxf_text(sheet: Sheet) -> str:
    """The sheet's strokes as polylines with arcs within 0.1 mm, its words as strokes.

    A closed stroke is one closed polyline. Notes are left out: what is not there cannot be cut.
    """
    document = new("R2010", setup=False)
    document.units = units.MM
    document.header["$MEASUREMENT"] = 1
    for pen in PENS.values():
        document.layers.add(pen.layer, color=pen.layer_colour, lineweight=round(100 * pen.width))
    document.layers.get("0").dxf.lineweight = 25
    for ink in PENS:
        for stroke in sheet.strokes:
            if stroke.ink == ink:
                _add_stroke(document, stroke)
    for label in sheet.labels:
        _add_words(document, label)
    _set_extents(document, sheet)
    out = StringIO()
    document.write(out)
    return _timeless(out.getvalue())


def _timeless(text: str) -> str:
    """Without the hour and the random names that the library writes: same sheet, same file."""
    text = re.sub(r"(\$TDU?(?:CREATE|UPDATE)\n *40\n)[0-9.]+", r"\g<1>2451545.0", text)
    text = re.sub(r"(GUID\n *2\n)\{[0-9A-F-]+\}", rf"\g<1>{{{UUID(int=0)}}}", text)
    return re.sub(r"(\n[0-9.]+ @ )[0-9T:.+-]+\n", r"\g<1>2000-01-01T00:00:00+00:00\n", text)


def _add_stroke(document: Drawing, stroke: Stroke) -> None:
    layer = {"layer": PENS[stroke.ink].layer}
    space = document.modelspace()
    if np.ptp(stroke.points, axis=0).max() <= 1e-6:
        space.add_point((*stroke.points[0].tolist(), 0.0), dxfattribs=layer)
        return
    path = fit_arcs(stroke.points, tolerance=FIT_SHARE * TOLERANCE, closed=stroke.closed)
    corners = [
        (x, y, bulge)
        for (x, y), bulge in zip(path.vertices.tolist(), path.bulges.tolist(), strict=True)
    ]
    space.add_lwpolyline(corners, format="xyb", close=path.closed, dxfattribs=layer)


def _add_words(document: Drawing, label: Label) -> None:
    cosine, sine = np.cos(label.angle), np.sin(label.angle)
    turn = np.array([[cosine, sine], [-sine, cosine]])
    for points in lettering_strokes(label.text, label.height):
        placed = points @ turn + label.at
        document.modelspace().add_lwpolyline(placed.tolist(), dxfattribs={"layer": "TEXT"})


def _set_extents(document: Drawing, sheet: Sheet) -> None:
    """Drawing extents and limits, which a new document leaves at nonsense."""
    low, high = sheet.box()
    document.header["$EXTMIN"] = (*low.tolist(), 0.0)
    document.header["$EXTMAX"] = (*high.tolist(), 0.0)
    document.header["$LIMMIN"] = tuple(low.tolist())
    document.header["$LIMMAX"] = tuple(high.tolist())
    space = document.modelspace()
    space.reset_extents((*low.tolist(), 0.0), (*high.tolist(), 0.0))
    space.reset_limits(tuple(low.tolist()), tuple(high.tolist()))
