"""Sheet metal: how far it must stretch at least, how to soften it, what sheets are sold.

Each row says where its numbers come from; `memory` means that nobody opened the page.
"""

from dataclasses import dataclass
from functools import cache

from buckwright.tables.rows import table_rows

__all__ = ["Alloy", "Elongation", "SheetSize", "alloys", "find_alloy", "sheet_sizes"]


@dataclass(frozen=True, slots=True)
class Elongation:
    """Least elongation of one range of thickness (mm), as a fraction, and where it stands."""

    start: float
    end: float
    least: float
    gauge_length: str
    standard: str
    source: str


@dataclass(frozen=True, slots=True)
class Alloy:
    """One alloy in one temper.

    Attributes: name, as written on the sheet; family, the metal whatever its temper; density,
    kg/mm^3; annealed_as, the name it has after annealing; hardening, n of sigma = K eps^n, or None
    if the table has none; the elongations by thickness; and the sources of density and hardening.
    How it is annealed is told by `forming.annealing_of` its family.
    """

    name: str
    family: str
    density: float
    annealed_as: str
    hardening: float | None
    elongations: tuple[Elongation, ...]
    density_source: str
    hardening_source: str

    def elongation(self, thickness: float) -> Elongation | None:
        """The row for a thickness (mm), None if the table ends before or begins after it.

        Between two rows the thinner one's holds, which asks less of the metal.
        """
        rows = [row for row in self.elongations if row.start <= thickness + 1e-6]
        if not rows or thickness > self.elongations[-1].end + 1e-6:
            return None
        return rows[-1]

    @property
    def is_steel(self) -> bool:
        """Whether rules for low-carbon steel hold."""
        return self.family == "low-carbon steel"


@dataclass(frozen=True, slots=True)
class SheetSize:
    """A sheet as sold: mm, kg."""

    family: str
    thickness_name: str
    thickness: float
    name: str
    size: tuple[float, float]
    mass: float
    source: str


@cache
def alloys() -> tuple[Alloy, ...]:
    """Every alloy and temper in the tables, aluminium first."""
    elongations: dict[str, list[Elongation]] = {}
    for row in table_rows("elongations.csv"):
        elongations.setdefault(row["alloy"], []).append(_elongation(row))
    return tuple(_alloy(row, tuple(elongations[row["alloy"]])) for row in table_rows("alloys.csv"))


def find_alloy(name: str) -> Alloy | None:
    """The alloy of that name, capitals and spaces aside; None if the tables do not have it."""
    wanted = name.replace(" ", "").upper()
    return next((alloy for alloy in alloys() if alloy.name == wanted), None)


@cache
def sheet_sizes(family: str) -> tuple[SheetSize, ...]:
    """Sheets of a metal family as sold, thinner first within inch and metric."""
    return tuple(
        SheetSize(
            row["material"],
            row["thickness"],
            float(row["thickness_mm"]),
            row["sheet"],
            (float(row["width_mm"]), float(row["length_mm"])),
            float(row["sheet_mass_kg"]),
            row["source"],
        )
        for row in table_rows("sheets.csv")
        if row["material"] == family
    )


def _elongation(row: dict[str, str]) -> Elongation:
    return Elongation(
        float(row["from_mm"]),
        float(row["to_mm"]),
        0.01 * float(row["elongation_percent"]),
        row["gauge_length"],
        row["standard"],
        row["source"],
    )


def _alloy(row: dict[str, str], elongations: tuple[Elongation, ...]) -> Alloy:
    hardening = row["strain_hardening_n"]
    return Alloy(
        row["alloy"],
        row["family"],
        1e-9 * float(row["density_kg_m3"]),
        row["annealed_as"],
        float(hardening) if hardening else None,
        elongations,
        row["density_source"],
        row["n_source"],
    )
