"""What may be changed on the sheet of openings: what opens, about which points, and its glass."""

from collections.abc import Callable
from math import isfinite, radians
from typing import Any

from buckwright.errors import JobError
from buckwright.model.job import Job
from buckwright.model.openings import GlassSpec, Hinge, HingePin, OpeningSpec
from buckwright.openings import LIMITS
from buckwright.openings.checks import GLASS_LIMITS
from buckwright.openings.hinges import hinge_axis
from buckwright.units import parse_length
from buckwright.web.typed import (
    Edited,
    Typed,
    chosen,
    in_words,
    names_typed,
    typed_count,
    typed_figure,
    typed_length,
)

__all__ = ["OPENING_EDITS"]

KINDS = ("door", "window", "screen", "lid")
LONGEST_NAME = 40
FARTHEST = 20000.0
MOST_PINS = 8
USUAL_SWING = 65.0
"""Degrees."""


def _spec(job: Job, typed: Typed) -> OpeningSpec:
    for spec in job.openings:
        if spec.name == typed.get("name"):
            return spec
    raise JobError(f"There is no opening '{typed.get('name')}'.", "Reload the page and try again.")


def _with(job: Job, typed: Typed, words: str, **changes: Any) -> Edited:
    old = _spec(job, typed)
    new = old.model_copy(update=changes)
    specs = tuple(new if spec is old else spec for spec in job.openings)
    return job.model_copy(update={"openings": specs}), f"{old.name}: {words}"


def _add(job: Job, typed: Typed) -> Edited:
    name = str(typed.get("name", "")).strip()
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise JobError(
            f"'{name[:LONGEST_NAME]}' cannot name an opening.",
            f"Type a name of {LONGEST_NAME} letters at most.",
        )
    if any(spec.name == name for spec in job.openings):
        raise JobError(f"There is an opening '{name}' already.", "Give it another name.")
    spec = OpeningSpec.model_validate(
        {"name": name, "kind": chosen(typed, "kind", KINDS), "outline": _lines(job, typed)}
    )
    return job.model_copy(update={"openings": (*job.openings, spec)}), f"{spec.kind} '{name}' added"


def _lines(job: Job, typed: Typed) -> tuple[str, ...]:
    names = names_typed(typed)
    known = {line.name for line in job.lines if line.use == "body"}
    unknown = [name for name in names if name not in known]
    if not names or unknown:
        raise JobError(
            f"There is no line '{unknown[0]}'." if unknown else "No line bounds it.",
            "Choose one closed line, or lines in order round the opening.",
        )
    return names


def _drop(job: Job, typed: Typed) -> Edited:
    gone = _spec(job, typed)
    kept = tuple(spec for spec in job.openings if spec is not gone)
    return job.model_copy(update={"openings": kept}), f"'{gone.name}' is no opening any more"


def _mirror(job: Job, typed: Typed) -> Edited:
    """The other side's opening: its lines are the mirror images, its hinge points mirrored."""
    spec = _spec(job, typed)
    paired = {line.name: line.mirror for line in job.lines}
    glass = spec.glass
    outline = tuple(paired.get(name) or "" for name in spec.outline)
    window = () if glass is None else tuple(paired.get(name) or "" for name in glass.outline)
    if not all((*outline, *window)):
        raise JobError(
            f"The lines of '{spec.name}' have no mirror images.", "Add the other side by its lines."
        )
    name = _other_side(spec.name)
    hinge = spec.hinge
    if hinge is not None:
        hinge = hinge.model_copy(update={"pins": tuple(_mirrored(pin) for pin in hinge.pins)})
    if glass is not None:
        glass = glass.model_copy(update={"outline": window})
    changes = {"name": name, "outline": outline, "hinge": hinge, "glass": glass}
    kept = tuple(other for other in job.openings if other.name != name)
    made = spec.model_copy(update=changes)
    return (
        job.model_copy(update={"openings": (*kept, made)}),
        f"'{name}' made the mirror image of '{spec.name}'",
    )


