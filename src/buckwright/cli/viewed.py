"""What is typed after `buckwright view`, read: pixels, places, pieces of a drawing, masks."""

import argparse
import csv
import json
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import FileError, JobError
from buckwright.model.pictures import Calibration
from buckwright.model.views import (
    Known,
    Length,
    Pick,
    SharedMark,
    ViewPicture,
    ViewSpec,
    ViewTrace,
)
from buckwright.units import parse_length
from buckwright.views.outlines import Outline, outline_of_mask

__all__ = [
    "corner_places",
    "knowns_of",
    "length_of",
    "masks_in",
    "pieces_of",
    "places",
    "trace_of",
]

Array = NDArray[np.float64]


def _place(text: str) -> tuple[float, float]:
    try:
        u, v = (float(part) for part in text.split(","))
    except ValueError:
        raise JobError(f"'{text}' is no place in a picture.", "Type it like 812.5,1490.") from None
    if not np.isfinite(u + v):
        raise JobError(f"'{text}' is no place in a picture.", "Type it like 812.5,1490.")
    return u, v


def places(text: str) -> Array:
    """(n, 2) of `U,V U,V ...`."""
    return np.array([_place(part) for part in text.split()]).reshape(-1, 2)


def corner_places(rectangle: str | None, typed: str | None, count: int) -> Array:
    """(n, 2) mm of the corners; empty where the picture's perspective must tell."""
    if typed is not None:
        return places(typed)
    if rectangle is None:
        return np.zeros((0, 2))
    sides = rectangle.lower().split("x")
    if len(sides) != 2 or count != 4:
        raise JobError(
            f"'{rectangle}' is no rectangle of four corners.", "Type it like 2400mmx1200mm."
        )
    width, height = (parse_length(side) for side in sides)
    if not (width > 0.0 and height > 0.0):
        raise JobError("A rectangle has a width and a height.", "Type both, more than nothing.")
    return np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])


def length_of(picture: str, first: str, second: str, mm: str) -> Length:
    """A known length between two places of one picture."""
    ends = (Pick(picture=picture, px=_place(text)) for text in (first, second))
    return Length(first=next(ends), second=next(ends), mm=parse_length(mm))


def knowns_of(picture: str, args: argparse.Namespace) -> tuple[Known, ...]:
    """Wheel centres, then places typed one by one."""
    found = []
    if args.wheels is not None:
        if args.wheelbase is None:
            raise JobError("The wheelbase is missing.", "Type it after --wheelbase.")
        height = parse_length(args.wheel_height)
        for text, x in zip(args.wheels, (0.0, parse_length(args.wheelbase)), strict=True):
            found.append(Known(pick=Pick(picture=picture, px=_place(text)), right=x, up=height))
    for typed in args.known:
        if len(typed.split()) != 3:
            raise JobError(f"'{typed}' is no known place.", "Type it like '812,1490 0mm -'.")
        text, right, up = typed.split()
        figures = [None if value == "-" else parse_length(value) for value in (right, up)]
        found.append(
            Known(pick=Pick(picture=picture, px=_place(text)), right=figures[0], up=figures[1])
        )
    return tuple(found)


def pieces_of(path: Path, pictures: Sequence[ViewPicture]) -> list[ViewPicture]:
    """The pictures with what PIECES.json says of each: corners, places, marks by name."""
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
        return [_piece(picture, told[picture.source.name]) for picture in pictures]
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise FileError(
            f"{path} does not tell the corners and marks of every piece.",
            'Write {"piece.jpg": {"corners": [[u, v], ...], "places": [[x, y], ...], "marks": '
            '{"a": [u, v]}}}.',
        ) from error


def _piece(picture: ViewPicture, told: dict[str, object]) -> ViewPicture:
    marks = dict(told.get("marks", {}))  # type: ignore[call-overload]
    return ViewPicture(
        source=picture.source,
        corners=np.array(told.get("corners", []), dtype=np.float64).reshape(-1, 2),
        corners_at=np.array(told.get("places", []), dtype=np.float64).reshape(-1, 2),
        marks=tuple(SharedMark(name=name, px=px) for name, px in marks.items()),
    )


def trace_of(view: ViewSpec, args: argparse.Namespace) -> ViewTrace:
    """The trace that was typed, in pixels of one picture of the view."""
    picture = args.picture or view.pictures[0].source.name
    px = places(" ".join(args.px)) if args.file is None else _rows(args.file)
    between = None
    if args.between is not None:
        ends = args.between.split("..")
        if len(ends) > 2:
            raise JobError(f"'{args.between}' is no stretch.", "Type it like -660mm..-640mm.")
        between = (parse_length(ends[0]), parse_length(ends[-1]))
    crown = parse_length(args.crown)
    if crown < 0.0:
        raise JobError("A crown has a radius of more than nothing.", "Leave it out for none.")
    return ViewTrace(
        line=args.line,
        picture=picture,
        px=px,
        closed=args.closed,
        outline=args.outline,
        between=between,
        crown=crown,
    )


def _rows(path: Path) -> Array:
    try:
        with path.open(encoding="utf-8", newline="") as file:
            rows = [row for row in csv.reader(file) if row]
    except (OSError, UnicodeDecodeError) as error:
        raise FileError(f"{path} cannot be read.", "Name a CSV with u,v in each row.") from error
    head = bool(rows) and rows[0][0].strip().lower() == "u"
    return np.array([_place(",".join(row[:2])) for row in rows[head:]]).reshape(-1, 2)


def masks_in(folder: Path, calibration: Calibration) -> tuple[Outline, ...]:
    """The masks of placed pictures in a folder: NAME.png, the body bright, the rest dark."""
    from buckwright.files.photographs import read_picture_bytes

    found = []
    for picture in calibration.pictures:
        path = folder / f"{Path(picture.name).stem}.png"
        if path.is_file():
            _, grey = read_picture_bytes(path.read_bytes(), name=path.name)
            found.append(outline_of_mask(grey > 127, picture))
    if not found:
        raise FileError(f"There is no mask in {folder}.", "Name them as the pictures, with .png.")
    return tuple(found)
