"""What may be changed on the sheet of the people: who sits where, and what stands round them."""

from collections.abc import Callable
from typing import Any

import numpy as np

from buckwright.errors import JobError
from buckwright.model.job import Job
from buckwright.model.lines import Departure
from buckwright.model.package import Box, PackageSpec
from buckwright.model.people import FitQuestion, Person
from buckwright.people import BODY_SIZES, SPEC_LIMITS, check_spec, choose_person
from buckwright.tables.body_sizes import CREWS
from buckwright.units import parse_length
from buckwright.web.desk import View
from buckwright.web.typed import (
    Edited,
    Typed,
    chosen,
    in_words,
    typed_figure,
    typed_length,
)

__all__ = ["ANGLES", "PEOPLE_EDITS", "STRETCH_EDITS"]

MOST_PEOPLE = 5
LONGEST_NAME = 40
FARTHEST = 20000.0
"""mm from the front axle."""

ANGLES = ("lean", "wheel_tilt", "lock")
"""Fields of the package in radians, typed in degrees."""

_MEASURED = tuple(BODY_SIZES)[:5]
"""Sizes that every person has; the others may be left to the survey."""

_ALLOWANCES = {
    "clothing": ("clothing", 0.0, 200.0),
    "between": ("the gap between neighbours", 0.0, 500.0),
    "door_thickness": ("the thickness of a door", 0.0, 300.0),
    "sheet_thickness": ("the thickness of the sheet", 0.0, 6.0),
}
_TOGETHER = {
    "abreast": "the width over the people measured together",
    "finished": "the finished width",
}
_EDGES = {
    "front": (0, 0),
    "rear": (1, 0),
    "left": (0, 1),
    "right": (1, 1),
    "bottom": (0, 2),
    "top": (1, 2),
}


def _asked(job: Job) -> FitQuestion:
    if job.people is None:
        raise JobError("This job asks for no people.", "Name people in the job first.")
    return job.people


def _with(job: Job, words: str, **changes: Any) -> Edited:
    people = _asked(job).model_copy(update=changes)
    return job.model_copy(update={"people": people}), words


def _spec(job: Job) -> PackageSpec:
    return _asked(job).package or PackageSpec()


def _person(job: Job, typed: Typed) -> Person:
    for person in _asked(job).people:
        if person.name == typed.get("name"):
            return person
    raise JobError(f"Nobody is called '{typed.get('name')}'.", "Reload the page and try again.")


def _replaced(job: Job, old: Person, new: Person, words: str) -> Edited:
    everyone = tuple(new if one is old else one for one in _asked(job).people)
    return _with(job, words, people=everyone)


def _size_person(job: Job, typed: Typed) -> Edited:
    person = _person(job, typed)
    field = chosen(typed, "field", tuple(BODY_SIZES))
    words, low, high = BODY_SIZES[field]
    if field not in _MEASURED and not str(typed.get("length", "")).strip():
        new = person.model_copy(update={field: None})
        return _replaced(job, person, new, f"the {words} of {person.name} comes from the survey")
    value = typed_length(typed, f"the {words}", low, high)
    new = person.model_copy(update={field: value})
    return _replaced(job, person, new, f"the {words} of {person.name} is {in_words(value)}")


def _percentile(typed: Typed) -> tuple[Any, float]:
    who = chosen(typed, "who", ("woman", "man", "either"))
    return who, typed_figure(typed, "a percentile", "%", 1.0, 99.0)


def _choose_sizes(job: Job, typed: Typed) -> Edited:
    person = _person(job, typed)
    who, percent = _percentile(typed)
    new = choose_person(person.name, who, percent)
    words = f"{person.name} is now {_WHO[who]} of the {percent:g}th percentile"
    return _replaced(job, person, new, words)


_WHO = {"woman": "a woman", "man": "a man", "either": "a person of either sex"}


def _add_person(job: Job, typed: Typed) -> Edited:
    question = _asked(job)
    name = str(typed.get("name", "")).strip()
    if not name or len(name) > LONGEST_NAME:
        raise JobError("The person needs a name.", f"Type one of {LONGEST_NAME} letters at most.")
    if name in [person.name for person in question.people]:
        raise JobError(f"'{name}' sits there already.", "Type another name.")
    if len(question.people) >= MOST_PEOPLE:
        raise JobError(f"{MOST_PEOPLE} abreast are the most.", "Take somebody out first.")
    who, percent = _percentile(typed)
    everyone = (*question.people, choose_person(name, who, percent))
    return _with(job, f"{name} sits beside them", people=everyone)


def _seat_crew(job: Job, typed: Typed) -> Edited:
    """A whole crew of the survey at once, in the place of whoever sat there."""
    crew = chosen(typed, "crew", tuple(CREWS))
    percent = typed_figure(typed, "a percentile", "%", 1.0, 99.0)
    names = ("driver", "mate")
    people = tuple(
        choose_person(name, who, percent) for name, who in zip(names, CREWS[crew], strict=True)
    )
    return _with(job, f"{crew} of the {percent:g}th percentile sit there", people=people)


