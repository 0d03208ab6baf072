"""What the inner frame is made of: square tube, or strip folded lengthwise to an angle."""

from dataclasses import dataclass
from typing import Literal

from buckwright.errors import JobError
from buckwright.model.buck import BuckSpec
from buckwright.tables.steel import DENSITY, tube_mass_per_mm

__all__ = ["FrameStock", "frame_stock", "strip_width"]


@dataclass(frozen=True, slots=True)
class FrameStock:
    """Stock of the members: both kinds fill a square of `side` mm, so that they fit alike."""

    kind: Literal["square tube", "folded strip"]
    side: float
    words: str
    mass_per_mm: float
    strip: float
    """mm to slit the strip to; 0 for tube."""


def strip_width(side: float, thickness: float) -> float:
    """Flat width of a strip that folds to an equal angle with legs of `side`, mm.

    Folded over a radius of its own thickness; bend allowance (0.01743 R + 0.0078 T) for each
    degree (FAA-H-8083-31, aviation maintenance handbook, 'layout and forming').
    """
    radius = thickness
    allowance = 90.0 * (0.01743 * radius + 0.0078 * thickness)
    return 2.0 * (side - radius - thickness) + allowance


def frame_stock(spec: BuckSpec) -> FrameStock:
    """The stock that the spec asks for. Raises JobError for a section that cannot be."""
    side, wall = spec.frame_section, spec.frame_wall
    if spec.frame_kind == "square tube":
        words = f"{side:g} x {wall:g} mm square tube"
        return FrameStock("square tube", side, words, tube_mass_per_mm(side, wall), 0.0)
    if not 0.0 < 4.0 * wall < side:
        raise JobError(
            f"A strip of {wall:g} mm does not fold to legs of {side:g} mm.",
            "Give legs of four thicknesses at least.",
        )
    strip = strip_width(side, wall)
    words = f"{strip:.1f} x {wall:g} mm strip folded to {side:g} mm angle"
    # Area t (2 a - t) of an angle with sharp corners, as mass tables have it.
    return FrameStock("folded strip", side, words, wall * (2.0 * side - wall) * DENSITY, strip)