def _other_side(name: str) -> str:
    for one, other in (("left", "right"), ("right", "left")):
        if one in name:
            return name.replace(one, other)
    return f"{name} mirrored"


def _mirrored(pin: HingePin) -> HingePin:
    x, y, z = pin.point
    way = pin.direction
    return HingePin(
        point=(x, -y + 0.0, z), direction=None if way is None else (way[0], -way[1] + 0.0, way[2])
    )


def _size(job: Job, typed: Typed) -> Edited:
    field = chosen(typed, "field", tuple(LIMITS))
    what, low, high = LIMITS[field]
    value = typed_length(typed, f"the {what}", low, high)
    return _with(job, typed, f"{what} is now {in_words(value)}", **{field: value})


def _region(job: Job, typed: Typed) -> Edited:
    region = chosen(typed, "region", tuple(known.name for known in job.regions))
    return _with(job, typed, f"is cut from the {region}", region=region)


def _outline(job: Job, typed: Typed) -> Edited:
    names = _lines(job, typed)
    return _with(job, typed, f"outline is {' and '.join(names)}", outline=names)


def _swing(job: Job, typed: Typed) -> Edited:
    hinge = _spec(job, typed).hinge
    if hinge is None:
        raise JobError("It has no hinges yet.", "Type two hinge points first.")
    degrees = typed_figure(typed, "a swing", "°", 1.0, 180.0)
    new = hinge.model_copy(update={"swing": radians(degrees)})
    return _with(job, typed, f"should swing {degrees:g}°", hinge=new)


def _three(typed: Typed, what: str, read: Callable[[str], float]) -> tuple[float, float, float]:
    """Three things with semicolons, or commas and spaces, between."""
    text = str(typed.get("text", "")).replace(";", ", ")
    parts = [part.strip() for part in text.split(", ") if part.strip()]
    if len(parts) != 3:
        raise JobError(f"'{text}' is not {what}.", "Type three figures: 800; -600; 540.")
    x, y, z = (read(part) for part in parts)
    if not all(isfinite(value) and abs(value) <= FARTHEST for value in (x, y, z)):
        raise JobError(f"'{text}' is not {what}.", "Type a place on the vehicle.")
    return x, y, z


