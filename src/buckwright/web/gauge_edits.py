"""What may be changed on the sheet of gauges: where cards stand, how they are cut, sweeps."""

from collections.abc import Callable
from typing import Any

from buckwright.errors import JobError
from buckwright.model.gauges import CardAtLine, GaugeSpec, SweepSpec
from buckwright.model.job import Job
from buckwright.web.typed import (
    Edited,
    Typed,
    chosen,
    in_words,
    typed_count,
    typed_figure,
    typed_length,
    typed_lengths,
)

__all__ = ["GAUGE_EDITS"]

FARTHEST = 20000.0
"""mm from the front axle: nothing that a shop builds is longer."""
TOLERANCE = (0.05, 20.0)
"""mm that cards may be asked to be true between them."""
USUAL_TOLERANCE = 1.0
AXIS_WORDS = {"x": "stations", "y": "buttocks", "z": "levels"}
FACE_WORDS = {"outside": "the outside", "inside": "the inside", "both": "both faces"}


def _spec(job: Job, typed: Typed) -> tuple[int, GaugeSpec]:
    """The spec at 'place', which must still be of 'region'."""
    place = typed_count(typed, "place", "a place in the list of gauges", 0, 999)
    if place >= len(job.gauges) or job.gauges[place].region != typed.get("region"):
        raise JobError("These gauges are not asked for any more.", "Reload the page.")
    return place, job.gauges[place]


def _with(job: Job, typed: Typed, words: str, **changes: Any) -> Edited:
    """The job with that spec changed, unless nothing would be left to cut."""
    place, spec = _spec(job, typed)
    new = spec.model_copy(update=changes)
    cards = new.tolerance is not None or new.at or new.planes or new.lines
    if not cards and new.stand:
        raise JobError("A stand without cards holds nothing.", "Leave out the stand first.")
    if not cards and new.sweeps is None:
        raise JobError(
            f"No gauge of the {spec.region} would be left.",
            "Choose cards in another way first, or leave these gauges out.",
        )
    specs = (*job.gauges[:place], new, *job.gauges[place + 1 :])
    return job.model_copy(update={"gauges": specs}), f"gauges of the {spec.region}: {words}"


def _add(job: Job, typed: Typed) -> Edited:
    region = str(typed.get("region", ""))
    if region not in [known.name for known in job.regions]:
        raise JobError(f"There is no region '{region}'.", "Choose one of the skin's regions.")
    new = GaugeSpec(region=region, tolerance=USUAL_TOLERANCE)
    words = f"gauges of the {region} asked for, true within {in_words(USUAL_TOLERANCE)}"
    return job.model_copy(update={"gauges": (*job.gauges, new)}), words


def _drop(job: Job, typed: Typed) -> Edited:
    place, spec = _spec(job, typed)
    kept = (*job.gauges[:place], *job.gauges[place + 1 :])
    return job.model_copy(update={"gauges": kept}), f"gauges of the {spec.region} left out"


def _tolerance(job: Job, typed: Typed) -> Edited:
    """Cards chosen so that between them the shape is as true as typed; none if nothing is."""
    if not str(typed.get("length", "")).strip():
        return _with(job, typed, "none chosen by a tolerance", tolerance=None)
    tolerance = typed_length(typed, "a tolerance of gauges", *TOLERANCE)
    words = f"as many cards as make it true within {in_words(tolerance)}"
    return _with(job, typed, words, tolerance=tolerance)


def _planes(job: Job, typed: Typed) -> Edited:
    at = tuple(sorted(set(typed_lengths(typed, "the place of a card", -FARTHEST, FARTHEST))))
    _, spec = _spec(job, typed)
    told = ", ".join(in_words(value) for value in at)
    words = f"cards at {AXIS_WORDS[spec.axis]} {told}" if at else "no cards at named places"
    return _with(job, typed, words, at=at)


def _axis(job: Job, typed: Typed) -> Edited:
    axis = chosen(typed, "axis", tuple(AXIS_WORDS))
    _, spec = _spec(job, typed)
    if spec.at and axis != spec.axis:
        raise JobError(
            f"The cards at named places are {AXIS_WORDS[spec.axis]}.",
            "Take the places out first: along another axis they mean other planes.",
        )
    return _with(job, typed, f"cards are {AXIS_WORDS[axis]}", axis=axis, direction=None)


def _face(job: Job, typed: Typed) -> Edited:
    face = chosen(typed, "face", tuple(FACE_WORDS))
    _, spec = _spec(job, typed)
    metal = spec.metal
    if face != "outside" and metal == 0.0 and job.sheet is not None:
        metal = job.sheet.thickness
    words = f"cards for {FACE_WORDS[face]}"
    words += f", metal {in_words(metal)} thick" if face != "outside" else ""
    return _with(job, typed, words, face=face, metal=metal)


