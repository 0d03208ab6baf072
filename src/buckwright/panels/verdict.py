"""Whether a metal takes what a panel asks of it, and what to do if it does not."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.strain import hencky_measure
from buckwright.model.panels import OtherMetal, PanelVerdict, SheetStock
from buckwright.tables.alloys import Alloy, Elongation, alloys, find_alloy, sheet_sizes
from buckwright.tables.forming import (
    FLD_SOURCE,
    annealing_of,
    forming_limit,
    forming_limit_at,
    uniform_elongation,
)

__all__ = [
    "Metal",
    "Step",
    "Strains",
    "effective_elongation",
    "judge",
    "known_metal",
    "percent_of",
    "step_for",
]

Array = NDArray[np.float64]

_EASY = 0.5
"""Share of the metal's least elongation up to which it is taken to follow without trouble."""
_NEAR_LIMIT = 0.1
"""Stretch left before the forming limit below which steel is only worked with care."""

Step = Literal["takes it", "with care", "will not take it"]
_STEPS: tuple[Step, ...] = ("takes it", "with care", "will not take it")


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


@dataclass(frozen=True, eq=False, slots=True)
class Strains:
    """Principal log strains (m,) of each triangle, larger and smaller."""

    major: Array
    minor: Array

    @property
    def asked(self) -> float:
        """Elongation of a tensile strip worked as hard as the hardest-worked place, a fraction.

        By the effective strain 2 / sqrt 3 sqrt(e1^2 + e2^2 + e1 e2).
        """
        return effective_elongation(self.major, self.minor)

    @property
    def most(self) -> float:
        """Greatest stretch one way, a fraction."""
        return float(np.expm1(self.major.max()))

    def margin(self, limit: float) -> float:
        """Least gap between the strains and the forming-limit curve over `limit`, a fraction."""
        gap = forming_limit_at(self.minor, limit) - self.major
        return float(np.expm1(gap.min()))


def effective_elongation(major: Array, minor: Array) -> float:
    """Greatest effective strain of principal log strains, as an elongation (a fraction)."""
    return float(np.expm1(np.sqrt(4.0 / 3.0 * hencky_measure(major, minor)[0]).max()))


def steel_limit(metal: Metal) -> float:
    """FLD0 of low-carbon steel as a fraction; 0 for other metals, and where n is not known."""
    if not metal.alloy.is_steel or metal.alloy.hardening is None:
        return 0.0
    return forming_limit(metal.thickness, metal.alloy.hardening)


def step_for(metal: Metal, strains: Strains) -> Step:
    """The verdict's step: by the table's least elongation, and for steel by the forming limit.

    Beyond the forming limit it tears; within a tenth of it, it is only worked with care. Half the
    least elongation lies below uniform elongation for every metal of the tables, so metal that
    takes it does not neck.
    """
    share = strains.asked / metal.row.least
    limit = steel_limit(metal)
    margin = strains.margin(limit) if limit else np.inf
    if share > 1.0 or margin < 0.0:
        return "will not take it"
    return "takes it" if share <= _EASY and margin >= _NEAR_LIMIT else "with care"


def _uniform(metal: Metal) -> float:
    """Elongation at which the metal begins to neck, 0 where it is not known."""
    hardening = metal.alloy.hardening
    return 0.0 if hardening is None else uniform_elongation(hardening)


def judge(metal: Metal, major: Array, minor: Array) -> PanelVerdict:
    """Whether the metal takes principal log strains (m,) of each triangle.

    The hardest-worked place counts, beside the table's least elongation. A hand-worked panel is
    made in many passes, so a panel beyond it can be made, but not in one temper without annealing.
    """
    strains = Strains(major, minor)
    others = other_sheets(metal, strains)
    step, asked, limit = step_for(metal, strains), strains.asked, steel_limit(metal)
    uniform = _uniform(metal)
    necks = f" and begins to neck at about {percent_of(uniform)}" if uniform else ""
    return PanelVerdict(
        step=step,
        reason=" ".join(
            [
                f"The hardest-worked place needs {percent_of(asked)}; {metal.alloy.name} of "
                f"{metal.thickness:.2f} mm gives at least {percent_of(metal.row.least)}{necks}.",
                _advice(metal, step, asked),
                *_limit_note(limit, strains),
                *_who_takes_it(step, others),
            ]
        ),
        elongation=metal.row.least,
        source="; ".join(
            [
                f"{metal.row.standard}, {metal.row.gauge_length} gauge length, {metal.row.source}",
                *([FLD_SOURCE] if limit else []),
            ]
        ),
        asked=asked,
        uniform=uniform,
        forming_limit=limit,
        margin=strains.margin(limit) if limit else 0.0,
        thinning=float(max(-np.expm1(-(major + minor).max()), 0.0)),
        anneal=_anneal(metal, step, asked),
        others=others,
    )


