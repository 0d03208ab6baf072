"""Whether the sheet takes a louvre: the stretch along its lip, and from root to lip."""

from typing import Literal

from buckwright.model.louvres import LouvreField
from buckwright.model.panels import SheetStock
from buckwright.tables.alloys import find_alloy

__all__ = ["louvre_verdict"]

Step = Literal["", "takes it", "with care", "will tear"]

EASY = 0.5
"""Share of the least elongation that the metal takes without care, as for panels."""


def louvre_verdict(field: LouvreField, sheet: SheetStock) -> tuple[Step, str]:
    """The step and its words; the step is empty where no table has the sheet.

    The greater of both stretches is held against the least elongation: the lip is a free edge,
    pulled along; the metal behind it is pulled across. Both are even along their arcs (common
    practice, no source); tools that let metal draw in make it easier.
    """
    alloy = find_alloy(sheet.alloy)
    row = None if alloy is None else alloy.elongation(sheet.thickness)
    name = f"{sheet.alloy} of {sheet.thickness:g} mm"
    if row is None:
        return "", f"the tables have no {name}"
    asked = max(field.lip, field.across)
    step: Step = (
        "will tear"
        if asked > row.least
        else "takes it"
        if asked <= EASY * row.least
        else "with care"
    )
    how = {"takes it": "takes it", "with care": "takes it with care", "will tear": "will tear"}
    words = f"{name} {how[step]}: {100.0 * asked:.1f} % asked, it gives {100.0 * row.least:g} %"
    return step, words if step == "takes it" else f"{words}; lower or wider louvres ask less"
