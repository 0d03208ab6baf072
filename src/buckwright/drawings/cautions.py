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

_GLASS = (
    "Glazing: safety glass marked for its place, and cut before it is toughened (UNECE R43; "
    "FMVSS 205 with ANSI/SAE Z26.1). Window glass from a building cuts throats."
)
_HANDLE_GLASS = (
    "Cut-resistant gloves and sleeves (ANSI/ISEA 105) and eye protection (ANSI/ISEA Z87.1) to "
    "carry and cut glass; two people for a pane over 0.5 m2."
)
_HINGES = (
    "Door locks and hinges hold people in: UNECE R11, FMVSS 206. This shows where a door swings, "
    "not that its hinges, latch or posts are strong enough; a door hinged at the rear needs a "
    "latch that holds against the wind."
)
_STRUCTURE = (
    "Belts anchor in structure, never in skin or doors (FMVSS 209 and 210; UNECE R16 and R14); "
    "an opening weakens the body round it (FMVSS 214 and 216a): an engineer sizes posts and sills."
)
_PINCH = "A swinging door pinches at its hinges: no fingers in the gap while it is hung."

_BY_WORK: dict[str, tuple[str, ...]] = {
    "elevation": (_PAPER,),
    "opening": (_HINGES, _PINCH, _GLASS, _STRUCTURE, _PAPER),
    "glass": (_GLASS, _HANDLE_GLASS, _STRUCTURE, _PAPER),
    "wire": (_EYES, _RODS, _LONG, _WELD, _FIRE, _PAPER),
    "frame": (_EYES, _RODS, _WELD, _FIRE, _LIFT, _PAPER),
    "board": (_EYES, _WOOD, _NOISE_SAW, _LIFT, _PAPER),
    "blank": (_SHEET, _EYES, _NOISE, _GUARDS, _PAPER),
    "gauge": (_SHEET, _PAPER),
    "check": (_SHEET, _NOISE, _EYES, _PAPER),
}


def cautions_for(
    work: Literal[
        "elevation", "opening", "glass", "wire", "frame", "board", "blank", "gauge", "check"
    ],
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
