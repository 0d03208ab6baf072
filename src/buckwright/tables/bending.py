"""Bends in sheet: the metal that a bend takes, and how tight it may be.

Each row says where its numbers come from; `memory` means that nobody opened the page. The inside
radius R, the thickness T and lengths are in mm, the angle A is how far the metal is turned (rad).
"""

from dataclasses import dataclass
from functools import cache
from math import degrees, log, pi, tan

from buckwright.tables.rows import table_rows

__all__ = [
    "BendRadius",
    "BendRule",
    "bend_allowance",
    "bend_deduction",
    "bend_rule",
    "bend_rules",
    "least_bend_radius",
    "neutral_factor",
    "outer_strain",
    "relief_hole",
    "setback",
]

_INCH = 25.4


@dataclass(frozen=True, slots=True)
class BendRule:
    """Metal for each degree of a bend: radius_factor R + thickness_factor T."""

    name: str
    radius_factor: float
    thickness_factor: float
    holds_for: str
    source: str


@dataclass(frozen=True, slots=True)
class BendRadius:
    """The tightest inside radius that a table allows, mm, and where it stands."""

    radius: float
    by_thickness: float
    source: str


@cache
def bend_rules() -> tuple[BendRule, ...]:
    """Every rule in the table, that of aircraft practice first."""
    return tuple(
        BendRule(
            row["rule"],
            float(row["radius_factor"]),
            float(row["thickness_factor"]),
            row["holds_for"],
            row["source"],
        )
        for row in table_rows("bend_rules.csv")
    )


def bend_rule(name: str) -> BendRule:
    """The rule of that name; ValueError if the table does not have it."""
    found = next((rule for rule in bend_rules() if rule.name == name), None)
    if found is None:
        message = f"no bend rule {name!r}"
        raise ValueError(message)
    return found


def bend_allowance(
    radius: float, thickness: float, angle: float, *, neutral: float | None = None
) -> float:
    """Length of metal in a bend.

    With `neutral`, the part of the thickness at which the metal keeps its length, angle times
    (R + K T); without, by the rule of US aircraft practice, (0.01743 R + 0.0078 T) a degree.
    """
    if radius < 0.0 or thickness <= 0.0 or angle < 0.0:
        message = "a bend needs a thickness, and a radius and an angle of 0 at least"
        raise ValueError(message)
    if neutral is not None:
        return angle * (radius + neutral * thickness)
    rule = bend_rule("aircraft")
    return degrees(angle) * (rule.radius_factor * radius + rule.thickness_factor * thickness)


def setback(radius: float, thickness: float, angle: float) -> float:
    """From where the outer faces would meet to where the bend begins: tan(A/2) (R + T).

    Source: FAA-H-8083-31 (found). Raises ValueError from half a turn on, where they never meet.
    """
    if not 0.0 <= angle < pi - 1e-9:
        message = "setback needs an angle below half a turn"
        raise ValueError(message)
    return tan(0.5 * angle) * (radius + thickness)


def bend_deduction(radius: float, thickness: float, angle: float) -> float:
    """What a bend saves: two setbacks less the bend allowance (found: sheetmetalworkbook.com)."""
    return 2.0 * setback(radius, thickness, angle) - bend_allowance(radius, thickness, angle)


def neutral_factor(metal: str, radius: float, thickness: float) -> tuple[float, str]:
    """K of the table's nearest radius and thickness for `aluminium` or `cold-rolled steel`.

    Also the source. Raises ValueError for another metal.
    """
    rows = [row for row in table_rows("bend_k_factors.csv") if row["metal"] == metal]
    if not rows:
        message = f"no K-factors for {metal!r}"
        raise ValueError(message)

    def distance(row: dict[str, str]) -> float:
        r, t = _INCH * float(row["radius_in"]), _INCH * float(row["thickness_in"])
        return abs(log(t / thickness)) + 0.1 * abs(log(r / max(radius, 0.1)))

    nearest = min(rows, key=distance)
    return float(nearest["k"]), nearest["source"]


def least_bend_radius(alloy: str, thickness: float) -> BendRadius | None:
    """The tightest inside radius at 90 degrees; None if the table does not say."""
    for row in table_rows("bend_radii.csv"):
        over, to = float(row["over_mm"]), float(row["to_mm"])
        if row["alloy"] == alloy and over < thickness <= to:
            by_thickness = float(row["radius_by_thickness"])
            return BendRadius(by_thickness * thickness, by_thickness, row["source"])
    return None


def relief_hole(radius: float, thickness: float) -> float:
    """Diameter of the hole where two bends meet: twice the radius, and not under the table's least.

    1/8 in in sheet to 0.064 in, 3/16 in to 0.128 in (FAA text at flight-mechanic.com, found).
    """
    return max(2.0 * radius, (0.125 if thickness <= 0.064 * _INCH else 0.1875) * _INCH)


def outer_strain(radius: float, thickness: float) -> float:
    """Stretch of the outermost fibre of a bend, 1 / (2 R / T + 1), as a fraction.

    Kalpakjian and Schmid, eq. 16.4 (found).
    """
    return 1.0 / (2.0 * radius / thickness + 1.0)
