"""What an opening may ask for: sizes that make sense, refused with a sentence where they do not."""

import numpy as np

from buckwright.errors import JobError
from buckwright.model.openings import GlassSpec, OpeningSpec

__all__ = ["GLASS_LIMITS", "LIMITS", "check_opening"]

LIMITS: dict[str, tuple[str, float, float]] = {
    "gap": ("shut gap", 0.5, 40.0),
    "drain": ("drain gap along the bottom", 0.5, 40.0),
    "thickness": ("thickness of the part", 3.0, 250.0),
    "metal": ("thickness of the metal", 0.0, 6.0),
}
"""What each length of an opening is called, and mm between which it must lie."""

GLASS_LIMITS: dict[str, tuple[str, float, float]] = {
    "thickness": ("thickness of the glass", 2.0, 30.0),
    "overlap": ("overlap of the glass", -40.0, 60.0),
    "set_in": ("set-in of the glass", 0.0, 60.0),
    "clearance": ("clearance of the glass", 0.0, 40.0),
}


def check_opening(spec: OpeningSpec) -> None:
    """Raise JobError for sizes that are not numbers or out of reason."""
    _lengths(spec, LIMITS, spec.name)
    if spec.hinge is not None:
        swing = spec.hinge.swing
        if not (np.isfinite(swing) and 0.01 <= swing <= np.pi):
            raise JobError(
                f"The swing of '{spec.name}' cannot be {np.degrees(swing):g} degrees.",
                "Give 1 to 180 degrees.",
            )
    if spec.glass is not None:
        _glass(spec.glass, spec.name)


def _glass(glass: GlassSpec, name: str) -> None:
    _lengths(glass, GLASS_LIMITS, name)
    if glass.drop is not None and not (np.isfinite(glass.drop) and 0.0 < glass.drop <= 2000.0):
        raise JobError(
            f"The glass of '{name}' cannot drop by {glass.drop:g} mm.",
            "Give something from 1 mm to 2000 mm.",
        )
    if glass.radius is not None and not (np.isfinite(glass.radius) and glass.radius >= 200.0):
        raise JobError(
            f"The glass of '{name}' cannot be bent to {glass.radius:g} mm.",
            "Give a radius of 200 mm or more.",
        )


def _lengths(
    spec: OpeningSpec | GlassSpec, limits: dict[str, tuple[str, float, float]], name: str
) -> None:
    for field, (words, low, high) in limits.items():
        value = float(getattr(spec, field))
        if not (np.isfinite(value) and low <= value <= high):
            raise JobError(
                f"The {words} of '{name}' cannot be {value:g} mm.",
                f"Give something from {low:g} mm to {high:g} mm.",
            )