def _drop_person(job: Job, typed: Typed) -> Edited:
    person = _person(job, typed)
    others = tuple(one for one in _asked(job).people if one is not person)
    if not others:
        raise JobError("Somebody must sit in it.", "Add another person first.")
    return _with(job, f"{person.name} sits there no longer", people=others)


def _move_seat(job: Job, typed: Typed) -> Edited:
    axis = chosen(typed, "axis", ("x", "z"))
    words = {"x": "station of the shoulders", "z": "height of the seat"}[axis]
    value = typed_length(typed, f"the {words}", -FARTHEST if axis == "x" else -500.0, FARTHEST)
    return _with(job, f"the {words} is {in_words(value)}", **{f"seat_{axis}": value})


def _set_allowance(job: Job, typed: Typed) -> Edited:
    field = chosen(typed, "field", (*_ALLOWANCES, *_TOGETHER))
    if field in _ALLOWANCES:
        words, low, high = _ALLOWANCES[field]
        value = typed_length(typed, words, low, high)
        return _with(job, f"{words} is {in_words(value)}", **{field: value})
    words = _TOGETHER[field]
    if not str(typed.get("length", "")).strip():
        return _with(job, f"{words} is not told", **{field: None})
    value = typed_length(typed, words, 250.0, 4000.0)
    return _with(job, f"{words} is {in_words(value)}", **{field: value})


def _set_package(job: Job, typed: Typed) -> Edited:
    field = chosen(typed, "field", tuple(SPEC_LIMITS))
    words, low, high = SPEC_LIMITS[field]
    value: float | None
    if field in ANGLES:
        degrees = typed_figure(
            typed, f"the {words}", "degrees", round(np.rad2deg(low)), round(np.rad2deg(high))
        )
        value, told = float(np.deg2rad(degrees)), f"{degrees:g} degrees"
    elif field in {"dash", "floor", "tyre_radius"} and not str(typed.get("text", "")).strip():
        value, told = None, "left to the body"
    else:
        value = typed_length({"length": typed.get("text", "")}, f"the {words}", low, high)
        told = in_words(value)
    spec = _spec(job).model_copy(update={field: value})
    check_spec(spec)
    return _with(job, f"the {words} is {told}", package=spec)


def _set_driver(job: Job, typed: Typed) -> Edited:
    side = chosen(typed, "side", ("left", "right"))
    spec = _spec(job).model_copy(update={"driver": side})
    return _with(job, f"the driver sits on the {side}", package=spec)


def _begin_package(job: Job, typed: Typed) -> Edited:
    return _with(job, "seats, steering, wheels and sight are laid out", package=_spec(job))


def _set_engine(job: Job, typed: Typed) -> Edited:
    spec = _spec(job)
    if typed.get("none"):
        left_out = spec.model_copy(update={"engine": None})
        return _with(job, "no engine stands before the feet", package=left_out)
    edge = chosen(typed, "edge", tuple(_EDGES))
    end, axis = _EDGES[edge]
    box = spec.engine or Box(low=(-200.0, -250.0, 300.0), high=(300.0, 250.0, 900.0))
    ends = [list(box.low), list(box.high)]
    ends[end][axis] = parse_length(str(typed.get("length", "")))
    low, high = ((e[0], e[1], e[2]) for e in ends)
    new = spec.model_copy(update={"engine": Box(low=low, high=high)})
    check_spec(new)
    words = f"the engine's {edge} is at {in_words(ends[end][axis])}"
    return _with(job, words, package=new)


def _accept_stretch(view: View, typed: Typed) -> Edited:
    """A proposed zone as a departure; the seat goes along where the zone says so."""
    job, answer = view.job, view.products.people
    question = _asked(job)
    if view.states.get("people") != "done" or answer is None or answer.package is None:
        raise JobError("The proposal is older than the job.", "Work the job out again first.")
    name = typed.get("name")
    for one in answer.package.stretches:
        if one.name == name:
            break
    else:
        raise JobError(f"There is no proposal '{name}'.", "Reload the page and try again.")
    taken = {departure.name for departure in job.departures}
    called = one.name
    while called in taken:
        called = f"{called}, again"
    zone = Departure(
        name=called, reason=one.reason, axis=one.axis, start=one.start, end=one.end, by=one.by
    )
    moved = question.model_copy(update={"seat_x": question.seat_x + one.seat_by})
    update = {"departures": (*job.departures, zone), "people": moved}
    return job.model_copy(update=update), f"departure '{called}' of {in_words(one.by)} accepted"


PEOPLE_EDITS: dict[str, Callable[[Job, Typed], Edited]] = {
    "size person": _size_person,
    "choose sizes": _choose_sizes,
    "add person": _add_person,
    "drop person": _drop_person,
    "seat crew": _seat_crew,
    "move seat": _move_seat,
    "allowance": _set_allowance,
    "package": _set_package,
    "driver": _set_driver,
    "begin package": _begin_package,
    "engine": _set_engine,
}
"""By the name that the page sends."""

STRETCH_EDITS: dict[str, Callable[[View, Typed], Edited]] = {"accept stretch": _accept_stretch}
