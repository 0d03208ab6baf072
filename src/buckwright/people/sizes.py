"""Body sizes: what was measured comes first, the rest from the survey."""

from dataclasses import dataclass

from buckwright.errors import JobError
from buckwright.model.package import UsedSize
from buckwright.model.people import Person
from buckwright.tables.body_sizes import SIZE_SOURCE, Who, size_names, size_percentile

__all__ = ["BODY_SIZES", "LARGE", "Body", "check_sizes", "choose_person", "size_up"]

LARGE = 95.0
"""Percentile taken for what was not measured on a measured person: rather too much room."""

BODY_SIZES: dict[str, tuple[str, float, float]] = {
    "shoulder_breadth": ("shoulder breadth", 250.0, 900.0),
    "elbow_breadth": ("breadth over the elbows", 250.0, 1100.0),
    "sitting_height": ("sitting height", 500.0, 1200.0),
    "shoulder_height": ("shoulder height above the seat", 300.0, 900.0),
    "elbow_height": ("elbow height above the seat", 80.0, 500.0),
    "eye_height": ("eye height above the seat", 400.0, 1100.0),
    "hip_breadth": ("hip breadth", 200.0, 900.0),
    "head_breadth": ("head breadth", 100.0, 250.0),
    "head_length": ("head length", 120.0, 300.0),
    "thigh_clearance": ("thickness of the thigh", 80.0, 350.0),
    "knee_height": ("knee height", 300.0, 800.0),
    "buttock_knee": ("length from buttock to knee", 350.0, 900.0),
    "buttock_popliteal": ("depth of the seat to the back of the knee", 280.0, 800.0),
    "popliteal_height": ("length of the lower leg", 250.0, 650.0),
    "abdomen_depth": ("depth of the belly", 120.0, 700.0),
    "chest_depth": ("depth of the chest", 120.0, 600.0),
    "foot_length": ("length of the foot", 150.0, 400.0),
    "foot_breadth": ("breadth of the foot", 60.0, 180.0),
    "forearm_length": ("length of forearm and hand", 250.0, 700.0),
    "eye_spacing": ("distance between the pupils", 40.0, 85.0),
}
"""Words for each size, and the mm that an adult or a child may have; beyond is a slip."""


@dataclass(frozen=True, slots=True)
class Body:
    """One person's sizes, mm, each by its field of `Person`; and where each came from."""

    person: Person
    sizes: dict[str, float]
    used: tuple[UsedSize, ...]

    def __getitem__(self, field: str) -> float:
        return self.sizes[field]


def choose_person(name: str, who: Who, percent: float) -> Person:
    """Somebody with every size at that percentile of the survey.

    Nobody real is so: whoever is broad need not be tall. Raises JobError outside 1 to 99.
    """
    if not 1.0 <= percent <= 99.0:
        raise JobError(
            "A percentile must lie between 1 and 99.",
            "Type 95 for someone larger than all but 5 in 100.",
        )
    sizes = {n.field: size_percentile(n.key, who, percent) for n in size_names()}
    return Person.model_validate({"name": name, "who": who, "chosen": percent, **sizes})


def check_sizes(person: Person) -> None:
    """Raises JobError for a size that no body has."""
    for field, (words, least, most) in BODY_SIZES.items():
        value = getattr(person, field)
        if value is not None and not least <= value <= most:
            raise JobError(
                f"The {words} of {person.name} cannot be {value:g} mm.",
                f"Measure again, in millimetres: between {least:.0f} and {most:.0f}.",
            )


def size_up(person: Person) -> Body:
    """All sizes of a person: measured, or chosen, or the survey's for what was left out.

    The eyes of someone measured lie as far below the crown as half the survey's people have them.
    """
    sizes: dict[str, float] = {}
    used = []
    for named in size_names():
        typed = getattr(person, named.field)
        if typed is not None:
            value, source = float(typed), _of_typed(person)
        elif named.field == "eye_height":
            fall = size_percentile("sittingheight", person.who, 50.0)
            fall -= size_percentile(named.key, person.who, 50.0)
            value, source = person.sitting_height - fall, "sitting height less the survey's median"
        else:
            percent = LARGE if person.chosen is None else person.chosen
            value = size_percentile(named.key, person.who, percent)
            source = f"{percent:g}th percentile, {_WHO[person.who]}, {SIZE_SOURCE}"
        sizes[named.field] = value
        used.append(
            UsedSize(
                person=person.name,
                field=named.field,
                name=named.iso or named.ansur,
                value=value,
                source=source,
            )
        )
    return Body(person, sizes, tuple(used))


_WHO = {"woman": "women", "man": "men", "either": "women and men half and half"}


def _of_typed(person: Person) -> str:
    if person.chosen is None:
        return "measured"
    return f"chosen: {person.chosen:g}th percentile, {_WHO[person.who]}"
