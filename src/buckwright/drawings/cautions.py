"""What every sheet says about hurting oneself, by the work that the sheet leads to.

Standards are named without a year: the current edition counts.
"""

from typing import Literal

from buckwright.model.finding import Finding

__all__ = ["SCOPE", "cautions_for", "doubts", "every_caution"]

SCOPE = (
    "This document plans sheet metal. It does not show that the vehicle is safe or legal: "
    "local codes and a licensed engineer or approval authority decide. Ask them before cutting."
)

_EYES = "Wear eye protection (ANSI/ISEA Z87.1) whenever metal is cut, ground, bent or struck."
_SHEET = (
    "Sheet edges cut: cut-resistant gloves (ANSI/ISEA 105) to carry it, deburr first (ISO 13715), "
    "no gloves at rotating machines (29 CFR 1910.138)."
)
_WELD = (
    "Welding and brazing: ANSI Z49.1 and 29 CFR 1910.252; filter shade for the process, moving "
    "air at the weld. Grind zinc off before heating (fume limit 5 mg/m3, 29 CFR 1910.1000); never "
    "heat cadmium plating (1910.1027) or metal cleaned with chlorinated solvent (phosgene)."
)
_FIRE = (
    "Hot work: clear 11 m (35 ft) of what burns, and keep a fire watch for an hour after "
    "(NFPA 51B)."
)
_RODS = (
    "Deburr (ISO 13715) and cap every rod end as soon as it is cut. A sprung rod flies: clamp both "
    "ends before letting go, stand beside its curve, never in it."
)
_LONG = "Two people carry a rod over 3 m, both ends in sight; heavier loads: ISO 11228-1."
_LIFT = (
    "Lift frame and buck with enough people (ISO 11228-1; the local code goes before) or a hoist; "
    "weigh before lifting, one person gives the word, nobody stands under a raised body."
)
_NOISE = "Hammering on a stake passes 85 dBA: wear hearing protection (29 CFR 1910.95)."
_GUARDS = "Guard shears, rolls and power hammers (29 CFR 1910.212)."
_PAPER = (
    "Measure both check bars before use: paper moves with damp. Figures count, never the paper."
)

_NOISE_SAW = "Saws and routers pass 85 dBA: wear hearing protection (29 CFR 1910.95)."
_WOOD = (
    "Guard saw and router, clamp the work, keep hands off the line of the blade (29 CFR 1910.213); "
    "draw the dust off and wear a mask: the dust of wood and of its glues harms lungs and burns."
)

_BY_WORK: dict[str, tuple[str, ...]] = {
    "elevation": (_PAPER,),
    "wire": (_EYES, _RODS, _LONG, _WELD, _FIRE, _PAPER),
    "frame": (_EYES, _RODS, _WELD, _FIRE, _LIFT, _PAPER),
    "board": (_EYES, _WOOD, _NOISE_SAW, _LIFT, _PAPER),
    "blank": (_SHEET, _EYES, _NOISE, _GUARDS, _PAPER),
    "gauge": (_SHEET, _PAPER),
    "check": (_SHEET, _NOISE, _EYES, _PAPER),
}


def cautions_for(
    work: Literal["elevation", "wire", "frame", "board", "blank", "gauge", "check"],
) -> tuple[str, ...]:
    """Sentences for the sheet of that kind, the document's scope last."""
    return (*_BY_WORK[work], SCOPE)


def every_caution() -> tuple[str, ...]:
    """All sentences once, for the cover, the document's scope first."""
    said = [sentence for work in _BY_WORK.values() for sentence in work]
    return (SCOPE, *dict.fromkeys(said))


def doubts(findings: tuple[Finding, ...], *names: str) -> tuple[str, ...]:
    """The findings about any of the named things, as sentences with what to do."""
    return tuple(f"{f.message} {f.remedy}" for f in findings if f.where in names)
