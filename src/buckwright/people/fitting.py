"""Will they fit? Needed and given width at shoulders and elbows."""

import numpy as np

from buckwright.errors import JobError
from buckwright.model.finding import Finding
from buckwright.model.people import FitAnswer, FitQuestion, HeightFit
from buckwright.model.skin import Skin
from buckwright.people.inner_width import InnerSection, cut_inner_section
from buckwright.people.sizes import check_sizes
from buckwright.tables.anthropometry import BREADTH_SOURCE, share_abreast

__all__ = ["fit_people"]

NARROWEST, WIDEST = 250.0, 4000.0
"""mm over people abreast, or over the metal beside them."""


def fit_people(question: FitQuestion, skin: Skin, *, width_sigma: float) -> FitAnswer:
    """Needed and given width at the heights of shoulders and elbows, and the verdict.

    The given width lies between the inner faces: the skin set in by sheet and door, along its
    normals, at the station of the seat. Each person's own height counts, and the narrowest
    decides. Parameters: `width_sigma`, mm, standard error of the width over both sides.
    Raises JobError where the sizes cannot be a body's, or the seat is not inside the skin.
    """
    _check(question)
    depth = question.sheet_thickness + question.door_thickness
    section = cut_inner_section(skin, station=question.seat_x, depth=depth)
    heights = (
        _fit_at("shoulders", "shoulder_height", "shoulder_breadth", question, section, width_sigma),
        _fit_at("elbows", "elbow_height", "elbow_breadth", question, section, width_sigma),
    )
    least = min(heights, key=lambda fit: fit.spare)
    room = heights[0].given - 2.0 * question.clothing - question.between
    share = share_abreast("bideltoid", room)
    return FitAnswer(
        fits=least.spare >= 0.0,
        heights=heights,
        random_pair=share,
        widen_by=max(0.0, -least.spare),
        findings=(*_verdict_doubts(least), *_standing_doubts(question, share)),
    )


def _fit_at(
    name: str,
    height: str,
    breadth: str,
    question: FitQuestion,
    section: InnerSection,
    sigma: float,
) -> HeightFit:
    people = question.people
    levels = sorted({question.seat_z + float(getattr(person, height)) for person in people})
    widths = [(_width(section, name, level, question.seat_x), level) for level in levels]
    given, level = min(widths)
    needed = sum(float(getattr(person, breadth)) + question.clothing for person in people)
    needed += question.between * (len(people) - 1)
    if name == "shoulders" and question.abreast is not None:
        needed = question.abreast
    return HeightFit(
        name=name, z=level, needed=needed, given=given, sigma=sigma, spare=given - needed
    )


def _width(section: InnerSection, name: str, z: float, station: float) -> float:
    left, right = section.half_breadths(z)
    if left is not None and right is not None:
        return left + right
    span = section.heights()
    if span is None:
        raise JobError(
            f"There is no body at station {station:.0f}, where the seat is.",
            "Move the seat to a station that the skin covers.",
        )
    raise JobError(
        f"The {name} at station {station:.0f} and height {z:.0f} mm are not between two sides of "
        f"the body, which there runs from {span[0]:.0f} to {span[1]:.0f} mm.",
        "Move the seat, or span the skin on both sides at that height.",
    )


def _check(question: FitQuestion) -> None:
    if not question.people:
        raise JobError("Nobody is named to sit in it.", "Measure the people and enter their sizes.")
    for person in question.people:
        check_sizes(person)
    together = [v for v in (question.abreast, question.finished) if v is not None]
    if any(not NARROWEST <= value <= WIDEST for value in together):
        raise JobError(
            "A width over people sitting side by side cannot be that.",
            f"Measure again, in millimetres: between {NARROWEST:.0f} and {WIDEST:.0f}.",
        )
    lengths = (question.seat_x, question.seat_z)
    allowances = (
        question.clothing,
        question.between,
        question.door_thickness,
        question.sheet_thickness,
    )
    if not np.all(np.isfinite([*lengths, *allowances])) or min(allowances) < 0.0:
        raise JobError(
            "Seat position and allowances must be numbers, the allowances not negative.",
            "Enter them again, in millimetres.",
        )


def _verdict_doubts(least: HeightFit) -> tuple[Finding, ...]:
    """They do not fit, or too little is spare (or lacking) to be sure."""
    found = []
    if least.spare < 0.0:
        found.append(
            Finding(
                code="do-not-fit",
                where=least.name,
                message=f"At the {least.name} {least.needed:.0f} mm are needed and "
                f"{least.given:.0f} mm are there: {-least.spare:.0f} mm are lacking.",
                remedy=f"Widen the body by {-least.spare:.0f} mm, or make doors or seats thinner.",
            )
        )
    if abs(least.spare) < 2.0 * least.sigma:
        found.append(
            Finding(
                code="close-fit",
                where=least.name,
                message=f"The verdict hangs on {abs(least.spare):.1f} mm at the {least.name}, and "
                f"the width is known to {least.sigma:.1f} mm only.",
                remedy="Measure the model's width there with a caliper before relying on it.",
            )
        )
    return tuple(found)


def _standing_doubts(question: FitQuestion, share: float) -> tuple[Finding, ...]:
    """What no answer of this kind can do without."""
    return (
        Finding(
            code="allowances-unsourced",
            kind="note",
            where="people",
            message=f"{question.clothing:.0f} mm for clothing, {question.between:.0f} mm between "
            f"neighbours and {question.door_thickness:.0f} mm for each door are common practice "
            "without a published source.",
            remedy="Seat the real people in their coats between two boards and measure.",
        ),
        Finding(
            code="survey-people",
            kind="note",
            where="people",
            message=f"{100.0 * share:.1f} % of random pairs fit at the shoulders, reckoned from "
            f"soldiers ({BREADTH_SOURCE}), women and men each as their own distribution, half and "
            "half: two men need about 60 mm more than a mixed pair, and civilians may be broader.",
            remedy="Trust the measured people first.",
        ),
    )
