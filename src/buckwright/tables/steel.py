"""Round rod, square tube and low-carbon steel, as bought.

Each row says where its numbers come from; `memory` means that nobody opened the page.
"""

from dataclasses import dataclass
from functools import cache
from math import pi

from buckwright.tables.rows import table_rows

__all__ = [
    "DENSITY",
    "YOUNG_MODULUS",
    "RodSize",
    "SquareTube",
    "SteelGrade",
    "rod_mass_per_mm",
    "rod_sizes",
    "square_tubes",
    "steel_grades",
    "tube_mass_per_mm",
]

YOUNG_MODULUS = 205_000.0
"""MPa, any low-carbon steel: 200 to 207 GPa in the handbooks (from memory)."""
DENSITY = 7.85e-6
"""kg/mm^3, any low-carbon steel: 7,850 kg/m^3 (from memory, the figure of EN 10025 mass tables)."""


@dataclass(frozen=True, slots=True)
class RodSize:
    """Round rod: mm, kg for each metre, and the handbook's own rounded figure to hold it to."""

    size: str
    diameter: float
    kg_per_m: float
    handbook_value: float
    handbook_unit: str
    usual_lengths: str
    source: str


@dataclass(frozen=True, slots=True)
class SquareTube:
    """Square tube: mm, mm^2, kg for each metre."""

    size: str
    section: float
    wall: float
    area: float
    kg_per_m: float
    source: str


@dataclass(frozen=True, slots=True)
class SteelGrade:
    """Strength of a bar steel: MPa, and percent elongation over 2 in."""

    grade: str
    condition: str
    tensile: float
    yield_strength: float
    elongation_percent: float
    source: str


@cache
def rod_sizes() -> tuple[RodSize, ...]:
    """Rod sold by the bar, inch sizes first."""
    return tuple(
        RodSize(
            size=row["size"],
            diameter=float(row["diameter_mm"]),
            kg_per_m=float(row["kg_per_m"]),
            handbook_value=float(row["handbook_value"]),
            handbook_unit=row["handbook_unit"],
            usual_lengths=row["usual_lengths"],
            source=row["source"],
        )
        for row in table_rows("rods.csv")
    )


@cache
def square_tubes() -> tuple[SquareTube, ...]:
    """Square tube sold by the bar, inch sizes first."""
    return tuple(
        SquareTube(
            size=row["size"],
            section=float(row["section_mm"]),
            wall=float(row["wall_mm"]),
            area=float(row["area_mm2"]),
            kg_per_m=float(row["kg_per_m"]),
            source=row["source"],
        )
        for row in table_rows("square_tubes.csv")
    )


@cache
def steel_grades() -> tuple[SteelGrade, ...]:
    """Low-carbon bar steels."""
    return tuple(
        SteelGrade(
            grade=row["grade"],
            condition=row["condition"],
            tensile=float(row["tensile_mpa"]),
            yield_strength=float(row["yield_mpa"]),
            elongation_percent=float(row["elongation_percent"]),
            source=row["source"],
        )
        for row in table_rows("steels.csv")
    )


def rod_mass_per_mm(diameter: float) -> float:
    """Mass of round steel rod, kg for each mm of length; `diameter` in mm."""
    return 0.25 * pi * diameter**2 * DENSITY


def tube_mass_per_mm(section: float, wall: float) -> float:
    """Mass of steel square tube, kg for each mm; `section` is the outside in mm, corners sharp.

    Real tube has round corners and weighs 1 to 4 % less.
    """
    if not 0.0 < 2.0 * wall < section:
        message = f"a tube of {section} mm has no wall of {wall} mm"
        raise ValueError(message)
    return 4.0 * wall * (section - wall) * DENSITY