def other_sheets(metal: Metal, strains: Strains) -> tuple[OtherMetal, ...]:
    """The verdict in every other metal of the same thickness, and in other thicknesses sold.

    Best first: those that take it, the same metal before others, with most in hand. The strains
    are those of this panel, which change little from metal to metal.
    """
    sheets = [(alloy.name, metal.thickness) for alloy in alloys()]
    sold = {size.thickness for size in sheet_sizes(metal.alloy.family)}
    sheets += [(metal.alloy.name, thickness) for thickness in sorted(sold)]
    found: dict[tuple[str, float], OtherMetal] = {}
    for name, thickness in sheets:
        if name == metal.alloy.name and abs(thickness - metal.thickness) < 0.01:
            continue
        alloy = find_alloy(name)
        row = alloy.elongation(thickness) if alloy else None
        if alloy is not None and row is not None:
            other = Metal(alloy, thickness, row)
            if other.alloy.name != metal.alloy.name or row.least != metal.row.least:
                found[name, row.least] = _other(other, strains)
    kin = {alloy.name for alloy in alloys() if alloy.family == metal.alloy.family}
    return tuple(
        sorted(
            found.values(),
            key=lambda o: (_STEPS.index(o.step), o.alloy not in kin, o.share),
        )
    )


def _other(metal: Metal, strains: Strains) -> OtherMetal:
    step = step_for(metal, strains)
    return OtherMetal(
        alloy=metal.alloy.name,
        thickness=metal.thickness,
        step=step,
        share=strains.asked / metal.row.least,
        words=f"{metal.alloy.name} of {metal.thickness:.2f} mm {_verb(step)}: needs "
        f"{percent_of(strains.asked)} of {percent_of(metal.row.least)}",
    )


def _who_takes_it(step: Step, others: Sequence[OtherMetal]) -> list[str]:
    if step == "takes it":
        return []
    names = list(dict.fromkeys(o.alloy for o in others if o.step == "takes it"))
    return [
        f"{', '.join(names[:4])} would take it." if names else "No sheet in the tables takes it."
    ]


def _verb(step: Step) -> str:
    return "takes it with care" if step == "with care" else step


def _advice(metal: Metal, step: Step, asked: float) -> str:
    if step == "takes it":
        return "It can be worked as it comes."
    if step == "with care":
        return "Work it evenly in light passes, and anneal if it begins to stiffen."
    heat = annealing_of(metal.alloy.family)
    at = f" at {heat.heat}" if heat else ""
    glow = "" if metal.alloy.is_steel else " (it gives no glow before it melts)"
    soft = _softened(metal)
    if soft is None or soft.alloy.name == metal.alloy.name:
        return f"Anneal{at}{glow} between passes, or put the seams closer together."
    if asked <= soft.row.least:
        return (
            f"Anneal it first{at}{glow}: as {soft.alloy.name} it gives at least "
            f"{percent_of(soft.row.least)}; or put the seams closer together."
        )
    return (
        f"Anneal it{at}{glow} to {soft.alloy.name} ({percent_of(soft.row.least)}), more than once, "
        "and put the seams closer together."
    )


def _softened(metal: Metal) -> Metal | None:
    alloy = find_alloy(metal.alloy.annealed_as)
    row = alloy.elongation(metal.thickness) if alloy else None
    return Metal(alloy, metal.thickness, row) if alloy is not None and row is not None else None


def _anneal(metal: Metal, step: Step, asked: float) -> str:
    """When to anneal, how hot, how to tell, and the caution; empty where there is no need."""
    heat, soft = annealing_of(metal.alloy.family), _softened(metal)
    if step == "takes it" or heat is None:
        return ""
    least = soft.row.least if soft else metal.row.least
    times = int(np.ceil(np.log1p(asked) / np.log1p(least))) - 1
    if step == "with care":
        when = "Anneal when it begins to stiffen"
    elif soft is not None and soft.alloy.name != metal.alloy.name and asked <= least:
        when = "Anneal before the first blow"
    elif soft is not None and soft.alloy.name != metal.alloy.name:
        when = f"Anneal before the first blow, and again {_times(times)} as it stiffens"
    else:
        often = _times(max(times, 1))
        when = f"Anneal {often}, each time after {percent_of(least)} has been worked in"
    parts = [f"{when}, at {heat.heat}.", heat.method, heat.caution]
    return " ".join(part for part in parts if part)


def _times(count: int) -> str:
    return {0: "once", 1: "once", 2: "twice"}.get(count, f"{count} times")


def _limit_note(limit: float, strains: Strains) -> list[str]:
    if not limit:
        return []
    most, margin = strains.most, strains.margin(limit)
    where = f"{percent_of(margin)} inside" if margin >= 0.0 else f"{percent_of(-margin)} beyond"
    return [
        f"Most stretch one way {percent_of(most)}, beside an estimated forming limit of "
        f"{percent_of(limit)} (low-carbon steel only); the nearest place lies {where} the limit "
        "curve."
    ]


def percent_of(share: float) -> str:
    """`4.3 %`, or `23 %` from ten on."""
    return f"{100.0 * share:.1f} %" if share < 0.0995 else f"{100.0 * share:.0f} %"
