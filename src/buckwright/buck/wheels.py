"""The room that the wheels take, from the rims among the datum lines."""

from collections.abc import Sequence

import numpy as np

from buckwright.geometry.circle import fit_circle
from buckwright.model.buck import BuckSpec
from buckwright.model.finding import Finding
from buckwright.model.frame import Wheel
from buckwright.model.lines import LineNetwork

__all__ = ["find_wheels"]

ASPECT = 0.8
"""Height of a tyre's section over its width where nothing is told: cross-ply tyres have 0.8 to 1
(from memory; the measures are those of ISO 4000-1)."""
OUTSIDE = 0.15
"""Of the tyre's width: how far it bulges past the rim's outer flange, which the line follows."""


def find_wheels(
    spec: BuckSpec, network: LineNetwork, rims: Sequence[str]
) -> tuple[tuple[Wheel, ...], tuple[Finding, ...]]:
    """Wheels on both sides for closed rim lines of the network; a finding if a size is a guess.

    The tyre's outer radius is the height of the rim's centre over the ground unless told.
    """
    wheels, guessed = [], []
    for line in network.lines:
        if line.name not in rims or not line.closed:
            continue
        centre, _, rim, _ = fit_circle(line.points(181)[:-1])
        radius = spec.tyre_radius or float(centre[2])
        if radius <= rim:
            continue
        width = spec.tyre_width or (radius - rim) / ASPECT
        side = float(np.sign(centre[1])) or 1.0
        # From the bulge outside the flange to a whole width inside it: more than the tyre takes.
        across = abs(float(centre[1])) + width * (0.5 * OUTSIDE - 0.5)
        name = line.name.removesuffix(" left").removesuffix(" right")
        for s, word in ((side, "left" if side < 0.0 else "right"),) + (
            () if _has_twin(line.name, rims) else ((-side, "right" if side < 0.0 else "left"),)
        ):
            wheels.append(
                Wheel(
                    name=f"{name} {word}",
                    centre=np.array([centre[0], s * across, centre[2]]),
                    radius=radius,
                    width=width * (1.0 + OUTSIDE),
                )
            )
        if spec.tyre_radius is None or spec.tyre_width is None:
            guessed.append((name, radius, width))
    return tuple(wheels), tuple(_guess(*one) for one in guessed)


def _has_twin(name: str, rims: Sequence[str]) -> bool:
    swapped = name.replace(" left", " #").replace(" right", " left").replace(" #", " right")
    return swapped != name and swapped in rims


def _guess(name: str, radius: float, width: float) -> Finding:
    return Finding(
        code="tyre-guessed",
        where=name,
        message=f"Its tyre is taken as {radius:.0f} mm in radius, the height of the axle, and "
        f"{width:.0f} mm wide.",
        remedy="Measure the tyre, or read its size, and say both.",
    )
