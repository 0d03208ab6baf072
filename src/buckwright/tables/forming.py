"""How far sheet can be formed: necking, the forming limit of steel, annealing, the wheel.

Each row says where its numbers come from; `memory` means that nobody opened the page.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from buckwright.tables.rows import table_rows

__all__ = [
    "FLD_SOURCE",
    "Annealing",
    "annealing_of",
    "forming_limit",
    "forming_limit_at",
    "uniform_elongation",
]

FLD_SOURCE = (
    "FLD0 Keeler and Brazier 1977 (formula found in a teaching text, n counted to 0.21 and "
    "thickness to 3 mm at most); branches found in AHSS Guidelines, 'Forming Limit Curves': "
    "constant thinning on the left, slope 0.6 on the right to 20 % minor strain"
)

_RIGHT_SLOPE = 0.6
_RIGHT_END = float(np.log(1.2))
"""Minor true strain to which the slope on the right is sourced; the curve is level beyond."""


@dataclass(frozen=True, slots=True)
class Annealing:
    """How one family of metal is softened: degrees Celsius, words, source.

    `melting_c` is where melting begins, None where that is far above.
    """

    family: str
    low_c: float
    high_c: float
    melting_c: float | None
    method: str
    caution: str
    source: str

    @property
    def heat(self) -> str:
        """`413 °C`, or `595 to 705 °C`."""
        if self.low_c == self.high_c:
            return f"{self.low_c:.0f} °C"
        return f"{self.low_c:.0f} to {self.high_c:.0f} °C"


@cache
def annealing_of(family: str) -> Annealing | None:
    """The row for a family of metal; None if the table does not have it."""
    for row in table_rows("annealing.csv"):
        if row["family"] == family:
            melting = row["melting_c"]
            return Annealing(
                family,
                float(row["low_c"]),
                float(row["high_c"]),
                float(melting) if melting else None,
                row["soft_method"],
                row["caution"],
                row["source"],
            )
    return None


def uniform_elongation(hardening: float) -> float:
    """Stretch at which a pulled strip begins to neck, as a fraction: exp(n) - 1.

    For metal with stress = K strain^n necking begins at a true strain of n (Considere).
    """
    if hardening < 0.0:
        message = "a strain-hardening exponent cannot be negative"
        raise ValueError(message)
    return float(np.expm1(hardening))


def forming_limit(thickness: float, hardening: float) -> float:
    """Greatest stretch (a fraction) with no strain across it, low-carbon steel only.

    (23.3 + 14.13 t) n / 0.21 percent, with t (mm) counted to 3 and n to 0.21 at most. Keeler and
    Brazier, 'Relationship between laboratory material characterization and press-shop
    formability', Microalloying 75 (1977).
    """
    t, n = min(thickness, 3.0), min(hardening, 0.21)
    return 0.01 * (23.3 + 14.13 * t) * n / 0.21


def forming_limit_at(minor: NDArray[np.float64], limit: float) -> NDArray[np.float64]:
    """Greatest major true strain at minor true strains, from the plane-strain limit (a fraction).

    Low-carbon steel only. Left of zero the sheet thins by the same amount everywhere along the
    curve, so the limit rises by what the minor strain falls; right of it the limit rises by 0.6 of
    the minor strain, to a minor strain of 20 percent, and is level beyond. Source: AHSS
    Guidelines, section on forming limit curves.
    """
    base = np.log1p(limit)
    right = _RIGHT_SLOPE * np.clip(minor, 0.0, _RIGHT_END)
    return np.asarray(base + right - np.minimum(minor, 0.0))