def _figure(text: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise JobError(f"'{text}' is no figure.", "Type it like 0.05.") from None


def _hinges(job: Job, typed: Typed) -> Edited:
    """Two hinge points at once: an opening that had none begins to swing."""
    spec = _spec(job, typed)
    if spec.kind not in ("door", "lid"):
        raise JobError(f"A {spec.kind} does not swing here.", "Add it as a door or a lid.")
    points = [_three({"text": typed.get(key)}, "a place", parse_length) for key in ("low", "high")]
    swing = spec.hinge.swing if spec.hinge is not None else radians(USUAL_SWING)
    hinge = Hinge(pins=tuple(HingePin(point=point) for point in points), swing=swing)
    hinge_axis(hinge, of=spec.name)
    return _with(job, typed, "hinges about two points", hinge=hinge)


def _pins(job: Job, typed: Typed) -> tuple[Hinge, int]:
    hinge = _spec(job, typed).hinge
    if hinge is None:
        raise JobError("It has no hinges yet.", "Type two hinge points first.")
    return hinge, typed_count(typed, "place", "a hinge point", 0, len(hinge.pins))


def _pin(job: Job, typed: Typed) -> Edited:
    """A hinge point moved, or one more; refused where no axis goes through them."""
    hinge, place = _pins(job, typed)
    if place >= MOST_PINS:
        raise JobError(f"{MOST_PINS} hinge points are enough.", "Leave one out first.")
    point = _three(typed, "a place", parse_length)
    old = hinge.pins[place].direction if place < len(hinge.pins) else None
    pins = (*hinge.pins[:place], HingePin(point=point, direction=old), *hinge.pins[place + 1 :])
    new = hinge.model_copy(update={"pins": pins})
    hinge_axis(new, of=_spec(job, typed).name)
    told = ", ".join(in_words(value) for value in point)
    return _with(job, typed, f"hinge point {place + 1} at {told}", hinge=new)


def _drop_pin(job: Job, typed: Typed) -> Edited:
    hinge, place = _pins(job, typed)
    if place >= len(hinge.pins):
        raise JobError("There is no such hinge point.", "Reload the page.")
    if len(hinge.pins) <= 2:
        return _with(job, typed, "has no hinges any more", hinge=None)
    pins = (*hinge.pins[:place], *hinge.pins[place + 1 :])
    new = hinge.model_copy(update={"pins": pins})
    hinge_axis(new, of=_spec(job, typed).name)
    return _with(job, typed, f"hinge point {place + 1} left out", hinge=new)


def _pin_way(job: Job, typed: Typed) -> Edited:
    """Which way a pin points, measured; nothing typed forgets it."""
    hinge, place = _pins(job, typed)
    if place >= len(hinge.pins):
        raise JobError("There is no such hinge point.", "Reload the page.")
    empty = not str(typed.get("text", "")).strip()
    way = None if empty else _three(typed, "a direction", _figure)
    pin = hinge.pins[place].model_copy(update={"direction": way})
    new = hinge.model_copy(update={"pins": (*hinge.pins[:place], pin, *hinge.pins[place + 1 :])})
    hinge_axis(new, of=_spec(job, typed).name)
    words = f"way of hinge pin {place + 1} {'not measured' if empty else 'measured'}"
    return _with(job, typed, words, hinge=new)


def _asked_glass(job: Job, typed: Typed) -> GlassSpec:
    glass = _spec(job, typed).glass
    if glass is None:
        raise JobError("It has no glass.", "Put glass into it first.")
    return glass


def _glass(job: Job, typed: Typed) -> Edited:
    on = bool(typed.get("on"))
    return _with(job, typed, "with glass" if on else "no glass", glass=GlassSpec() if on else None)


def _glass_with(job: Job, typed: Typed, words: str, **changes: Any) -> Edited:
    glass = _asked_glass(job, typed).model_copy(update=changes)
    return _with(job, typed, words, glass=glass)


def _glass_size(job: Job, typed: Typed) -> Edited:
    field = chosen(typed, "field", (*GLASS_LIMITS, "radius", "drop"))
    optional = {"radius": ("radius of the glass", 200.0, 1e5), "drop": ("drop", 1.0, 2000.0)}
    what, low, high = optional.get(field) or GLASS_LIMITS[field]
    if field in optional and not str(typed.get("length", "")).strip():
        return _glass_with(job, typed, f"{what} left to the outline", **{field: None})
    value = typed_length(typed, f"the {what}", low, high)
    return _glass_with(job, typed, f"{what} is now {in_words(value)}", **{field: value})


def _glass_shape(job: Job, typed: Typed) -> Edited:
    shape = chosen(typed, "shape", ("flat", "cylinder"))
    words = "flat glass" if shape == "flat" else "glass bent in one direction"
    return _glass_with(job, typed, words, shape=shape)


def _glass_drops(job: Job, typed: Typed) -> Edited:
    on = bool(typed.get("on"))
    if on and _spec(job, typed).kind != "door":
        raise JobError("Only glass in a door drops here.", "Let it stay.")
    return _glass_with(job, typed, "glass drops" if on else "glass stays", drops=on)


def _glass_outline(job: Job, typed: Typed) -> Edited:
    names = _lines(job, typed)
    return _glass_with(job, typed, f"glass in {' and '.join(names)}", outline=names)


OPENING_EDITS: dict[str, Callable[[Job, Typed], Edited]] = {
    "add opening": _add,
    "drop opening": _drop,
    "mirror opening": _mirror,
    "opening size": _size,
    "opening region": _region,
    "opening outline": _outline,
    "opening swing": _swing,
    "hinge points": _hinges,
    "hinge point": _pin,
    "drop hinge point": _drop_pin,
    "hinge direction": _pin_way,
    "glass": _glass,
    "glass size": _glass_size,
    "glass shape": _glass_shape,
    "glass drops": _glass_drops,
    "glass outline": _glass_outline,
}
"""By the name that the page sends."""
