"""Body sizes of seated people: how many women and men have each, to the millimetre.

`body_sizes.csv` holds counts made from the public data of ANSUR II (Gordon et al. 2014,
NATICK/TR-15/007: 1,986 women, 4,082 men of the US Army, 2012; approved for public release).
They are soldiers, undressed. Women and men are two distributions and are never pooled into one
mean and deviation; where neither is known, the two count half and half.
Names of the sizes are those of the survey and of ISO 7250-1 (`body_size_names.csv`).
"""

from functools import cache
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from buckwright.tables.rows import table_rows

__all__ = [
    "CREWS",
    "SIZE_SOURCE",
    "Crew",
    "SizeName",
    "Who",
    "share_crew",
    "size_counts",
    "size_names",
    "size_percentile",
]

Array = NDArray[np.float64]
Who = Literal["woman", "man", "either"]
Crew = tuple[Who, ...]

SIZE_SOURCE = "ANSUR II, Gordon et al. 2014, NATICK/TR-15/007"

CREWS: dict[str, Crew] = {
    "two men": ("man", "man"),
    "a woman and a man": ("woman", "man"),
    "two women": ("woman", "woman"),
    "any two": ("either", "either"),
}
"""Pairs by the names they are spoken of."""

_SEX = {"woman": "women", "man": "men"}


class SizeName(NamedTuple):
    """A body size by its names in the survey and in ISO 7250-1 (clause from memory, but 4.2.9)."""

    key: str
    field: str
    """Of `Person`."""
    ansur: str
    iso: str
    clause: str
    note: str


@cache
def size_names() -> tuple[SizeName, ...]:
    """Every size in the table, in its order."""
    rows = table_rows("body_size_names.csv")
    return tuple(SizeName(**{field: row[field] for field in SizeName._fields}) for row in rows)


@cache
def size_counts(key: str, sex: Literal["woman", "man"]) -> tuple[float, Array]:
    """The least size in mm, and how many people have it and each millimetre above (n,).

    Raises KeyError for a size that the table has not.
    """
    for row in table_rows("body_sizes.csv"):
        if row["key"] == key and row["sex"] == _SEX[sex]:
            counts = np.array(row["counts"].split(), dtype=np.float64)
            counts.setflags(write=False)
            return float(row["first_mm"]), counts
    raise KeyError(key)


def size_percentile(key: str, who: Who, percent: float) -> float:
    """Size in mm that `percent` of them do not exceed.

    Of one sex linear between people, as numpy has it; of either, the least size that so many of
    both sexes, half and half, do not exceed. Raises ValueError outside 0 to 100.
    """
    if not 0.0 <= percent <= 100.0:
        message = "a percentile lies between 0 and 100"
        raise ValueError(message)
    if who != "either":
        first, counts = size_counts(key, who)
        sizes = first + np.arange(len(counts))
        return float(np.percentile(np.repeat(sizes, counts.astype(np.int64)), percent))
    first, shares = _shares(key, who)
    # A whisker against rounding in the running sum.
    place = int(np.searchsorted(np.cumsum(shares), percent / 100.0 - 1e-12))
    return first + min(place, len(shares) - 1)


def share_crew(key: str, crew: Crew, room: float) -> float:
    """Share of random crews whose sizes add up to `room` mm at most: exact, by convolution.

    Raises ValueError for a crew of nobody.
    """
    if not crew:
        message = "a crew needs one person at least"
        raise ValueError(message)
    first, share = _shares(key, crew[0])
    for who in crew[1:]:
        other, more = _shares(key, who)
        first, share = first + other, np.convolve(share, more)
    needed = first + np.arange(len(share))
    return float(min(1.0, share[needed <= room + 1e-9].sum()))


def _shares(key: str, who: Who) -> tuple[float, Array]:
    """The least size, and the share of people at it and at each millimetre above."""
    if who != "either":
        first, counts = size_counts(key, who)
        return first, counts / counts.sum()
    parts = [_shares(key, "woman"), _shares(key, "man")]
    low = min(first for first, _ in parts)
    high = max(first + len(share) for first, share in parts)
    both = np.zeros(int(high - low))
    for first, share in parts:
        start = int(first - low)
        both[start : start + len(share)] += 0.5 * share
    return low, both