def _thickness(job: Job, typed: Typed) -> Edited:
    thickness = typed_length(typed, "the thickness of a card", 0.3, 50.0)
    words = f"card is {in_words(thickness)} thick"
    return _with(job, typed, words, card_thickness=thickness)


def _clearance(job: Job, typed: Typed) -> Edited:
    clearance = typed_length(typed, "the clearance of a slot", 0.0, 5.0)
    words = f"slots {in_words(clearance)} wider than the card"
    return _with(job, typed, words, clearance=clearance)


def _stand(job: Job, typed: Typed) -> Edited:
    on = bool(typed.get("on"))
    return _with(job, typed, "with a stand" if on else "without a stand", stand=on)


def _labels(job: Job, typed: Typed) -> Edited:
    labels = chosen(typed, "labels", ("drawn", "cut"))
    words = "words cut into the cards" if labels == "cut" else "words drawn on the cards"
    return _with(job, typed, words, labels=labels)


def _sweeps(job: Job, typed: Typed) -> Edited:
    on = bool(typed.get("on"))
    words = "with sweeps" if on else "without sweeps"
    return _with(job, typed, words, sweeps=SweepSpec() if on else None)


def _asked_sweeps(job: Job, typed: Typed) -> SweepSpec:
    _, spec = _spec(job, typed)
    if spec.sweeps is None:
        raise JobError("No sweeps are asked for.", "Ask for sweeps first.")
    return spec.sweeps


def _sweep_chord(job: Job, typed: Typed) -> Edited:
    chord = typed_length(typed, "the chord of a sweep", 20.0, 1000.0)
    sweeps = _asked_sweeps(job, typed).model_copy(update={"chord": chord})
    return _with(job, typed, f"sweeps {in_words(chord)} long", sweeps=sweeps)


def _sweep_tolerance(job: Job, typed: Typed) -> Edited:
    light = typed_length(typed, "the light under a sweep", *TOLERANCE)
    sweeps = _asked_sweeps(job, typed).model_copy(update={"tolerance": light})
    return _with(job, typed, f"at most {in_words(light)} of light under a sweep", sweeps=sweeps)


def _add_at_line(job: Job, typed: Typed) -> Edited:
    _, spec = _spec(job, typed)
    line = str(typed.get("line", ""))
    if line not in [known.name for known in job.lines if known.use == "body"]:
        raise JobError(f"There is no line '{line}'.", "Choose one of the body's lines.")
    way = "along" if chosen(typed, "way", ("across", "along")) == "along" else "across"
    share = typed_figure(typed, "the place along a line", "%", 0.0, 100.0) / 100.0
    reach = None
    if str(typed.get("length", "")).strip():
        reach = typed_length(typed, "the reach of a card", 10.0, FARTHEST)
    card = CardAtLine.model_validate({"line": line, "share": share, "way": way, "reach": reach})
    if any((one.line, one.share, one.way) == (line, share, way) for one in spec.lines):
        raise JobError(f"There is such a card {way} {line} already.", "Choose another place.")
    words = f"a card {way} {line} at {100.0 * share:g} % of it"
    return _with(job, typed, words, lines=(*spec.lines, card))


def _drop_at_line(job: Job, typed: Typed) -> Edited:
    _, spec = _spec(job, typed)
    number = typed_count(typed, "number", "a card at a line", 0, max(len(spec.lines) - 1, 0))
    if number >= len(spec.lines):
        raise JobError("There is no card at a line.", "Reload the page.")
    gone = spec.lines[number]
    kept = (*spec.lines[:number], *spec.lines[number + 1 :])
    return _with(job, typed, f"no card {gone.way} {gone.line}", lines=kept)


GAUGE_EDITS: dict[str, Callable[[Job, Typed], Edited]] = {
    "add gauges": _add,
    "drop gauges": _drop,
    "gauge tolerance": _tolerance,
    "gauge planes": _planes,
    "gauge axis": _axis,
    "gauge face": _face,
    "gauge card": _thickness,
    "gauge clearance": _clearance,
    "gauge stand": _stand,
    "gauge labels": _labels,
    "gauge sweeps": _sweeps,
    "gauge sweep chord": _sweep_chord,
    "gauge sweep tolerance": _sweep_tolerance,
    "add card at line": _add_at_line,
    "drop card at line": _drop_at_line,
}
"""By the name that the page sends."""
