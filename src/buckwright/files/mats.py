"""Mats and traces as JSON, and the mat on paper.

MAT.json     {"squares": [19, 13], "square_mm": 30.0, "marker_mm": 22.0,
              "dictionary": "DICT_5X5_250", "bars": [{"from": [1, 1], "to": [18, 1], "mm": 510.1}]}
TRACES.json  {"traces": {line: [{"picture": file, "px": [[u, v], ...]}]}}
"""

import json
from io import BytesIO
from pathlib import Path
from typing import Any

import cv2
from pydantic import ValidationError
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from buckwright.errors import FileError
from buckwright.files.writing import write_atomically
from buckwright.model.pictures import Bar, Mat, Trace

__all__ = ["mat_json", "read_mat", "read_traces", "write_mat_pdf"]

_MARGIN = 12.0
_DOTS_PER_SQUARE = 240


def read_mat(path: Path) -> Mat:
    """The mat described in this file; FileError names what is wrong with it."""
    content = _read_object(path)
    bars = content.pop("bars", [])
    try:
        mat = Mat(**content, bars=tuple(_bar(bar) for bar in bars))
    except (ValidationError, TypeError, KeyError, AttributeError) as error:
        raise FileError(
            f"{path.name} does not describe a mat: {_said(error)}.", "Mend it."
        ) from error
    _check(mat, path.name)
    return mat


def mat_json(mat: Mat) -> str:
    """The same the other way."""
    content = mat.model_dump(mode="json", exclude={"bars"})
    bars = [{"from": bar.start, "to": bar.end, "mm": bar.mm} for bar in mat.bars]
    return json.dumps({**content, "bars": bars}) + "\n"


def read_traces(path: Path) -> tuple[Trace, ...]:
    """The traces in this file, in its order; FileError names the line that is wrong."""
    content = _read_object(path).get("traces")
    if not isinstance(content, dict):
        raise FileError(f"{path.name} has no 'traces'.", "See docs/commands.md for its form.")
    traces = []
    for line, pieces in content.items():
        for piece in pieces if isinstance(pieces, list) else [pieces]:
            try:
                trace = Trace(line=line, picture=piece["picture"], px=piece["px"])
            except (ValidationError, TypeError, KeyError) as error:
                raise FileError(
                    f"A trace of '{line}' in {path.name} is not right: {_said(error)}.",
                    "Trace that line again.",
                ) from error
            if len(trace.px) < 2:
                raise FileError(
                    f"A trace of '{line}' in {trace.picture} has {len(trace.px)} points.",
                    "A trace needs two at least: draw it again or delete it.",
                )
            traces.append(trace)
    return tuple(traces)


def write_mat_pdf(mat: Mat, path: Path) -> None:
    """The mat at full size on one page, with the crosses of a bar and a check bar.

    The long bar runs between the outermost inner corners of the first row of corners.
    """
    columns, rows = mat.squares
    width, height = columns * mat.square_mm, rows * mat.square_mm
    page = ((width + 2 * _MARGIN) * mm, (height + 2 * _MARGIN + 14.0) * mm)
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=page, invariant=1)
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.drawImage(
        ImageReader(BytesIO(_board_png(mat))),
        _MARGIN * mm, (_MARGIN + 14.0) * mm, width * mm, height * mm,
    )  # fmt: skip
    _check_bar(canvas, columns, mat.square_mm)
    canvas.showPage()
    canvas.save()
    write_atomically(path, buffer.getvalue())


def _board_png(mat: Mat) -> bytes:
    board = cv2.aruco.CharucoBoard(
        mat.squares, mat.square_mm, mat.marker_mm,
        cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, mat.dictionary)),
    )  # fmt: skip
    dots = (mat.squares[0] * _DOTS_PER_SQUARE, mat.squares[1] * _DOTS_PER_SQUARE)
    _, coded = cv2.imencode(".png", board.generateImage(dots))
    return bytes(coded.tobytes())


def _check_bar(canvas: Canvas, columns: int, square: float) -> None:
    low = 9.0 * mm
    start = _MARGIN * mm
    canvas.setLineWidth(0.5)
    canvas.line(start, low, start + 100.0 * mm, low)
    for end in (start, start + 100.0 * mm):
        canvas.line(end, low - 2.0 * mm, end, low + 2.0 * mm)
    canvas.setFont("Helvetica", 11)
    canvas.drawString(start + 104.0 * mm, low - 1.4 * mm, "100 mm. Print at 100 %, glue down flat.")
    first, last = square, (columns - 1) * square
    canvas.drawString(
        start + 200.0 * mm, low - 1.4 * mm,
        f"Measure with calipers from the first to the last inner corner of the top row "
        f"({last - first:.0f} mm as drawn), and type that length in.",
    )  # fmt: skip


def _bar(bar: dict[str, Any]) -> Bar:
    return Bar(start=bar["from"], end=bar["to"], mm=bar["mm"])


def _check(mat: Mat, name: str) -> None:
    columns, rows = mat.squares
    if not hasattr(cv2.aruco, mat.dictionary):
        raise FileError(f"{name} names an unknown dictionary '{mat.dictionary}'.", "Mend its name.")
    if columns < 3 or rows < 3 or not 0.0 < mat.marker_mm < mat.square_mm:
        raise FileError(
            f"{name}: a mat has at least 3 x 3 squares, and marks smaller than its squares.",
            "Mend the numbers.",
        )
    for bar in mat.bars:
        inside = all(0 < c < columns and 0 < r < rows for c, r in (bar.start, bar.end))
        if not inside or bar.start == bar.end or bar.mm <= 0.0:
            raise FileError(
                f"{name} has a bar from {bar.start} to {bar.end}, not between inner corners.",
                f"Columns go from 1 to {columns - 1}, rows from 1 to {rows - 1}.",
            )


def _read_object(path: Path) -> dict[str, Any]:
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise FileError(f"{path} cannot be read ({error.strerror}).", "Check its name.") from error
    except ValueError as error:
        raise FileError(
            f"{path.name} is not JSON ({error}).", "Mend it or make it again."
        ) from error
    if not isinstance(content, dict):
        raise FileError(f"{path.name} holds no JSON object.", "See docs/commands.md for its form.")
    return content


def _said(error: Exception) -> str:
    if isinstance(error, ValidationError):
        first = error.errors()[0]
        return f"'{' > '.join(str(part) for part in first['loc'])}': {first['msg']}"
    if isinstance(error, KeyError):
        return f"{error} is missing"
    return str(error) or type(error).__name__
