"""What a blank is chosen for: four aims, each with what it promises."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import get_args

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.flatten import (
    FlatMesh,
    flatten_least_greatest,
    flatten_least_work,
    flatten_one_way,
)
from buckwright.model.panels import Aim, Panel, SheetStock
from buckwright.tables.r_values import RValue, find_r_value

__all__ = ["Aimed", "aim_words", "lay_flat", "r_value_of"]

Array = NDArray[np.float64]
Progress = Callable[[float], None]

_SLACK = 0.002
"""Log strain by which a blank that must only stretch may still shrink, and the other way."""
_ONE_WAY = {"stretch-only": 1.0, "shrink-only": -1.0}
"""Which way the map from panel to blank is held: a panel that only stretches has a blank whose
lengths are nowhere greater."""


@dataclass(frozen=True, slots=True)
class Aimed:
    """A panel laid flat for an aim, and the r-value that was counted with."""

    flat: FlatMesh
    r_value: RValue


def lay_flat(panel: Panel, sheet: SheetStock, *, aim: Aim, progress: Progress | None) -> Aimed:
    """The panel laid flat for its aim in the metal of the sheet.

    Raises ValueError for an aim that is none of the four.
    """
    if aim not in get_args(Aim):
        message = f"there is no aim '{aim}'"
        raise ValueError(message)
    r_value, mesh = r_value_of(sheet), (panel.vertices, panel.triangles)
    ratio = r_value.value
    if aim == "least-greatest":
        return Aimed(flatten_least_greatest(*mesh, progress=progress), r_value)
    if aim == "least-work":
        return Aimed(flatten_least_work(*mesh, normal_ratio=ratio, progress=progress), r_value)
    found = flatten_one_way(
        *mesh, sense=_ONE_WAY[aim], slack=_SLACK, normal_ratio=ratio, progress=progress
    )
    return Aimed(found, r_value)


def r_value_of(sheet: SheetStock) -> RValue:
    """The r-value typed for the sheet, or that of the tables, or 1: the same all round.

    Raises JobError for one that no metal has.
    """
    if sheet.r_value is not None:
        if not 0.1 <= sheet.r_value <= 5.0:
            raise JobError(
                f"No sheet metal has an r-value of {sheet.r_value:g}.",
                "Steel lies between 0.8 and 2.8, aluminium between 0.4 and 1; leave it out if "
                "it is not known.",
            )
        return RValue(sheet.r_value, "typed")
    found = find_r_value(sheet.alloy, sheet.thickness)
    return found or RValue(1.0, "not in the tables: taken as 1")


def aim_words(aim: Aim, major: Array, minor: Array) -> str:
    """What the aim promises, and how far it was kept, from the log strains blank to panel (m,)."""
    worst = float(np.expm1(max(np.abs(major).max(), np.abs(minor).max())))
    if aim == "least-work":
        return f"Least forming work in all; at the worst place {_percent(worst)}."
    if aim == "least-greatest":
        return f"Least strain at the worst place: {_percent(worst)}."
    wrong = -minor.min() if aim == "stretch-only" else major.max()
    kept = _percent(float(np.expm1(max(wrong, 0.0))), digits=2)
    word, other = ("Stretch", "shrink") if aim == "stretch-only" else ("Shrink", "stretch")
    return (
        f"{word} only: no place need {other} by more than {kept}; at the worst place it must "
        f"{word.lower()} {_percent(worst)}."
    )


def _percent(share: float, digits: int = 1) -> str:
    return f"{100.0 * share:.{digits}f} %"
