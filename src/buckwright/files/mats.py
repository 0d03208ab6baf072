"""MAT.json and TRACES.json: reading with a sentence for everything that can be wrong, and writing.

MAT.json: {"squares": [19, 13], "square_mm": 30.0, "marker_mm": 22.0, "dictionary": "DICT_5X5_250",
"bars": [{"from": [1, 1], "to": [18, 1], "mm": 510.08}]}; of a set of cards also "cards": 8, and of
its bars "cards": [1, 3] where the ends lie on those cards, counted from 1; "sigma_mm" where a bar
was not read with a caliper.
TRACES.json: {"traces": {line: [{"picture": file, "px": [[u, v], ...]}]}}; of a snapped trace also
"kind", "clicks", "sigma" and "closed".
"""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any, get_args

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import FileError
from buckwright.geometry.board import dictionary_names, marker_count
from buckwright.model.pictures import Bar, Mat, Trace, TraceKind

__all__ = ["read_mat", "read_traces", "traces_content", "traces_in", "write_mat"]

_MOST_SQUARES, _MOST_CARDS = 200, 500
_MOST_SIGMA = 50.0
LIKELY_STRETCH = 0.03
"""A print that differs more from its drawing is a typing mistake."""


def read_mat(path: Path) -> Mat:
    """The mat described in this file. Raises FileError with what is wrong in it."""
    content = _json(path)
    if not isinstance(content, dict):
        raise _wrong(path, "is not the description of a mat", "Make one with 'buckwright mat'.")
    squares = _pair(content, "squares", path)
    square, marker = (_length(content, key, path) for key in ("square_mm", "marker_mm"))
    dictionary = content.get("dictionary")
    cards = content.get("cards", 1)
    if isinstance(cards, bool) or not isinstance(cards, int) or not 1 <= cards <= _MOST_CARDS:
        raise _wrong(path, "has no usable number of cards", f"Write 1 to {_MOST_CARDS}.")
    _check_board(path, squares, square, marker, dictionary, cards)
    bars = content.get("bars", [])
    if not isinstance(bars, list):
        raise _wrong(path, "has bars that are not a list", "Write them as a list, or leave it out.")
    return Mat(
        squares=squares,
        square_mm=square,
        marker_mm=marker,
        dictionary=str(dictionary),
        bars=tuple(_bar(bar, squares, square, path, cards) for bar in bars),
        more_cards=cards - 1,
    )


def write_mat(mat: Mat, path: Path) -> None:
    """Write the mat so that `read_mat` reads the same. Raises FileError if it cannot be written."""
    content: dict[str, Any] = {
        "squares": list(mat.squares),
        "square_mm": mat.square_mm,
        "marker_mm": mat.marker_mm,
        "dictionary": mat.dictionary,
        "bars": [_bar_content(bar) for bar in mat.bars],
    }
    if mat.cards > 1:
        content["cards"] = mat.cards
    try:
        path.write_text(json.dumps(content, indent=2) + "\n", encoding="utf-8")
    except OSError as error:
        raise FileError(
            f"The mat cannot be written to {path}.", "Choose another place with room."
        ) from error


def _bar_content(bar: Bar) -> dict[str, Any]:
    told: dict[str, Any] = {"from": list(bar.start), "to": list(bar.end), "mm": bar.mm}
    if bar.start_card or bar.end_card:
        told["cards"] = [bar.start_card + 1, bar.end_card + 1]
    if bar.sigma:
        told["sigma_mm"] = bar.sigma
    return told


def read_traces(path: Path) -> tuple[Trace, ...]:
    """All traces in this file, line by line. Raises FileError with what is wrong in it."""
    return traces_in(_json(path), path)


def traces_in(content: Any, path: Path) -> tuple[Trace, ...]:
    """The same of what a file holds, already read; `path` is what the file is called."""
    lines = content.get("traces") if isinstance(content, dict) else None
    if not isinstance(lines, dict):
        raise _wrong(path, "holds no traces", 'Begin it with {"traces": {...}}.')
    traces = []
    for line, pieces in lines.items():
        if not isinstance(pieces, list):
            raise _wrong(path, f"has no list of traces for the line {line}", "Mend it there.")
        traces += [_trace(line, piece, path) for piece in pieces]
    return tuple(traces)


