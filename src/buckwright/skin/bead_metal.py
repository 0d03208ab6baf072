"""Whether the sheet takes a bead: what it stretches across, and what another section would ask."""

from collections.abc import Callable
from dataclasses import dataclass
from math import expm1, log1p, sqrt
from typing import Literal

from scipy.optimize import brentq

from buckwright.errors import JobError
from buckwright.geometry.bead_profile import bead_profile
from buckwright.model.panels import SheetStock
from buckwright.model.treatments import BeadSpec
from buckwright.tables.alloys import Alloy, alloys, find_alloy
from buckwright.tables.bending import outer_strain
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
    comes on top; asked, the peak as the effective elongation of metal that cannot draw in along
    the bead (plane strain: 2 / sqrt 3 of the true strain); least, the table's; limit, the forming
    limit of steel without strain along the bead, 0 for other metals; words; source.
    """

    step: Step
    stretch: float
    thinning: float
    peak: float
    asked: float
    least: float
    limit: float
    words: str
    source: str


def bead_verdict(spec: BeadSpec, sheet: SheetStock) -> BeadVerdict:
    """Whether the sheet takes the bead if it stretches over the width of the bead alone.

    Metal that draws in from beside makes it easier. Raises JobError for an alloy or thickness
    that the tables do not have, and a radius tighter than the sheet; ValueError as `bead_profile`.
    """
    alloy = find_alloy(sheet.alloy)
    row = None if alloy is None else alloy.elongation(sheet.thickness)
    if alloy is None or row is None:
        known = ", ".join(a.name for a in alloys())
        raise JobError(
            f"The tables have no {sheet.alloy} of {sheet.thickness:g} mm.", f"They have {known}."
        )
    if spec.radius <= sheet.thickness:
        raise JobError(
            f"Bead '{spec.name}' has a radius of {spec.radius:g} mm outside, in sheet of "
            f"{sheet.thickness:g} mm: nothing is left of it inside.",
            f"Make it {2.0 * sheet.thickness:g} mm at least.",
        )
    stretch, peak, asked = _strains(spec, sheet.thickness)
    limit = _steel_limit(alloy, sheet.thickness)
    step = _step(asked, stretch, row.least, limit)
    words = _words(spec, sheet, alloy, row.least, step, asked)
    thinning = 1.0 - 1.0 / (1.0 + stretch)
    return BeadVerdict(step, stretch, thinning, peak, asked, row.least, limit, words, row.source)


def _strains(spec: BeadSpec, thickness: float) -> tuple[float, float, float]:
    profile = bead_profile(spec.width, spec.depth, spec.radius, spec.flat)
    stretch = profile.girth / spec.width - 1.0
    peak = (1.0 + stretch) * (1.0 + outer_strain(spec.radius - thickness, thickness)) - 1.0
    return stretch, peak, expm1(2.0 / sqrt(3.0) * log1p(peak))


def _steel_limit(alloy: Alloy, thickness: float) -> float:
    if not alloy.is_steel or alloy.hardening is None:
        return 0.0
    return forming_limit(thickness, alloy.hardening)


def _step(asked: float, stretch: float, least: float, limit: float) -> Step:
    if asked > least or (limit and stretch > limit):
        return "will tear"
    return "takes it" if asked <= EASY * least else "with care"


def _words(
    spec: BeadSpec, sheet: SheetStock, alloy: Alloy, least: float, step: Step, asked: float
) -> str:
    name = f"{alloy.name} of {sheet.thickness:g} mm"
    told = {
        "takes it": f"{name} takes it: {100 * asked:.1f} % of the {100 * least:g} % it gives",
        "with care": f"{name} takes it with care: {100 * asked:.1f} % asked, it gives "
        f"{100 * least:g} %",
        "will tear": f"{name} will tear: {100 * asked:.1f} % asked, it gives {100 * least:g} %",
    }[step]
    if step == "takes it":
        return told
    goal = least if step == "will tear" else EASY * least
    use = "would bear it" if step == "will tear" else "would be easy"
    wider = _wider(spec, sheet.thickness, goal)
    shallower = _shallower(spec, sheet.thickness, goal)
    ways = []
    if wider is not None:
        ways.append(f"{wider:.0f} mm wide")
    if shallower is not None:
        ways.append(f"{shallower:.1f} mm deep")
    if not ways:
        return f"{told}; no width or depth helps: its radius alone asks for more, make it larger"
    return f"{told}; {' or '.join(ways)} {use}"


def _wider(spec: BeadSpec, thickness: float, goal: float) -> float | None:
    """The width, whole mm upward, at which the same depth asks no more than the goal."""

    def over(width: float) -> float:
        return _strains(spec.model_copy(update={"width": width}), thickness)[2] - goal

    found = _root(over, spec.width, 20.0 * spec.width)
    return None if found is None else float(int(found) + 1)


def _shallower(spec: BeadSpec, thickness: float, goal: float) -> float | None:
    """The depth, tenths of a mm downward, at which the same width asks no more than the goal."""

    def over(depth: float) -> float:
        return _strains(spec.model_copy(update={"depth": depth}), thickness)[2] - goal

    found = _root(over, spec.depth, NARROWEST * spec.depth)
    rounded = None if found is None else int(10.0 * found) / 10.0
    return rounded or None


def _root(over: Callable[[float], float], here: float, there: float) -> float | None:
    if over(here) * over(there) > 0.0:
        return None
    return float(brentq(over, here, there))
