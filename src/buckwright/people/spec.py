"""Numbers of seats, steering and wheels that cannot be."""

import numpy as np

from buckwright.errors import JobError
from buckwright.model.package import PackageSpec

__all__ = ["SPEC_LIMITS", "check_spec"]

SPEC_LIMITS: dict[str, tuple[str, float, float]] = {
    "lean": ("lean of the seat back", -0.2, 0.9),
    "relaxed": ("settling of someone at ease", 0.0, 150.0),
    "head_room": ("head room", 0.0, 400.0),
    "roof_lining": ("thickness of the roof lining", 0.0, 150.0),
    "seat_thickness": ("thickness of the seat", 10.0, 400.0),
    "floor": ("height of the floor", -500.0, 1500.0),
    "dash": ("station of the dashboard", -2000.0, 6000.0),
    "wheel_diameter": ("diameter of the steering wheel", 200.0, 700.0),
    "wheel_reach": ("distance from seat back to steering wheel", 150.0, 900.0),
    "wheel_height": ("height of the steering wheel over the seat", 80.0, 600.0),
    "wheel_tilt": ("tilt of the steering wheel", -0.3, 1.5),
    "post_trim": ("trim of the screen post", 0.0, 100.0),
    "glass_thickness": ("thickness of the glass", 2.0, 20.0),
    "glass_clearance": ("clearance of the glass", 0.0, 60.0),
    "tyre_radius": ("radius of the tyre", 100.0, 800.0),
    "tyre_width": ("width of the tyre", 40.0, 500.0),
    "lock": ("steering lock", 0.0, 1.2),
    "kingpin": ("distance from tyre to kingpin", 0.0, 300.0),
    "bump": ("bump travel", 0.0, 300.0),
    "rebound": ("rebound travel", 0.0, 300.0),
    "tyre_clearance": ("clearance of the tyre", 0.0, 150.0),
    "engine_clearance": ("clearance of the engine", 0.0, 150.0),
}
"""Words, and the least and most in mm or radians; beyond is a slip of the pen."""


def check_spec(spec: PackageSpec) -> None:
    """Raises JobError for a number that cannot be, or an engine box without a size."""
    for field, (words, least, most) in SPEC_LIMITS.items():
        value = getattr(spec, field)
        if value is not None and not least <= value <= most:
            raise JobError(
                f"The {words} cannot be {_told(field, value)}.",
                f"It lies between {_told(field, least)} and {_told(field, most)}.",
            )
    box = spec.engine
    if box is not None and not all(
        np.isfinite([a, b]).all() and a < b for a, b in zip(box.low, box.high, strict=True)
    ):
        raise JobError(
            "The engine box has no size.", "Give its front, left and lower corner first."
        )


def _told(field: str, value: float) -> str:
    if field in {"lean", "wheel_tilt", "lock"}:
        return f"{np.rad2deg(value):.0f} degrees"
    return f"{value:g} mm"
