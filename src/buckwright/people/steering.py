"""The steering wheel and the pedals, from where the driver sits."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.model.package import PackageSpec
from buckwright.people.seating import Seated

__all__ = ["SteeringWheel", "place_steering"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SteeringWheel:
    """A ring: centre and lowest point (3,), the unit direction up along its plane, radius."""

    centre: Array
    lowest: Array
    up: Array
    radius: float

    def ring(self, count: int = 49) -> Array:
        """(count, 3) points round the rim, the first repeated last."""
        turn = np.linspace(0.0, 2.0 * np.pi, count)[:, None]
        across = np.array([0.0, 1.0, 0.0])
        return np.asarray(
            self.centre + self.radius * (np.cos(turn) * self.up + np.sin(turn) * across)
        )


def place_steering(driver: Seated, spec: PackageSpec) -> SteeringWheel:
    """Square before the driver, its lower rim where the job says from seat and seat back.

    The reach is measured from the back of the trunk at the height of the lower rim.
    """
    height = spec.wheel_height
    back = driver.back + float(np.tan(spec.lean)) * height
    lowest = np.array([back - spec.wheel_reach, driver.y, driver.seat + height])
    up = np.array([-np.sin(spec.wheel_tilt), 0.0, np.cos(spec.wheel_tilt)])
    radius = 0.5 * spec.wheel_diameter
    return SteeringWheel(lowest + radius * up, lowest, up, radius)
