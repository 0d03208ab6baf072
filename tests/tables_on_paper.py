"""Wigley's form as tables of figures, half on the left.

y = B/2 (1 - (2x/L)^2) (1 - (z/T)^2): W. C. S. Wigley, 'Ship wave resistance', Trans. NECIES 47
(1931). Taken with L = 3,000, B = 1,200, T = 900 mm; its middle lies at x = 1,000.
"""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LEVELS = (0.0, 150.0, 300.0, 450.0, 600.0)
STATIONS = (0.0, 400.0, 800.0, 1200.0, 1600.0, 2000.0)
HEAD = "line,station_mm,half_breadth_mm,height_mm"


def half_breadth(x: Array, z: Array) -> Array:
    """The exact half-breadth, mm."""
    return np.asarray(600.0 * (1.0 - ((x - 1000.0) / 1500.0) ** 2) * (1.0 - (z / 900.0) ** 2))


def wigley_rows(step: float = 100.0) -> list[tuple[str, float, float, float]]:
    """Name, station, half-breadth, height: waterlines, and sections across them, on the left."""
    rows = []
    for level in LEVELS:
        for x in np.arange(0.0, 2000.0 + step / 2.0, step):
            rows.append((f"level {level:.0f} left", x, level))
    for station in STATIONS:
        for z in np.arange(0.0, 600.0 + 30.0, 60.0):
            rows.append((f"section {station:.0f} left", station, z))
    return [(name, x, float(half_breadth(x, z)), z) for name, x, z in rows]


def as_csv(
    rows: list[tuple[str, float, float, float]], head: str = HEAD, size: float = 1.0
) -> bytes:
    """The rows under a head, in units of `size` mm."""
    lines = [f"{name},{x / size:.6f},{y / size:.6f},{z / size:.6f}" for name, x, y, z in rows]
    return "\n".join([head, *lines]).encode()
