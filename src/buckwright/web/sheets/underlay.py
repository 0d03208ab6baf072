"""The outline that all traced silhouettes leave of the body, as each view shows it."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.flow.views import hull_of_job
from buckwright.lines.departing import moved_along
from buckwright.model.job import Job, Products
from buckwright.model.lines import Departure, Placement
from buckwright.model.pictures import Calibration, MeasuredLine, Trace
from buckwright.model.views import Hull
from buckwright.web.words import rounded

__all__ = ["outline_in_views", "silhouettes", "underlay_content"]

Array = NDArray[np.float64]

AXES = ("x", "y", "z")
VIEWS = {"side": (0, 2), "front": (1, 2), "plan": (0, 1)}
"""Which coordinates each view shows; from behind the outline is that from the front."""
LEAST_RING = 2500.0
"""mm^2; smaller islands and holes are left by the grid alone."""


def silhouettes(job: Job) -> int:
    """In how many pictures the body's outline was traced and closed."""
    return len({one.picture for one in job.traces if one.kind == "silhouette" and one.closed})


def underlay_content(job: Job, products: Products) -> dict[str, Any]:
    """Rings per view in mm of the body as it will be built, and how coarse they are.

    Raises JobError where there are too few outlines, or no pictures worked out.
    """
    reference, calibration = products.lines, products.calibration
    if reference is None or calibration is None:
        return {"views": {}, "pictures": 0, "cell": 0.0}
    told = tuple(one for one in job.traces if one.kind == "silhouette")
    hull = _hull(_Question(told, calibration, products.measured))
    zones = reference.zones_in_force(job.departures)
    points = _built(hull.vertices, reference.placement, zones)
    return {
        "views": {
            name: [rounded(ring, 1) for ring in outline_in_views(points, hull.triangles, axes)]
            for name, axes in VIEWS.items()
        },
        "pictures": len(hull.pictures),
        "cell": hull.cell * reference.placement.scale,
    }


class _Question:
    """Outlines, cameras and lines, alike if they are the very same."""

    def __init__(
        self,
        traces: Sequence[Trace],
        calibration: Calibration,
        measured: tuple[MeasuredLine, ...],
    ) -> None:
        self.traces, self.calibration, self.measured = traces, calibration, measured
        self.key = (tuple(one.model_dump_json() for one in traces), id(calibration), id(measured))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Question) and self.key == other.key

    def __hash__(self) -> int:
        return hash(self.key)


@lru_cache(maxsize=1)
def _hull(question: _Question) -> Hull:
    return hull_of_job(question.traces, question.calibration, question.measured)


def _built(mat: Array, placement: Placement, zones: tuple[Departure, ...]) -> Array:
    """(n, 3) points of the mat at full size, departures included."""
    points = placement.scale * (mat - placement.origin) @ np.asarray(placement.rotation).T
    for axis, name in enumerate(AXES):
        mine = tuple(zone for zone in zones if zone.axis == name)
        if mine:
            points[:, axis] = moved_along(points[:, axis], mine)
    return points


def outline_in_views(
    points: Array, triangles: NDArray[np.int64], axes: tuple[int, int]
) -> list[Array]:
    """Closed rings (k, 2) round what the mesh covers as seen along the axis that is not named."""
    corners = points[:, axes][triangles]
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    # Every ray through a closed body meets as many faces this way as that.
    facing = corners[area > 1e-6]
    whole = shapely.union_all(shapely.polygons(facing))
    rings = []
    for part in shapely.get_parts(whole):
        if part.geom_type != "Polygon":
            continue
        rings += [ring for ring in (part.exterior, *part.interiors) if _large(ring)]
    return [np.asarray(shapely.get_coordinates(ring)) for ring in rings]


def _large(ring: shapely.LinearRing) -> bool:
    return bool(shapely.Polygon(ring).area > LEAST_RING)
