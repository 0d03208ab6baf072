"""Whether a metal takes what a panel asks of it, and what to do if it does not."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.strain import hencky_measure
from buckwright.model.panels import PanelVerdict, SheetStock
from buckwright.tables.alloys import Alloy, Elongation, alloys, find_alloy

__all__ = ["Metal", "forming_limit", "judge", "known_metal"]

Array = NDArray[np.float64]

_EASY = 0.5
"""Share of the metal's least elongation up to which it is taken to follow without trouble."""


@dataclass(frozen=True, slots=True)
class Metal:
    """An alloy at one thickness (mm), with the row of the table that holds for it."""

    alloy: Alloy
    thickness: float
    row: Elongation


def known_metal(sheet: SheetStock) -> Metal:
    """The sheet's metal; raises JobError for an alloy or thickness that the tables do not have."""
    alloy = find_alloy(sheet.alloy)
    if alloy is None:
        known = ", ".join(a.name for a in alloys())
        raise JobError(f"The tables have no alloy '{sheet.alloy}'.", f"They have {known}.")
    row = alloy.elongation(sheet.thickness)
    if row is None:
        first, last = alloy.elongations[0].start, alloy.elongations[-1].end
        raise JobError(
            f"The tables have no {alloy.name} of {sheet.thickness:g} mm.",
            f"They go from {first:.2f} to {last:.2f} mm: was the unit of the thickness right?",
        )
    return Metal(alloy, sheet.thickness, row)


def forming_limit(thickness: float, hardening: float) -> float:
    """Greatest stretch (a fraction) with no strain across it, low-carbon steel only.

    (23.3 + 14.13 t) n / 0.21 percent, with t (mm) counted to 3 and n to 0.21 at most. Keeler and
    Brazier, 'Relationship between laboratory material characterization and press-shop
    formability', Microalloying 75 (1977).
    """
    t, n = min(thickness, 3.0), min(hardening, 0.21)
    return 0.01 * (23.3 + 14.13 * t) * n / 0.21


def judge(metal: Metal, major: Array, minor: Array) -> PanelVerdict:
    """Whether the metal takes principal log strains (m,) of each triangle.

    The hardest-worked place counts, by its effective strain 2 / sqrt 3 sqrt(e1^2 + e2^2 + e1 e2),
    beside the table's least elongation. A hand-worked panel is made in many passes, so a panel
    beyond it can be made, but not in one temper without annealing.
    """
    effective = np.sqrt(4.0 / 3.0 * hencky_measure(major, minor)[0])
    asked = float(np.expm1(effective.max()))
    share = asked / metal.row.least
    step = "takes it" if share <= _EASY else "with care" if share <= 1.0 else "will not take it"
    return PanelVerdict(
        step=step,
        reason=" ".join(
            [
                f"The hardest-worked place needs {_percent(asked)}; {metal.alloy.name} of "
                f"{metal.thickness:.2f} mm gives at least {_percent(metal.row.least)}.",
                _advice(metal, step, asked),
                *_steel_note(metal, major),
            ]
        ),
        elongation=metal.row.least,
        source=f"{metal.row.standard}, {metal.row.gauge_length} gauge length, {metal.row.source}",
    )


def _advice(metal: Metal, step: str, asked: float) -> str:
    if step == "takes it":
        return "It can be worked as it comes."
    if step == "with care":
        return "Work it evenly in light passes, and anneal if it begins to stiffen."
    low, high = metal.alloy.anneal_c
    heat = f"{low:.0f} °C" if low == high else f"{low:.0f} to {high:.0f} °C"
    soft = find_alloy(metal.alloy.annealed_as)
    row = soft.elongation(metal.thickness) if soft else None
    glow = "" if metal.alloy.is_steel else " (it gives no glow before it melts)"
    if soft is None or row is None or soft.name == metal.alloy.name:
        return f"Anneal at {heat}{glow} between passes, or put the seams closer together."
    enough = "" if asked <= row.least else ", more than once, and put the seams closer together"
    return (
        f"Anneal it first at {heat}{glow}: as {soft.name} it gives at least "
        f"{_percent(row.least)}{enough}; or put the seams closer together."
        if not enough
        else f"Anneal it at {heat}{glow} to {soft.name} ({_percent(row.least)}){enough}."
    )


def _steel_note(metal: Metal, major: Array) -> list[str]:
    if not metal.alloy.is_steel or metal.alloy.hardening is None:
        return []
    limit = forming_limit(metal.thickness, metal.alloy.hardening)
    most = float(np.expm1(major.max()))
    return [
        f"Most stretch one way {_percent(most)}, beside an estimated forming limit of "
        f"{_percent(limit)} (low-carbon steel only)."
    ]


def _percent(share: float) -> str:
    return f"{100.0 * share:.1f} %" if share < 0.0995 else f"{100.0 * share:.0f} %"
