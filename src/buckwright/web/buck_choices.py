"""Figures and choices of the buck that the page lets people change: rod, rules, frame, boards."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from buckwright.errors import JobError
from buckwright.model.boards import BoardSpec
from buckwright.model.buck import BuckSpec
from buckwright.model.job import Job
from buckwright.web.buck_edits import FARTHEST, asked_buck
from buckwright.web.typed import (
    Edited,
    Typed,
    chosen,
    in_words,
    typed_figure,
    typed_length,
    typed_lengths,
)

__all__ = ["CHOICES", "CHOICE_EDITS", "FIGURES", "LENGTHS", "told_choices"]


@dataclass(frozen=True, slots=True)
class Limits:
    """Between what a figure may lie, and what it is called."""

    words: str
    low: float
    high: float
    group: str
    unit: str = "mm"
    empty: str = ""
    """What it means when nothing is typed; it must be typed if this is empty."""


LENGTHS: dict[str, Limits] = {
    "rod_diameter": Limits("rod diameter", 1.0, 30.0, "rod"),
    "bender_radius": Limits(
        "least radius of the bender", 1.0, 2000.0, "rod", empty="three diameters"
    ),
    "end_allowance": Limits("spare at each end", 0.0, 200.0, "rod"),
    "sheet_thickness": Limits("sheet over the wires", 0.1, 10.0, "rod"),
    "kerf": Limits("saw cut", 0.0, 10.0, "stock"),
    "useful_remnant": Limits("shortest left-over to keep", 1.0, 6000.0, "stock"),
    "sagitta_limit": Limits("skin may stand off the straight by", 0.1, 100.0, "rules"),
    "push_limit": Limits("rod may give by", 0.1, 100.0, "rules"),
    "built_tolerance": Limits("a built wire is right within", 0.1, 20.0, "rules"),
    "frame_section": Limits("width of the tube", 8.0, 120.0, "frame"),
    "frame_wall": Limits("its wall", 0.5, 8.0, "frame"),
    "frame_clearance": Limits("keep clear by", 0.0, 300.0, "frame"),
    "stand_height": Limits("height of foot or castor", 0.0, 400.0, "frame"),
    "tyre_radius": Limits("tyre radius", 100.0, 900.0, "frame", empty="from the rims"),
    "tyre_width": Limits("tyre width", 40.0, 500.0, "frame", empty="from its height"),
    "sill_height": Limits(
        "floor to the lowest metal", 50.0, 1500.0, "frame", empty="the ground of the lines"
    ),
}
FIGURES: dict[str, Limits] = {
    "rod_yield": Limits("elastic limit of the rod", 100.0, 1500.0, "rod", "MPa"),
    "hand_push": Limits("push of a hand", 5.0, 500.0, "rules", "N"),
    "lift_reference": Limits("one person lifts", 5.0, 25.0, "frame", "kg"),
}
CHOICES: dict[str, tuple[str, tuple[tuple[str, str], ...]]] = {
    "frame_kind": (
        "frame of",
        (("square tube", "square tube"), ("folded strip", "folded strip")),
    ),
    "frame_people": (
        "where people sit",
        (("bolt out", "bolt in"), ("keep clear", "keep clear"), ("ignore", "weld through")),
    ),
    "stand": ("stands on", (("feet", "feet"), ("castors", "castors"), ("none", "nothing"))),
}
BOARD_LENGTHS: dict[str, Limits] = {
    "thickness": Limits("board thickness, measured", 3.0, 60.0, "boards"),
    "fit": Limits("slots wider by", 0.0, 3.0, "boards"),
    "cutter": Limits("router bit", 1.0, 25.0, "boards"),
}
BOARD_PLACES = {"stations": "stations", "buttocks": "buttocks", "levels": "levels"}


def told_choices(spec: BuckSpec) -> dict[str, Any]:
    """All of them as the page shows them: names, words, values, what an empty one means."""
    told = spec.model_dump(include={*LENGTHS, *FIGURES, *CHOICES})
    return {
        "lengths": [
            {"key": key, "words": kind.words, "group": kind.group, "empty": kind.empty,
             "mm": told[key] or (None if kind.empty else 0.0)}
            for key, kind in LENGTHS.items()
        ],
        "figures": [
            {"key": key, "words": kind.words, "group": kind.group, "unit": kind.unit,
             "value": told[key]}
            for key, kind in FIGURES.items()
        ],
        "choices": [
            {"key": key, "words": words, "options": options, "value": told[key]}
            for key, (words, options) in CHOICES.items()
        ],
        "bars": {"rod": spec.bar_lengths, "tube": spec.tube_lengths},
        "frame_x": spec.frame_x,
        "boards": None if spec.boards is None else _told_boards(spec.boards),
    }  # fmt: skip


def _told_boards(boards: BoardSpec) -> dict[str, Any]:
    told = boards.model_dump(include={*BOARD_LENGTHS, *BOARD_PLACES, "edge"})
    lengths = [
        {"key": key, "words": kind.words, "group": kind.group, "empty": "", "mm": told[key]}
        for key, kind in BOARD_LENGTHS.items()
    ]
    return {"lengths": lengths, "edge": told["edge"], **{k: told[k] for k in BOARD_PLACES}}


def _changed(job: Job, words: str, **update: object) -> Edited:
    spec = asked_buck(job)
    return job.model_copy(update={"buck": spec.model_copy(update=update)}), words


def _length(job: Job, typed: Typed) -> Edited:
    key = chosen(typed, "key", tuple(LENGTHS))
    kind = LENGTHS[key]
    if kind.empty and not str(typed.get("length", "")).strip():
        nothing = 0.0 if key == "bender_radius" else None
        return _changed(job, f"{kind.words}: {kind.empty}", **{key: nothing})
    value = typed_length(typed, f"the figure '{kind.words}'", kind.low, kind.high)
    spec = asked_buck(job).model_copy(update={key: value})
    if 2.0 * spec.frame_wall >= spec.frame_section:
        raise JobError("The walls of the tube leave no room in it.", "Give a thinner wall.")
    return _changed(job, f"{kind.words}: {in_words(value)}", **{key: value})


def _figure(job: Job, typed: Typed) -> Edited:
    key = chosen(typed, "key", tuple(FIGURES))
    kind = FIGURES[key]
    value = typed_figure(typed, f"the figure '{kind.words}'", kind.unit, kind.low, kind.high)
    return _changed(job, f"{kind.words}: {value:g} {kind.unit}", **{key: value})


def _choice(job: Job, typed: Typed) -> Edited:
    key = chosen(typed, "key", tuple(CHOICES))
    words, options = CHOICES[key]
    value = chosen(typed, "value", [option for option, _ in options])
    return _changed(job, f"{words}: {dict(options)[value]}", **{key: value})


def _bars(job: Job, typed: Typed) -> Edited:
    stock = chosen(typed, "key", ("rod", "tube"))
    lengths = typed_lengths(typed, "the length of a bar", 300.0, FARTHEST)
    if not lengths:
        raise JobError("There is no bar to cut from.", "Name at least one length, as 6096 mm.")
    told = ", ".join(in_words(length) for length in lengths)
    key = "bar_lengths" if stock == "rod" else "tube_lengths"
    return _changed(job, f"bars of {stock} to buy: {told}", **{key: lengths})


def _stations(job: Job, typed: Typed) -> Edited:
    ends = typed_lengths(typed, "a station of the frame", -FARTHEST, FARTHEST)
    if len(ends) == 0:
        return _changed(job, "no inner frame", frame_x=(0.0, 0.0))
    if len(ends) != 2 or ends[0] >= ends[1]:
        raise JobError(
            "A frame stands between two stations.", "Type them like 800 mm, 2800 mm, front first."
        )
    told = f"frame from station {in_words(ends[0])} to {in_words(ends[1])}"
    return _changed(job, told, frame_x=ends)


def _boards(job: Job, typed: Typed) -> Edited:
    spec = asked_buck(job)
    if not typed.get("on"):
        return _changed(job, "no station buck", boards=None)
    if spec.boards is not None:
        raise JobError("The job has a station buck already.", "Change its boards below.")
    front, rear = spec.frame_x if spec.frame_x[1] > spec.frame_x[0] else (0.0, 2000.0)
    step = (rear - front) / 5.0
    stations = tuple(round(front + step * k, -1) for k in range(6))
    boards = BoardSpec(stations=stations, buttocks=(0.0,))
    return _changed(job, f"a station buck with {len(stations)} stations", boards=boards)


def _board(job: Job) -> BoardSpec:
    boards = asked_buck(job).boards
    if boards is None:
        raise JobError("The job asks for no station buck.", "Ask for one first.")
    return boards


def _board_length(job: Job, typed: Typed) -> Edited:
    key = chosen(typed, "key", tuple(BOARD_LENGTHS))
    kind = BOARD_LENGTHS[key]
    value = typed_length(typed, f"the figure '{kind.words}'", kind.low, kind.high)
    boards = _board(job).model_copy(update={key: value})
    return _changed(job, f"{kind.words}: {in_words(value)}", boards=boards)


def _board_places(job: Job, typed: Typed) -> Edited:
    key = chosen(typed, "key", tuple(BOARD_PLACES))
    places = tuple(sorted(set(typed_lengths(typed, "the place of a board", -FARTHEST, FARTHEST))))
    if key == "stations" and not places:
        raise JobError("Stations carry the other boards.", "Name at least one station.")
    told = ", ".join(in_words(place) for place in places) or "none"
    boards = _board(job).model_copy(update={key: places})
    return _changed(job, f"boards at {key}: {told}", boards=boards)


def _board_edge(job: Job, typed: Typed) -> Edited:
    edge = chosen(typed, "value", ("square", "bevel"))
    boards = _board(job).model_copy(update={"edge": edge})
    told = "square" if edge == "square" else "bevelled"
    return _changed(job, f"edges of the boards sawn {told}", boards=boards)


CHOICE_EDITS: dict[str, Callable[[Job, Typed], Edited]] = {
    "buck length": _length,
    "buck figure": _figure,
    "buck choice": _choice,
    "bars to buy": _bars,
    "frame stations": _stations,
    "station buck": _boards,
    "board length": _board_length,
    "board places": _board_places,
    "board edge": _board_edge,
}
"""By the name that the page sends."""
