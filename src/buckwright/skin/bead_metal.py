"""Whether the sheet takes a bead: what it stretches across, and what another section would ask."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import expm1, log1p, sqrt
from typing import Literal

from scipy.optimize import brentq

from buckwright.errors import JobError
from buckwright.geometry.bead_profile import bead_profile
from buckwright.model.panels import SheetStock
from buckwright.model.treatments import BeadSpec
from buckwright.tables.alloys import Alloy, alloys, find_alloy
from buckwright.tables.bending import least_bend_radius, outer_strain
from buckwright.tables.forming import forming_limit

__all__ = ["BeadVerdict", "bead_verdict"]

Step = Literal["takes it", "with care", "will tear"]

EASY = 0.5
"""Share of the least elongation that the metal takes without care, as for panels."""
NARROWEST = 1e-3


@dataclass(frozen=True, slots=True)
class BeadVerdict:
    """What a bead asks of a sheet; strains as fractions.

    Attributes: step; stretch, girth over width less 1, spread evenly; thinning, what the sheet
    loses of its thickness by that; peak, of the outer fibre at the tightest radius, where bending
    comes on top of the stretch; asked, the even stretch as the effective elongation of metal that
    cannot draw in along the bead (plane strain: 2 / sqrt 3 of the true strain); least, the
    table's; limit, the forming limit of steel without strain along the bead, 0 for other metals;
    radius, inside, mm, at the tightest place, and least_radius, the table's for a bend of this
    sheet, 0 where it has none; words; source.
    """

    step: Step
    stretch: float
    thinning: float
    peak: float
    asked: float
    least: float
    limit: float
    radius: float
    least_radius: float
    words: str
    source: str


def bead_verdict(spec: BeadSpec, sheet: SheetStock) -> BeadVerdict:
    """Whether the sheet takes the bead if it stretches over the width of the bead alone.

    It tears where the even stretch is beyond the least elongation or the forming limit, or the
    radius is tighter than the sheet bends. It wants care beyond half of that, and where the outer
    fibre at the radius goes beyond the least elongation (common practice, no source). Metal that
    draws in from beside makes it easier. Raises JobError for an alloy or thickness that the tables
    do not have, and a radius tighter than the sheet; ValueError as `bead_profile`.
    """
    alloy = find_alloy(sheet.alloy)
    row = None if alloy is None else alloy.elongation(sheet.thickness)
    if alloy is None or row is None:
        known = ", ".join(a.name for a in alloys())
        raise JobError(
            f"The tables have no {sheet.alloy} of {sheet.thickness:g} mm.", f"They have {known}."
        )
    inside = spec.radius - sheet.thickness
    if inside <= 0.0:
        raise JobError(
            f"Bead '{spec.name}' has a radius of {spec.radius:g} mm outside, in sheet of "
            f"{sheet.thickness:g} mm: nothing is left of it inside.",
            f"Make it {2.0 * sheet.thickness:g} mm at least.",
        )
    stretch = _stretch(spec)
    peak = (1.0 + stretch) * (1.0 + outer_strain(inside, sheet.thickness)) - 1.0
    bend = least_bend_radius(alloy.name, sheet.thickness)
    found = BeadVerdict(
        step="takes it",
        stretch=stretch,
        thinning=1.0 - 1.0 / (1.0 + stretch),
        peak=peak,
        asked=_effective(stretch),
        least=row.least,
        limit=_steel_limit(alloy, sheet.thickness),
        radius=inside,
        least_radius=bend.radius if bend else 0.0,
        words="",
        source=row.source,
    )
    judged = replace(found, step=_step(found))
    return replace(judged, words=_words(spec, sheet, judged))


def _stretch(spec: BeadSpec) -> float:
    return bead_profile(spec.width, spec.depth, spec.radius, spec.flat).girth / spec.width - 1.0


def _effective(stretch: float) -> float:
    return expm1(2.0 / sqrt(3.0) * log1p(stretch))


def _steel_limit(alloy: Alloy, thickness: float) -> float:
    if not alloy.is_steel or alloy.hardening is None:
        return 0.0
    return forming_limit(thickness, alloy.hardening)


def _too_tight(verdict: BeadVerdict) -> bool:
    return verdict.radius < verdict.least_radius - 1e-9


def _step(verdict: BeadVerdict) -> Step:
    beyond = verdict.limit and verdict.stretch > verdict.limit
    if verdict.asked > verdict.least or beyond or _too_tight(verdict):
        return "will tear"
    careful = _effective(verdict.peak) > verdict.least or verdict.asked > EASY * verdict.least
    return "with care" if careful else "takes it"


def _words(spec: BeadSpec, sheet: SheetStock, verdict: BeadVerdict) -> str:
    asked, least = 100.0 * verdict.asked, 100.0 * verdict.least
    how = {"takes it": "takes it", "with care": "takes it with care", "will tear": "will tear"}
    told = (
        f"{sheet.alloy} of {sheet.thickness:g} mm {how[verdict.step]}: {asked:.1f} % asked, it "
        f"gives {least:g} %; outer fibre at the radius {100.0 * verdict.peak:.0f} %"
    )
    if _too_tight(verdict):
        return (
            f"{told}; it cracks at a radius of {verdict.radius:.1f} mm inside and wants "
            f"{verdict.least_radius:.1f} mm"
        )
    goal = (1.0 if verdict.step == "will tear" else EASY) * verdict.least
    if verdict.asked <= goal:
        return told
    use = "would bear it" if verdict.step == "will tear" else "would be easy"
    wider, shallower = _wider(spec, goal), _shallower(spec, goal)
    ways = [f"{wider:.0f} mm wide"] if wider is not None else []
    ways += [f"{shallower:.1f} mm deep"] if shallower is not None else []
    return f"{told}; {' or '.join(ways)} {use}" if ways else told


def _wider(spec: BeadSpec, goal: float) -> float | None:
    """The width, whole mm upward, at which the same depth asks no more than the goal."""

    def over(width: float) -> float:
        return _effective(_stretch(spec.model_copy(update={"width": width}))) - goal

    found = _root(over, spec.width, 20.0 * spec.width)
    return None if found is None else float(int(found) + 1)


def _shallower(spec: BeadSpec, goal: float) -> float | None:
    """The depth, tenths of a mm downward, at which the same width asks no more than the goal."""

    def over(depth: float) -> float:
        return _effective(_stretch(spec.model_copy(update={"depth": depth}))) - goal

    found = _root(over, spec.depth, NARROWEST * spec.depth)
    rounded = None if found is None else int(10.0 * found) / 10.0
    return rounded or None


def _root(over: Callable[[float], float], here: float, there: float) -> float | None:
    if over(here) * over(there) > 0.0:
        return None
    return float(brentq(over, here, there))
