"""How an area is bent, in the trade's words: flat, rolled, crowned, reverse."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.panels.bend import FLAT, Bends

__all__ = ["AreaBend", "anvil_words", "bend_of", "bend_words", "round_radius"]

_SLACK = 8.0
"""An area whose slacker radius is this many times the tighter is rolled, not wheeled."""

_FLATTEST = 1000.0
"""mm, radius beyond which anvils are all but flat (from memory)."""


@dataclass(frozen=True, slots=True)
class AreaBend:
    """How an area is bent; radii mm, negative where the metal bends towards the outside.

    Attributes: kind; radii, middle values of the tighter and the slacker, 0 where flat; anvil, the
    radius of the wheel's lower anvil, 0 where the wheel has no work.
    """

    kind: Literal["flat", "rolled", "crowned", "reverse"]
    radii: tuple[float, float]
    anvil: float


def bend_of(bends: Bends, members: NDArray[np.int64]) -> AreaBend:
    """How the metal at the vertices `members` is bent, by middle values.

    The wheel runs along the slacker way and its lower anvil lies across, so the anvil has the
    tighter radius; a flatter one marks the edges of each pass, a tighter one takes more passes.
    """
    # In a reverse place either curvature may be the tighter, so they are sorted by sign first.
    both = np.sort(np.column_stack([bends.tight[members], bends.slack[members]]), axis=1)
    slack, tight = sorted(np.median(both, axis=0).tolist(), key=abs)
    radii = (_radius(tight), _radius(slack))
    if radii[0] == 0.0:
        return AreaBend("flat", radii, 0.0)
    if radii[1] == 0.0 or abs(radii[1]) > _SLACK * abs(radii[0]):
        return AreaBend("rolled", radii, 0.0)
    kind: Literal["crowned", "reverse"] = "crowned" if tight * slack > 0.0 else "reverse"
    return AreaBend(kind, radii, abs(radii[0]))


def bend_words(bend: AreaBend) -> str:
    """What is done with an area that needs neither stretch nor shrink."""
    tight, slack = (round_radius(abs(radius)) for radius in bend.radii)
    inward = "" if bend.radii[0] >= 0.0 else ", hollow side out"
    if bend.kind == "flat":
        return "leave flat"
    if bend.kind == "rolled":
        return f"bend only: roll to a radius of {tight} mm{inward}"
    if bend.kind == "crowned":
        return f"bend only: {tight} mm one way, {slack} mm the other{inward}"
    return f"bend only: {tight} mm one way, {slack} mm the other way round (reverse)"


def anvil_words(radius: float) -> str:
    """Which lower anvil suits a panel whose tighter radius is that (mm)."""
    if radius > _FLATTEST:
        return "the flattest lower anvil"
    return f"lower anvil of {round_radius(radius)} mm radius, or the next tighter"


def round_radius(radius: float) -> str:
    """A radius to two figures, as `450` or `1,200`."""
    if radius <= 0.0:
        return "0"
    step = 10.0 ** np.floor(np.log10(radius) - 1.0)
    return f"{step * round(radius / step):,.0f}"


def _radius(curvature: float) -> float:
    return 0.0 if abs(curvature) < 1.0 / FLAT else 1.0 / curvature
