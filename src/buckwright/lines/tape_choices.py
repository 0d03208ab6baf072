"""What people say of a tape, read into facts: the same words on the page and the command line."""

from collections.abc import Sequence

from buckwright.errors import JobError
from buckwright.model.tapes import Tape, TapePlace, TapeScale, TapeSort, Where

__all__ = ["SORTS", "told_place", "told_tape", "with_tape", "without_tape"]

SORTS: tuple[TapeSort, ...] = ("between", "along", "wheelbase", "length", "width", "height")
WHERES: tuple[Where, ...] = (
    "start",
    "end",
    "front",
    "rear",
    "left",
    "right",
    "top",
    "bottom",
    "centre",
)
LONGEST_NAME = 60
SIZES = (1.0, 30_000.0)
MOST_TAPES = 200


def told_place(text: str) -> TapePlace:
    """A place as written: 'belt left: front', 'belt left + scuttle front', 'front rim: centre'.

    A bare name is a marked point. Raises JobError for what says no place.
    """
    head, _, tail = text.partition(":")
    name, _, other = head.partition(" + ")
    where = next((one for one in WHERES if one == tail.strip().lower()), "")
    if not name.strip() or (tail.strip() and not where) or len(text) > 3 * LONGEST_NAME:
        raise JobError(
            f"'{text[:80]}' says no place.",
            "Write it like 'belt left: front', 'belt left + scuttle front' or 'front rim: centre'.",
        )
    return TapePlace(name=name.strip(), other=other.strip(), where=where)


def told_tape(
    of: str,
    *,
    size: float,
    sigma: float,
    name: str = "",
    line: str = "",
    places: Sequence[str] = (),
    on_model: bool = False,
) -> Tape:
    """The tape that was said; its name is made from its places where none was given.

    `size` and `sigma` mm. Raises JobError for what is no tape.
    """
    sort = next((one for one in SORTS if one == of), None)
    if sort is None:
        raise JobError(f"'{of}' is no way to lay a tape.", f"Say one of {', '.join(SORTS)}.")
    if not SIZES[0] <= size <= SIZES[1]:
        raise JobError(f"A tape of {size:g} mm cannot be.", "Type 1 mm to 30 m, with its unit.")
    if not 0.0 < sigma <= 0.2 * size:
        raise JobError(
            f"A reading of {size:g} mm cannot be sure to {sigma:g} mm.",
            "Type how far off it may be, like 1 mm.",
        )
    wanted = {"between": (2,), "along": (0, 2)}.get(sort, (0,))
    if len(places) not in wanted:
        raise JobError(
            "A tape between places has two of them."
            if wanted[-1] == 2
            else f"A tape over the {sort} has no places.",
            "Say both places, or none.",
        )
    if (sort == "along") != bool(line):
        raise JobError("A tape along a line names that line.", "Say which line it runs along.")
    read = tuple(told_place(place) for place in places)
    told = f"along {line}" if line else sort
    made = (
        ", ".join(places)
        if sort == "between"
        else " ".join([told, *([", ".join(places)] if places else [])])
    )
    label = name.strip() or made
    if len(label) > 3 * LONGEST_NAME:
        raise JobError("That name is too long for a tape.", "Give it a name of few words.")
    return Tape(
        name=label,
        of=sort,
        size=size,
        sigma=sigma,
        line=line,
        places=read,
        on="model" if on_model else "full size",
    )


def with_tape(tapes: Sequence[Tape], tape: Tape) -> tuple[Tape, ...]:
    """The tapes with this one, in the place of an older one of its name."""
    if len(tapes) >= MOST_TAPES:
        raise JobError("There are too many tapes.", "Drop some first.")
    if any(one.name == tape.name for one in tapes):
        return tuple(tape if one.name == tape.name else one for one in tapes)
    return (*tapes, tape)


def without_tape(tapes: Sequence[Tape], name: str, scale: TapeScale | None) -> tuple[Tape, ...]:
    """The tapes without that one. Raises JobError where there is none, or the scale rests on it."""
    if all(one.name != name for one in tapes):
        known = ", ".join(f"'{one.name}'" for one in tapes) or "none"
        raise JobError(f"There is no tape '{name}'.", f"The job has: {known}.")
    if scale is not None and name in scale.tapes:
        raise JobError(
            f"The scale rests on the tape '{name}'.", "Give up the scale from tapes first."
        )
    return tuple(one for one in tapes if one.name != name)
