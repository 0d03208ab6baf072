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
    return FieldPicture(vertices=samples.points[used], triangles=kept, flat=chart)


def _in_holes(
    samples: Samples, lines: RegionLines, used: Index, triangles: Index
) -> NDArray[np.bool_]:
    if not lines.holes:
        return np.zeros(len(triangles), dtype=bool)
    around = [np.searchsorted(used, samples.along(run)) for run in lines.holes]
    walls = np.vstack([np.column_stack([a, np.roll(a, -1)]) for a in around])
    return triangles_within(triangles, walls)
