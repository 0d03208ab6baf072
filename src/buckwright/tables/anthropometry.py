"""How broad people are: counts of measured breadths, to the millimetre.

`breadths.csv` holds how many women and men of ANSUR II have each breadth: bideltoid breadth (over
the shoulders) and forearm to forearm breadth, seated. The counts are of the public data of the
2012 survey of the US Army (Gordon et al. 2014, NATICK/TR-15/007; 1,986 women, 4,082 men; approved
for public release). They are soldiers, undressed: heavier and older people are broader.

The two sexes must be pooled as two distributions, half and half, never as one mean and one
standard deviation: the survey holds twice as many men as women, and the sum is no normal curve.
"""

from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.tables.rows import table_rows

__all__ = [
    "BREADTH_SOURCE",
    "Breadth",
    "Sex",
    "breadth_counts",
    "breadth_percentile",
    "share_abreast",
]

Array = NDArray[np.float64]
Breadth = Literal["bideltoid", "forearm"]
Sex = Literal["women", "men"]

BREADTH_SOURCE = "ANSUR II, Gordon et al. 2014, NATICK/TR-15/007"


@cache
def breadth_counts(breadth: Breadth, sex: Sex) -> tuple[Array, Array]:
    """Breadths in mm, one apart (n,), and how many people have each (n,)."""
    rows = table_rows("breadths.csv")
    millimetres = np.array([float(row["mm"]) for row in rows])
    counts = np.array([float(row[f"{breadth}_{sex}"]) for row in rows])
    millimetres.setflags(write=False)
    counts.setflags(write=False)
    return millimetres, counts


def breadth_percentile(breadth: Breadth, sex: Sex, percent: float) -> float:
    """Breadth in mm that `percent` of the sex do not exceed, linear between people."""
    millimetres, counts = breadth_counts(breadth, sex)
    everyone = np.repeat(millimetres, counts.astype(np.int64))
    return float(np.percentile(everyone, percent))


def share_abreast(breadth: Breadth, room: float, *, people: int = 2) -> float:
    """Share of random groups whose breadths add up to `room` mm at most.

    Each person is a woman or a man with even chance. Exact: the table of both sexes, half and
    half, convolved with itself. Raises ValueError for fewer than one person.
    """
    if people < 1:
        message = "a group needs one person at least"
        raise ValueError(message)
    millimetres, _ = breadth_counts(breadth, "women")
    one = sum(
        0.5 * counts / counts.sum()
        for counts in (breadth_counts(breadth, sex)[1] for sex in ("women", "men"))
    )
    share = np.asarray(one)
    for _ in range(people - 1):
        share = np.convolve(share, one)
    needed = people * millimetres[0] + np.arange(len(share))
    return float(min(1.0, share[needed <= room + 1e-9].sum()))
