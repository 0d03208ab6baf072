"""The first flat layout of a region's lines, before there is any surface."""

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.chart import even_chart, tutte_layout, unevenness
from buckwright.geometry.triangulation import conforming_triangles
from buckwright.skin.fields import Fields

__all__ = ["lay_out_lines", "refuse_overlap"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

ROUNDS = 20
"""Times the triangles between the lines are drawn anew; three to eight are usual."""


def lay_out_lines(points: Array, fields: Fields) -> tuple[Index, Array]:
    """Vertices on the region's lines (k,), ascending, and a flat place for each (k, 2), mm.

    Every field is filled with a fan of triangles from its middle and the whole laid flat by
    Tutte's theorem, without a fold. From there on the lines' vertices alone are joined by
    triangles in the layout, which is eased towards their true lengths, and again, until it
    settles. Lines do not cross in the layout, and the outer loop runs counter-clockwise.
    """
    used = np.unique(np.concatenate(fields.walks))
    local = np.full(len(points), -1, dtype=np.int64)
    local[used] = np.arange(len(used))
    walks = [local[walk] for walk in fields.walks]
    loop = local[fields.loop]
    rim = np.column_stack([loop, np.roll(loop, -1)])
    around = [np.column_stack([walk, np.roll(walk, -1)]) for walk in walks]
    sides = np.unique(np.sort(np.vstack(around), axis=1), axis=0)
    vertices, triangles = _fans(points[used], walks)
    start = tutte_layout(vertices, triangles, loop)
    chart = even_chart(vertices, triangles, start, rounds=3)[: len(used)]
    last = np.inf
    for _ in range(ROUNDS):
        between = conforming_triangles(chart, rim, sides)
        chart = even_chart(points[used], between, chart, rounds=8)
        energy = unevenness(points[used], between, chart)
        if energy >= 0.9 * last:
            break
        last = energy
    return used, chart


def _fans(points: Array, walks: list[Index]) -> tuple[Array, Index]:
    """A triangle mesh over the fields: a fan in each, inside a ring where a vertex repeats."""
    parts, triangles, count = [points], [], len(points)
    for walk in walks:
        rim, middle = walk, points[walk].mean(axis=0)
        if len(np.unique(walk)) < len(walk):
            rim = np.arange(count, count + len(walk))
            parts.append(0.7 * points[walk] + 0.3 * middle)
            count += len(walk)
            following = np.roll(rim, -1)
            triangles.append(np.column_stack([walk, np.roll(walk, -1), following]))
            triangles.append(np.column_stack([walk, following, rim]))
        parts.append(middle[None])
        triangles.append(np.column_stack([rim, np.roll(rim, -1), np.full(len(rim), count)]))
        count += 1
    return np.vstack(parts), np.vstack(triangles).astype(np.int64)


def refuse_overlap(region: str, outline: Array) -> None:
    """JobError where the outline (k, 2) of a region laid flat crosses itself."""
    if not shapely.LinearRing(outline).is_simple:
        raise JobError(
            f"Laid flat, '{region}' overlaps itself.", "Divide the region in two along a line."
        )
