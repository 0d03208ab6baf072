"""Where the body is too small: stretch zones that would make it large enough."""

from collections.abc import Callable
from typing import Literal

from buckwright.model.package import Clearance, Stretch
from buckwright.model.people import FitQuestion, HeightFit
from buckwright.people.seating import Seated

__all__ = ["ToReference", "propose_stretches"]

Axis = Literal["x", "y", "z"]
ToReference = Callable[[Axis, float], float]
"""Where a place of the departed body lies on the reference."""

GENTLE = 3.0
"""A zone's length over what it adds: shorter ones bend lines visibly."""
ROUND = 1.0
SPARE = 1.0
"""mm proposed beyond what is lacking."""


def propose_stretches(
    question: FitQuestion,
    heights: tuple[HeightFit, ...],
    clearances: tuple[Clearance, ...],
    people: tuple[Seated, ...],
    to_reference: ToReference,
) -> tuple[Stretch, ...]:
    """One zone for each axis on which something is lacking: widen, raise, lengthen.

    A zone on y reaches from the middle nearly to the sides, so that each side moves by half; on
    z it lies between shoulders and crown; on x between feet and seat, and the seat goes along.
    Nothing is proposed on an axis whose zone would have to bend lines sharply: a longer zone
    than there is room for. Numbers are whole millimetres.
    """
    return tuple(
        stretch
        for stretch in (
            _wider(heights, to_reference),
            _higher(question, clearances, people, to_reference),
            _longer(clearances, people, to_reference),
        )
        if stretch is not None
    )


def _wider(heights: tuple[HeightFit, ...], to_reference: ToReference) -> Stretch | None:
    least = min(heights, key=lambda fit: fit.spare)
    if least.spare >= 0.0:
        return None
    narrow = min(fit.given for fit in heights)
    by = _up(-least.spare + SPARE)
    end = float(int(0.5 * narrow * 0.95))
    reference = float(int(to_reference("y", end)))
    if reference <= 0.0 or 2.0 * reference < GENTLE * by:
        return None
    return Stretch(
        name="wider for the people",
        reason=f"{-least.spare:.0f} mm are lacking at the {least.name}",
        axis="y",
        start=-reference,
        end=reference,
        by=by,
    )


def _higher(
    question: FitQuestion,
    clearances: tuple[Clearance, ...],
    people: tuple[Seated, ...],
    to_reference: ToReference,
) -> Stretch | None:
    heads = [c for c in clearances if c.name.endswith("'s head")]
    lacking = max((c.wanted - c.value for c in heads), default=0.0)
    if lacking <= 0.0:
        return None
    by = _up(lacking + SPARE)
    end = min(one.crown for one in people) - 40.0
    start = min(question.seat_z + 0.5 * one.body["shoulder_height"] for one in people)
    start = max(start, end - max(GENTLE * by, 250.0))
    if end - start < GENTLE * by:
        return None
    worst = max(heads, key=lambda c: c.wanted - c.value)
    return Stretch(
        name="higher for the heads",
        reason=f"{lacking:.0f} mm are lacking over {worst.name}",
        axis="z",
        start=float(round(to_reference("z", start))),
        end=float(round(to_reference("z", end))),
        by=by,
    )


def _longer(
    clearances: tuple[Clearance, ...], people: tuple[Seated, ...], to_reference: ToReference
) -> Stretch | None:
    legs = [c for c in clearances if c.name.endswith(("'s feet", "'s knees"))]
    lacking = max((c.wanted - c.value for c in legs), default=0.0)
    if lacking <= 0.0:
        return None
    by = _up(lacking + SPARE)
    end = min(one.shoulder[0] for one in people) - 1.0
    start = max(min(one.toe for one in people), end - max(GENTLE * by, 500.0))
    if end - start < GENTLE * by:
        return None
    worst = max(legs, key=lambda c: c.wanted - c.value)
    return Stretch(
        name="longer for the legs",
        reason=f"{lacking:.0f} mm are lacking before {worst.name}",
        axis="x",
        start=float(round(to_reference("x", start))),
        end=float(round(to_reference("x", end))),
        by=by,
        seat_by=by,
    )


def _up(value: float) -> float:
    return float(int(value / ROUND + 0.999999) * ROUND)
