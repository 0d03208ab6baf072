"""A part from a mesh, without any job, as a region that gauges can be made for."""

import numpy as np
from numpy.typing import NDArray

from buckwright.gauges.cards import ACROSS
from buckwright.geometry.mesh import triangle_areas, triangle_normals
from buckwright.model.finding import Finding
from buckwright.model.panels import Panel
from buckwright.model.skin import Skin, SkinRegion

__all__ = ["part_findings", "part_skin"]

Array = NDArray[np.float64]

SMALLEST, LARGEST = 120.0, 6000.0
"""mm over all between which a body panel lies."""


def part_skin(panel: Panel, *, right: bool = False) -> Skin:
    """The part as the left region of a skin; one from the right side is mirrored across y = 0.

    The region's flat picture is its view from outside, which folds where the part wraps round.
    """
    vertices, triangles = panel.vertices, panel.triangles
    if right:
        vertices, triangles = vertices * ACROSS, triangles[:, ::-1]
    region = SkinRegion(
        name=panel.name,
        side="left",
        vertices=vertices,
        triangles=triangles,
        chart=vertices @ _view(vertices, triangles).T,
        boundary=(),
        inner=(),
        holes=(),
        line_error_most=0.0,
        line_error_rms=0.0,
    )
    return Skin(regions=(region,))


def _view(vertices: Array, triangles: NDArray[np.int64]) -> Array:
    """(2, 3) across and up the paper for someone who looks at the outside."""
    areas = triangle_areas(vertices, triangles)
    mean = areas @ triangle_normals(vertices, triangles)
    size = float(np.linalg.norm(mean))
    # Seen from the left where no side is the outside more than another.
    towards = mean / size if size > 1e-6 * areas.sum() else np.array([0.0, -1.0, 0.0])
    along = np.eye(3)[0 if abs(towards[0]) < 0.9 else 1]
    across = along - (along @ towards) * towards
    across /= np.linalg.norm(across)
    return np.stack([across, np.cross(towards, across)])


def part_findings(panel: Panel) -> tuple[Finding, ...]:
    """A doubt about the part's units where its size is none that a body panel has."""
    size = float(np.ptp(panel.vertices, axis=0).max())
    if SMALLEST <= size <= LARGEST:
        return ()
    factor = 25.4 if size < SMALLEST <= size * 25.4 else 1000.0 if size < SMALLEST else 1.0 / 25.4
    asked = {25.4: "are its units inches?", 1000.0: "are its units metres?"}.get(
        factor, "was it scaled from inches twice?"
    )
    return (
        Finding(
            code="likely-wrong-units",
            where=panel.name,
            message=f"The part measures {size:.4g} mm over all: {asked}",
            remedy=f"If so, multiply its mesh by {factor:.4g} ({size * factor:.0f} mm).",
        ),
    )
