"""How much rather a metal narrows than thins when it is pulled: Lankford's r."""

from dataclasses import dataclass

from buckwright.tables.alloys import find_alloy
from buckwright.tables.rows import table_rows

__all__ = ["RValue", "find_r_value"]


@dataclass(frozen=True, slots=True)
class RValue:
    """Strain across a pulled strip over strain through its thickness, and where it stands."""

    value: float
    source: str


def find_r_value(alloy: str, thickness: float) -> RValue | None:
    """The r-value of an alloy at a thickness (mm); None if the tables have none.

    Standards give the least r of strips cut across the rolling direction, so the metal's mean
    may be higher. The tables have none for aluminium, which lies below 1.
    """
    found = find_alloy(alloy)
    name = found.name if found else alloy
    for row in table_rows("r_values.csv"):
        if row["alloy"] == name:
            thick = thickness > float(row["thick_over_mm"])
            return RValue(float(row["thick_r_value" if thick else "r_value"]), row["source"])
    return None
