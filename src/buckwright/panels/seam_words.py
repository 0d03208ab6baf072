"""Why a seam is where it is, and what an option means, in words."""

from collections.abc import Sequence

import numpy as np

from buckwright.model.seams import SeamOption
from buckwright.panels.seam_parts import Measure
from buckwright.panels.seam_states import Step

__all__ = ["choice_words", "option_words", "percent", "seam_words"]

_SPARED = 0.95
"""A seam that leaves more than this share of the strain is there for another reason."""


def percent(strain: float) -> str:
    """A logarithmic strain as a change of length."""
    return f"{100.0 * np.expm1(strain):.1f} %"


def seam_words(step: Step) -> str:
    """Why a seam is there: where it runs, how it meets the edges, what it spares the metal."""
    division = step.division
    first, second = (round(float(np.degrees(angle))) for angle in division.meets)
    if division.line is not None:
        where = f"Along '{division.line}', which is a line of the body anyway"
    else:
        where = "Straight over the skin from edge to edge"
    square = "" if (first, second) == (90, 90) else f", meeting the edges at {first} and {second}°"
    shares = _shares(step)
    rounding = f"It parts the rounding {shares[0]} to {shares[1]} percent"
    after = max(m.peak for m in step.after)
    if after < _SPARED * step.before.peak:
        before = percent(step.before.peak)
        gain = f"and the hardest-worked place of this piece comes from about {before} "
        gain += f"to {percent(after)}."
    else:
        gain = f"and the pieces are {_sizes(step.after)} instead of {_sizes([step.before])}; "
        gain += f"the greatest strain stays at {percent(after)}."
    radius = (
        f" No radius on the way is tighter than {10 * int(division.radius / 10)} mm."
        if division.radius < 1000.0
        else " The skin is nearly flat along it."
    )
    return f"{where}{square}. {rounding}, {gain}{radius}"


def _shares(step: Step) -> tuple[int, int]:
    parts = [half.total_rounding() for half in step.division.parts]
    share = round(100.0 * parts[0] / max(sum(parts), 1e-12))
    return share, 100 - share


def _sizes(measures: Sequence[Measure]) -> str:
    return " and ".join(f"{m.long:.0f} x {m.short:.0f} mm" for m in measures)


def option_words(
    pieces: int, peak: float, weld: float, *, within_reach: bool, on_sheet: bool, takes_it: bool
) -> str:
    """An option in a sentence."""
    count = (
        "one piece, no seam" if pieces == 1 else f"{pieces} pieces, {weld / 1000.0:.2f} m of weld"
    )
    doubts = [
        *([] if within_reach else ["too large to reach into"]),
        *([] if on_sheet else ["too large for the sheet"]),
        *([] if takes_it else ["more than the metal takes without annealing"]),
    ]
    return f"{count}, greatest strain {percent(peak)}" + (
        f": {'; '.join(doubts)}" if doubts else ""
    )


def choice_words(chosen: SeamOption, options: Sequence[SeamOption], metal: str) -> str:
    """Why an option is the one to take, against the single panel and the next one up."""
    single = options[0]
    good = chosen.within_reach and chosen.on_sheet and chosen.takes_it
    if chosen.name == single.name and good:
        return (
            f"No seam is needed: {metal} takes the {percent(chosen.peak)} that one piece asks, "
            "and the piece fits reach and sheet."
        )
    said = []
    if good:
        said.append(
            f"It has the fewest pieces that fit the shop's reach and the sheet and that {metal} "
            "takes without annealing."
        )
    else:
        said.append(
            "None of the options fits reach, sheet and metal alike; this one comes nearest: "
            f"{chosen.words}."
        )
    if chosen.seams:
        said.append(
            f"Against one piece the greatest strain comes from {percent(single.peak)} to "
            f"{percent(chosen.peak)}, for {chosen.weld / 1000.0:.2f} m of weld."
        )
    more = [o for o in options if len(o.pieces) > len(chosen.pieces) and o.peak < chosen.peak]
    if more:
        other = min(more, key=lambda o: (len(o.pieces), o.peak))
        said.append(
            f"{other.name}, with {len(other.pieces)} pieces, would bring it to "
            f"{percent(other.peak)} for {(other.weld - chosen.weld) / 1000.0:+.2f} m of weld."
        )
    return " ".join(said)
