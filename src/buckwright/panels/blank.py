"""The flat piece for a panel, and where its metal must move."""

from collections.abc import Callable
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.flatten import flatten_least_greatest, flatten_least_work
from buckwright.geometry.mesh import boundary_loops, triangle_areas
from buckwright.geometry.strain import hencky_measure, map_matrices, shape_gradients, stretch_of
from buckwright.model.panels import Blank, Panel, SheetStock
from buckwright.panels.bend import least_radius
from buckwright.panels.disc import check_disc
from buckwright.panels.doubts import blank_findings
from buckwright.panels.outline import allowed_outline, lay_along
from buckwright.panels.shape_map import FlatPanel, map_areas
from buckwright.panels.verdict import judge, known_metal

__all__ = ["flatten_panel"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Aim = Literal["least-work", "least-greatest"]

_FLATTEN = {"least-work": flatten_least_work, "least-greatest": flatten_least_greatest}


def flatten_panel(
    panel: Panel,
    sheet: SheetStock,
    *,
    allowance: float,
    aim: Aim = "least-work",
    progress: Callable[[float], None] | None = None,
) -> Blank:
    """The blank of a panel in a sheet, outside up, with its shape map.

    Parameters: `allowance`, mm of metal added all round; `aim`, `least-work` for the least total
    of squared strain (the area integral of e1^2 + e2^2 + e1 e2, logarithmic strains, isotropic
    metal that keeps its volume, boundary free), `least-greatest` for the least greatest strain;
    `progress`, called with the share done. Strains count from the blank to the panel.

    Raises JobError for a panel that cannot be laid flat (not one piece with one edge all round)
    and for an alloy or thickness that the tables do not have.
    """
    check_disc(panel)
    metal = known_metal(sheet)
    found = _FLATTEN[aim](panel.vertices, panel.triangles, progress=progress)
    rim = boundary_loops(panel.triangles)[0]
    flat = lay_along(found.points, rim, panel.vertices)
    major, minor, direction = _strain(panel, flat)
    areas = triangle_areas(panel.vertices, panel.triangles)
    flat_areas = triangle_areas(flat, panel.triangles)
    change, radius = areas / flat_areas - 1.0, least_radius(panel.vertices, panel.triangles)
    shown = FlatPanel(panel.vertices, flat, panel.triangles, rim, change, major, minor, radius)
    net = flat[rim]
    outline = allowed_outline(net, allowance)
    return Blank(
        panel=panel.name,
        flat=flat,
        outline=outline,
        net_outline=net,
        area_change=change,
        strain_major=major,
        strain_minor=minor,
        major_direction=direction,
        bend_radius=radius,
        work_density=float(areas @ hencky_measure(major, minor)[0] / areas.sum()),
        area=float(areas.sum()),
        blank_area=float(flat_areas.sum()),
        flipped=int(np.count_nonzero(flat_areas <= 0.0)),
        areas=map_areas(shown),
        verdict=judge(metal, major, minor),
        mass=_ring_area(outline) * sheet.thickness * metal.alloy.density,
        thickness=tuple(sheet.thickness / (1.0 + c) for c in (change.max(), change.min())),
        findings=blank_findings(panel, sheet, net, outline, settled=found.settled),
    )


def _strain(panel: Panel, flat: Array) -> tuple[Array, Array, Array]:
    """Principal log strains from blank to panel (m,), larger first, and the larger's direction."""
    _, gradients = shape_gradients(panel.vertices, panel.triangles)
    stretch = stretch_of(flat, panel.triangles, map_matrices(gradients))
    # The map from panel to blank shortens most where the map back lengthens most.
    longest, shortest = stretch.logs()
    angle = stretch.major_angle() + 0.5 * np.pi
    return -shortest, -longest, np.stack([np.cos(angle), np.sin(angle)], axis=1)


def _ring_area(ring: Array) -> float:
    x, y = ring[:, 0], ring[:, 1]
    return float(0.5 * (x @ np.roll(y, -1) - y @ np.roll(x, -1)))
