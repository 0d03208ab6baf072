"""What was typed or chosen on the page, read or refused with one sentence and a remedy."""

from collections.abc import Mapping, Sequence
from math import isfinite
from typing import Any

from buckwright.errors import JobError
from buckwright.model.job import Job
from buckwright.units import format_length, parse_length

__all__ = [
    "Edited",
    "Typed",
    "chosen",
    "in_words",
    "names_typed",
    "typed_count",
    "typed_figure",
    "typed_length",
    "typed_lengths",
]

Typed = Mapping[str, Any]
Edited = tuple[Job, str]
"""The new job, and a line for the history."""

MOST_LENGTHS = 40


def in_words(mm: float) -> str:
    """A length as the history tells it."""
    return format_length(mm, system="mm")


def typed_length(typed: Typed, what: str, low: float, high: float) -> float:
    """The length under 'length', mm; JobError unless it lies between `low` and `high`."""
    return _within(parse_length(str(typed.get("length", ""))), what, low, high, in_words)


def typed_lengths(typed: Typed, what: str, low: float, high: float) -> tuple[float, ...]:
    """Lengths under 'text' with semicolons, spaces round 'and', or a comma and a space between."""
    text = str(typed.get("text", "")).replace(";", ", ").replace(" and ", ", ")
    parts = [part.strip() for part in text.split(", ") if part.strip()]
    if len(parts) > MOST_LENGTHS:
        raise JobError(f"{len(parts)} are too many for {what}.", f"Give {MOST_LENGTHS} at most.")
    return tuple(_within(parse_length(part), what, low, high, in_words) for part in parts)


def typed_figure(typed: Typed, what: str, unit: str, low: float, high: float) -> float:
    """The number under 'text', with a decimal point or comma, its unit left out or written."""
    text = str(typed.get("text", "")).strip().removesuffix(unit).strip()
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        raise JobError(f"'{text}' is no number for {what}.", f"Type it in {unit}.") from None
    return _within(value, what, low, high, lambda number: f"{number:g} {unit}")


def typed_count(typed: Typed, key: str, what: str, low: int, high: int) -> int:
    """A whole number; JobError unless it lies between `low` and `high`."""
    text = str(typed.get(key, "")).strip()
    if not (text.isascii() and text.isdigit() and low <= int(text) <= high):
        raise JobError(f"'{text}' cannot be {what}.", f"Type a whole number from {low} to {high}.")
    return int(text)


def chosen(typed: Typed, key: str, options: Sequence[str]) -> str:
    """One of the options; ValueError for another, which no page offers."""
    value = typed.get(key)
    if value not in options:
        message = f"there is no such choice of {key}"
        raise ValueError(message)
    return str(value)


def names_typed(typed: Typed) -> tuple[str, ...]:
    """The names under 'names'; ValueError if it is no list of text."""
    names = typed.get("names")
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        message = "names must be a list of text"
        raise ValueError(message)
    return tuple(names)


def _within(value: float, what: str, low: float, high: float, write: Any) -> float:
    if not (isfinite(value) and low <= value <= high):
        raise JobError(
            f"{write(value)} cannot be {what}.",
            f"Type something from {write(low)} to {write(high)}.",
        )
    return value
