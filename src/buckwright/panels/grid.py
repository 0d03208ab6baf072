"""The grid of a blank: straight lines on the flat sheet, and their lengths when it is formed."""

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.geometry.mesh import section_mesh
from buckwright.geometry.polyline import arc_lengths
from buckwright.model.grid import GridLine, PanelGrid
from buckwright.model.panels import Blank, Panel

__all__ = ["panel_grid", "usual_square"]

Array = NDArray[np.float64]

_SQUARES = (50.0, 100.0, 200.0)
_SMALL = 250.0
"""mm over all below which a blank gets squares of 25 mm."""
_MOST = 24
"""Squares along the longer side of a blank that are still read at a glance."""
_NEAR_EDGE = 3.0
"""mm; a crossing nearer to the edge than this is not marked: the edge itself is."""


def usual_square(blank: Blank) -> float:
    """Side of the squares that suit a blank, mm: 25 for a small one, 200 for a large one."""
    longest = float(np.ptp(blank.net_outline, axis=0).max())
    if longest < _SMALL:
        return 0.5 * _SQUARES[0]
    return next((side for side in _SQUARES if longest / side <= _MOST), _SQUARES[-1])


def panel_grid(panel: Panel, blank: Blank, *, square: float | None = None) -> PanelGrid:
    """Squares over the blank, along and across its grain, with their lengths on the panel.

    Parameters: `square`, mm, side of a square; left out, `usual_square`. Lines are counted from
    the middle of the net outline. A length is that of the mark laid on the panel: the image of
    the straight line on the blank, exact for the panel's triangles. For each way a strip is asked
    for the line through the middle and for the one along which the metal changes most.

    Raises ValueError for a square without size.
    """
    side = usual_square(blank) if square is None else square
    if not side > 0.0:
        message = "squares need a size above 0"
        raise ValueError(message)
    middle = np.asarray(shapely.Polygon(blank.net_outline).centroid.coords[0])
    low, high = blank.net_outline.min(axis=0), blank.net_outline.max(axis=0)
    values = [_values(low[axis], high[axis], middle[axis], side) for axis in (0, 1)]
    names = [
        [str(k + 1) for k in range(len(values[0]))],
        [_letters(k) for k in range(len(values[1]))],
    ]
    lines: list[GridLine] = []
    for way in (1, 0):
        for value, name in zip(values[way], names[way], strict=True):
            parts = _parts(panel, blank, way, float(value))
            lines += [
                _line(part, way, name + "'" * number, values[1 - way], names[1 - way])
                for number, part in enumerate(parts)
            ]
    chosen = {name for way in (1, 0) for name in _for_strips(lines, way, middle)}
    return PanelGrid(
        panel=panel.name,
        square=side,
        origin=(float(middle[0]), float(middle[1])),
        lines=tuple(
            line.model_copy(update={"strip": True}) if line.name in chosen else line
            for line in lines
        ),
    )


def _values(low: float, high: float, middle: float, side: float) -> Array:
    first = np.ceil((low + 1e-9 - middle) / side)
    last = np.floor((high - 1e-9 - middle) / side)
    return np.asarray(middle + side * np.arange(first, last + 1.0))


def _parts(panel: Panel, blank: Blank, way: int, value: float) -> list[Array]:
    """Pieces (k, 5) of the line where blank axis `way` is `value`: blank and panel together.

    Each runs towards greater x (way 1) or y (way 0); the first begins lowest.
    """
    both = np.hstack([blank.flat, panel.vertices])
    origin, normal = np.zeros(5), np.zeros(5)
    origin[way], normal[way] = value, 1.0
    along = 1 - way
    pieces = [
        line if line[0, along] < line[-1, along] else line[::-1]
        for line, closed in section_mesh(both, panel.triangles, origin=origin, normal=normal)
        if not closed
    ]
    return sorted(
        (piece for piece in pieces if piece[-1, along] - piece[0, along] > 2.0 * _NEAR_EDGE),
        key=lambda piece: float(piece[0, along]),
    )


def _line(part: Array, way: int, name: str, values: Array, names: list[str]) -> GridLine:
    along = part[:, 1 - way]
    inside = (values > along[0] + _NEAR_EDGE) & (values < along[-1] - _NEAR_EDGE)
    marks = np.concatenate([along[:1], values[inside], along[-1:]])
    crossed = [other for other, is_in in zip(names, inside, strict=True) if is_in]
    length = np.interp(marks, along, arc_lengths(part[:, 2:]))
    points = np.column_stack([np.interp(marks, along, part[:, d]) for d in range(5)])
    return GridLine(
        name=name,
        way="along" if way == 1 else "across",
        crossings=("edge", *crossed, "edge"),
        points=points[:, :2],
        places=points[:, 2:],
        blank_lengths=np.diff(marks),
        panel_lengths=np.diff(length),
    )


def _for_strips(lines: list[GridLine], way: int, middle: Array) -> list[str]:
    """Names of the line through the middle and of the one that changes most."""
    of_way = [line for line in lines if line.way == ("along" if way == 1 else "across")]
    if not of_way:
        return []
    central = min(
        of_way, key=lambda line: (abs(line.points[0, way] - middle[way]), -len(line.points))
    )
    busiest = max(
        of_way, key=lambda line: float(np.abs(line.panel_lengths - line.blank_lengths).sum())
    )
    return [central.name, busiest.name]


def _letters(count: int) -> str:
    """A, B, ... Z, AA, AB, ..."""
    word, left = "", count + 1
    while left:
        left, place = divmod(left - 1, 26)
        word = chr(ord("A") + place) + word
    return word
