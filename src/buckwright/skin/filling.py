"""What lies between the lines before there is a skin: triangles from line to line, to look at."""

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.triangulation import conforming_triangles, triangles_within
from buckwright.model.fields import FieldPicture
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import RegionSpec
from buckwright.skin.layout import lay_out_lines
from buckwright.skin.region_lines import RegionLines, gather_lines
from buckwright.skin.sampling import Samples, sample_network

__all__ = ["picture_field"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

STEP, EDGE = 50.0, 25.0
"""mm between samples along lines, and the edge length for which ends count as meeting."""


def picture_field(network: LineNetwork, spec: RegionSpec) -> FieldPicture:
    """Triangles between the lines of a region or an open field, in space and laid flat.

    Holes are left open. Raises JobError where its lines bound nothing.
    """
    samples = sample_network(network, (spec,), edge_length=EDGE, step=STEP)
    lines, fields = gather_lines(samples, spec)
    try:
        used, chart = lay_out_lines(samples.points, fields)
        loop = np.searchsorted(used, fields.loop)
        rim = np.column_stack([loop, np.roll(loop, -1)])
        sides = np.searchsorted(used, lines.sides(samples))
        triangles = conforming_triangles(chart, rim, sides)
    except ValueError as error:
        raise JobError(
            f"The lines of '{spec.name}' cannot be laid flat ({error}).",
            "Look for lines that nearly touch, or leave one out.",
        ) from error
    kept = triangles[~_in_holes(samples, lines, used, triangles)]
    vertices = samples.points[used]
    return FieldPicture(vertices=vertices, triangles=kept, flat=_level(chart, vertices))


def _level(chart: Array, vertices: Array) -> Array:
    """The chart with its long side across and x growing along it, as far as it can."""
    middle = chart - chart.mean(axis=0)
    axis = np.linalg.svd(middle, full_matrices=False)[2][0]
    turned = middle @ np.column_stack([axis, [-axis[1], axis[0]]])
    lean = turned[:, 0] @ (vertices - vertices.mean(axis=0))
    strongest = int(np.argmax(np.abs(lean) > 0.2 * np.abs(lean).max()))
    return np.asarray(turned if lean[strongest] >= 0.0 else -turned)


def _in_holes(
    samples: Samples, lines: RegionLines, used: Index, triangles: Index
) -> NDArray[np.bool_]:
    if not lines.holes:
        return np.zeros(len(triangles), dtype=bool)
    around = [np.searchsorted(used, loop) for loop in lines.hole_loops(samples)]
    walls = np.vstack([np.column_stack([a, np.roll(a, -1)]) for a in around])
    return triangles_within(triangles, walls)
