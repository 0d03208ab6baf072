"""Panes: the plane or cylinder nearest to an outline, and the flat piece to cut."""

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.cylinder import Cylinder, fit_cylinder, flat_cylinder, lay_cylinder
from buckwright.model.openings import GlassSpec, Pane

__all__ = ["make_pane", "pane_surface"]

Array = NDArray[np.float64]

SLIVERS = 0.01
"""Share of a pane's area that may be lost to slivers in its corners."""
CORNER = 16
"""Straight pieces to a quarter circle where an outline is widened round a corner."""


def make_pane(loop: Array, spec: GlassSpec, *, outward: Array, metal: float, of: str) -> Pane:
    """The glass behind a loop (n, 3) on the skin's outside; `outward` (3,) points out of it.

    The best surface is that of the loop's points; the glass is its parallel, set in so far that
    its outer face stays `set_in` behind the metal's inner face all round. Raises JobError where
    the flat piece crosses itself or nothing of it is left.
    """
    flat = _inward(flat_cylinder(loop), outward)
    bent = _inward(fit_cylinder(loop), outward)
    if spec.radius is not None:
        level = np.cross(flat.axes[2], [0.0, 0.0, 1.0])
        bent = _inward(
            lay_cylinder(loop, along=level, curvature=_hollow(flat, spec.radius)), outward
        )
    surface = flat if spec.shape == "flat" else bent
    other = bent if spec.shape == "flat" else flat
    off = surface.off(loop)
    worst = int(np.argmax(np.abs(off)))
    placed = surface.moved(float(off.max()) + metal + spec.set_in + 0.5 * spec.thickness)
    outline = _flat_piece(placed.develop(loop), spec.overlap, of)
    place = loop[worst]
    return Pane(
        shape=spec.shape,
        origin=(float(placed.origin[0]), float(placed.origin[1]), float(placed.origin[2])),
        axes=placed.axes,
        curvature=placed.curvature,
        edge=loop,
        off=off,
        off_rms=float(np.sqrt(np.mean(off**2))),
        off_most=float(np.abs(off[worst])),
        off_at=(float(place[0]), float(place[1]), float(place[2])),
        off_other=float(np.abs(other.off(loop)).max()),
        stands_in=float(np.ptp(off)) + spec.set_in,
        outline=outline,
        area=float(shapely.Polygon(outline).area),
    )


def pane_surface(pane: Pane) -> Cylinder:
    """The surface in the middle of the glass; its normal points inward."""
    return Cylinder(np.array(pane.origin), np.asarray(pane.axes), pane.curvature)


def _inward(surface: Cylinder, outward: Array) -> Cylinder:
    return surface.turned_over() if surface.axes[2] @ outward > 0.0 else surface


def _hollow(flat: Cylinder, radius: float) -> float:
    """The curvature whose axis lies inside the vehicle, in the sense of the plane as it is fitted.

    A plane keeps the normal that its fit gave it, so the sign follows from whether that one
    pointed inward.
    """
    fitted = flat_cylinder(flat.origin + np.vstack([flat.axes[:2], -flat.axes[:2]]))
    return (1.0 if fitted.axes[2] @ flat.axes[2] > 0.0 else -1.0) / radius


def _flat_piece(flat: Array, overlap: float, of: str) -> Array:
    whole = shapely.get_parts(shapely.make_valid(shapely.Polygon(flat)))
    polygon = max(whole, key=lambda part: float(part.area))
    # Lines that run into a corner side by side may cross there: such slivers are let go.
    if polygon.area < (1.0 - SLIVERS) * sum(part.area for part in whole):
        raise JobError(
            f"The outline of the glass of '{of}' crosses itself when laid flat.",
            "Mend the lines round it.",
        )
    grown = polygon.buffer(overlap, quad_segs=CORNER)
    if grown.is_empty or grown.geom_type != "Polygon":
        raise JobError(
            f"With an overlap of {overlap:g} mm nothing whole is left of the glass of '{of}'.",
            "Give a greater overlap.",
        )
    ring = np.asarray(grown.exterior.coords)[:-1]
    return ring[::-1] if not grown.exterior.is_ccw else ring