def _json(path: Path) -> Any:
    try:
        return json.loads(path.read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise FileError(
            f"{path} cannot be read.", "Check that it is there and may be opened."
        ) from error
    except UnicodeDecodeError as error:
        raise _wrong(path, "is not text", "Choose the JSON file.") from error
    except (json.JSONDecodeError, RecursionError) as error:
        place = f" at line {error.lineno}" if isinstance(error, json.JSONDecodeError) else ""
        raise _wrong(path, f"is not JSON{place}", "Mend it there, or make it again.") from error


def _wrong(path: Path, what: str, remedy: str) -> FileError:
    return FileError(f"{path.name} {what}.", remedy)


def _is_number(value: Any) -> bool:
    return (
        isinstance(value, int | float) and not isinstance(value, bool) and bool(np.isfinite(value))
    )


def _pair(content: dict[str, Any], key: str, path: Path) -> tuple[int, int]:
    value = content.get(key)
    if (
        not isinstance(value, list)
        or len(value) != 2
        or any(isinstance(v, bool) or not isinstance(v, int) for v in value)
    ):
        raise _wrong(path, f"needs '{key}' as two whole numbers, columns and rows", "Add them.")
    return value[0], value[1]


def _length(content: dict[str, Any], key: str, path: Path) -> float:
    value = content.get(key)
    length = float(value) if value is not None and _is_number(value) else 0.0
    if not 0.0 < length < 1e5:
        raise _wrong(path, f"needs '{key}' as a length in millimetres", "Write it as a number.")
    return length


def _check_board(
    path: Path,
    squares: tuple[int, int],
    square: float,
    marker: float,
    dictionary: Any,
    cards: int,
) -> None:
    if min(squares) < 3 or max(squares) > _MOST_SQUARES:
        raise _wrong(path, f"has {squares[0]} x {squares[1]} squares", "A mat has 3 to 200 a side.")
    if marker >= square:
        raise _wrong(path, "has markers as large as its squares", "Make the markers smaller.")
    if dictionary not in dictionary_names():
        raise _wrong(
            path, f"names the unknown dictionary {dictionary!r}", "Use for example 'DICT_5X5_250'."
        )
    needed = squares[0] * squares[1] // 2 * cards
    if needed > marker_count(dictionary):
        raise _wrong(
            path,
            f"needs {needed} different markers, but {dictionary} has {marker_count(dictionary)}",
            "Use a larger dictionary, or fewer squares or cards.",
        )


def _bar(bar: Any, squares: tuple[int, int], square: float, path: Path, cards: int) -> Bar:
    if not isinstance(bar, dict):
        raise _wrong(path, "has a bar that is not {from, to, mm}", "Write it so.")
    start, end = (_pair(bar, key, path) for key in ("from", "to"))
    on = _pair(bar, "cards", path) if "cards" in bar else (1, 1)
    if not all(1 <= card <= cards for card in on):
        raise _wrong(path, f"has a bar on card {max(on)} of {cards}", "Name cards that there are.")
    for column, row in (start, end):
        if not (1 <= column < squares[0] and 1 <= row < squares[1]):
            raise _wrong(
                path,
                f"has a bar that ends at {column}, {row}, which is no inner corner",
                f"Use columns 1 to {squares[0] - 1} and rows 1 to {squares[1] - 1}.",
            )
    if (start, on[0]) == (end, on[1]):
        raise _wrong(path, "has a bar without length", "Give it two different ends.")
    length = _length(bar, "mm", path)
    drawn = square * float(np.hypot(end[0] - start[0], end[1] - start[1]))
    if on[0] == on[1] and abs(length / drawn - 1.0) > LIKELY_STRETCH:
        raise _wrong(
            path,
            f"has a bar of {length:g} mm that was drawn {drawn:g} mm long",
            "Measure it again, in millimetres.",
        )
    sigma = _length(bar, "sigma_mm", path) if "sigma_mm" in bar else 0.0
    if sigma > _MOST_SIGMA:
        raise _wrong(path, "has a bar that is hardly measured at all", "Measure it again.")
    return Bar(
        start=start,
        end=end,
        mm=length,
        start_card=on[0] - 1,
        end_card=on[1] - 1,
        sigma=sigma,
    )


def traces_content(traces: Sequence[Trace]) -> dict[str, Any]:
    """What a file of these traces holds, so that `traces_in` gives them back."""
    lines: dict[str, list[dict[str, Any]]] = {}
    for trace in traces:
        lines.setdefault(trace.line, []).append(trace.model_dump(exclude={"line"}, mode="json"))
    return {"traces": lines}


def _trace(line: str, piece: Any, path: Path) -> Trace:
    where = f"a trace of the line {line}"
    if not isinstance(piece, dict) or not isinstance(piece.get("picture"), str):
        raise _wrong(path, f"has {where} that names no picture", "Add its picture.")
    where += f" in {piece['picture']}"
    kind = piece.get("kind", "hand")
    if kind not in get_args(TraceKind):
        raise _wrong(path, f"has {where} of the unknown kind {kind!r}", "Leave its kind out.")
    points = _places(piece.get("px"), where, path, least=1 if kind == "point" else 2)
    clicks = _places(piece["clicks"], where, path, least=1) if "clicks" in piece else None
    sigma = piece.get("sigma", [])
    if sigma and not (
        isinstance(sigma, list) and len(sigma) == len(points) and all(map(_is_number, sigma))
    ):
        raise _wrong(path, f"has {where} without a doubt for every point", "Leave 'sigma' out.")
    return Trace(
        line=line,
        picture=piece["picture"],
        px=points,
        kind=kind,
        closed=piece.get("closed") is True,
        clicks=np.zeros((0, 2)) if clicks is None else clicks,
        sigma=np.array(sigma, dtype=np.float64),
    )


def _places(px: Any, where: str, path: Path, *, least: int) -> NDArray[np.float64]:
    if not isinstance(px, list) or len(px) < least:
        raise _wrong(
            path, f"has {where} with fewer than two points", "Trace it again, or delete it."
        )
    if not all(isinstance(p, list) and len(p) == 2 and all(map(_is_number, p)) for p in px):
        raise _wrong(
            path, f"has {where} with a point that is not two numbers", "Mend or delete that point."
        )
    points = np.array(px, dtype=np.float64)
    if np.abs(points).max() > 1e6:
        raise _wrong(path, f"has {where} that runs far out of any picture", "Trace it again.")
    return points
