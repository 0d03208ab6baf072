"""Pins as the lines feel them: on which laid line, at which place, or at which crossing.

A pin on the right line of a pair pulls the left one at its mirror image. A pin at a crossing moves
the crossing. What cannot be is refused here.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.lines.laying import Laid, LaidLine
from buckwright.lines.sides import MIRROR
from buckwright.model.lines import Pin

__all__ = ["NEAR", "Grip", "find_grips", "laid_place"]

Array = NDArray[np.float64]

NEAR = 8.0
"""mm along a line within which two places are one."""


@dataclass(frozen=True, eq=False, slots=True)
class Grip:
    """One pin on one laid line."""

    pin: Pin
    line: int
    at: float
    """mm along the batten."""
    point: Array
    """(3,) where the laid line must pass, nan where it is free."""
    node: int | None
    """The crossing that it moves, if it sits on one."""
    on_plane: bool
    """Whether it cannot leave the centre plane."""


def laid_place(laid: Laid, name: str) -> tuple[int, bool]:
    """Which laid line a name belongs to, and whether as its mirror image; KeyError if none."""
    for k, line in enumerate(laid.lines):
        if line.sided.placed.name == name:
            return k, False
        if line.sided.partner == name:
            return k, True
    raise KeyError(name)


def find_grips(laid: Laid, pins: tuple[Pin, ...]) -> tuple[Grip, ...]:
    """The grips of all pins, in order; JobError for a pin that cannot be."""
    grips: list[Grip] = []
    for pin in pins:
        grip = _grip(laid, pin)
        for other in grips:
            _refuse_doubles(laid, grip, other)
        grips.append(grip)
    return tuple(grips)


def _grip(laid: Laid, pin: Pin) -> Grip:
    try:
        number, mirrored = laid_place(laid, pin.line)
    except KeyError:
        raise JobError(
            f"There is no line '{pin.line}' to pin.", "Take the pin away, or trace that line."
        ) from None
    line = laid.lines[number]
    _refuse_nonsense(pin, line)
    point = np.array([np.nan if value is None else value for value in pin.point])
    at, on_plane = _place(line, pin.share)
    node = None
    for place, which, side in zip(line.held.at, line.held.node, line.held.side, strict=True):
        if _apart(line, at, float(place)) < NEAR:
            node, at = int(which), float(place)
            mirrored ^= side < 0.0
            on_plane |= laid.nodes[node].on_plane
    if mirrored:
        point = point * MIRROR
    if on_plane and np.isfinite(point[1]) and abs(point[1]) > 1e-6:
        raise JobError(
            f"'{pin.line}' lies in the centre plane there and cannot leave it.",
            "Move it fore and aft or up and down only.",
        )
    return Grip(pin, number, at, point, node, on_plane)


def _place(line: LaidLine, share: float) -> tuple[float, bool]:
    """How far along the batten in mm, and whether that place cannot leave the centre plane."""
    draft = line.draft
    at = draft.start + share * (draft.end - draft.start)
    if line.sided.kind == "centre":
        return at, True
    if line.sided.kind == "self":
        seam = [draft.start] if draft.closed else []
        for plane in (0.5 * (draft.start + draft.end), *seam):
            if _apart(line, at, plane) < NEAR:
                return plane, True
    return at, False


def _apart(line: LaidLine, at: float, other: float) -> float:
    apart = abs(at - other)
    whole = line.draft.end - line.draft.start
    return min(apart, whole - apart) if line.draft.closed else apart


def _refuse_nonsense(pin: Pin, line: LaidLine) -> None:
    if not 0.0 <= pin.share <= 1.0:
        raise JobError(
            f"A pin of '{pin.line}' would sit at {pin.share:g} of its length, beyond its ends.",
            "Give a place between 0 and 1.",
        )
    given = [value for value in pin.point if value is not None]
    if not given or not np.all(np.isfinite(given)):
        raise JobError(
            f"A pin of '{pin.line}' does not say where the line must pass.",
            "Give it a station, a half-breadth or a height.",
        )
    if line.sided.kind == "datum":
        raise JobError(
            f"'{pin.line}' fixes the axes and is not moved by hand.",
            "Trace it again where it is wrong.",
        )


def _refuse_doubles(laid: Laid, grip: Grip, other: Grip) -> None:
    if grip.node is not None and grip.node == other.node:
        raise JobError(
            f"The crossing of '{grip.pin.line}' there is held by a pin of '{other.pin.line}' "
            "already.",
            "Move that pin instead.",
        )
    if grip.line != other.line:
        return
    line = laid.lines[grip.line]
    places = [other.at]
    if line.sided.kind == "self":
        places.append(line.draft.start + line.draft.end - other.at)
    if min(_apart(line, grip.at, place) for place in places) < NEAR:
        raise JobError(
            f"Two pins would hold '{grip.pin.line}' at one place.",
            f"Move the one that is there, or keep them more than {NEAR:.0f} mm apart.",
        )
