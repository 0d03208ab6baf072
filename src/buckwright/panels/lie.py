"""How a blank is turned on the sheet: its grain as asked, and so that the sheet holds it."""

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.strain import shape_gradients
from buckwright.model.finding import Finding
from buckwright.model.panels import Grain, Panel, SheetStock
from buckwright.panels.outline import lay_along

__all__ = ["grain_finding", "lay_on_sheet", "sheet_turn"]

Array = NDArray[np.float64]

_STEEP = 0.3
"""A panel that gains less than this along an axis for each mm does not run along it."""
_TURNS = np.radians(np.arange(0.0, 180.0, 0.5))


def lay_on_sheet(
    flat: Array,
    rim: NDArray[np.int64],
    panel: Panel,
    sheet: SheetStock,
    *,
    grain: Grain,
    add: float,
) -> Array:
    """The flat shape (n, 2) near the origin, the sheet's rolling direction along x.

    `add` is the metal beyond the rim (mm). With `any` grain the blank lies along its smallest
    box, or, where the sheet does not hold it so, as the sheet does hold it. Raises JobError where
    the panel does not run along the axis that its grain is to follow.
    """
    laid = lay_along(flat, rim, panel.vertices)
    if grain == "long":
        return laid
    if grain == "short":
        return _turned(laid, 0.5 * np.pi)
    if grain != "any":
        return _along_axis(laid, panel, grain)
    turn = sheet_turn(laid[rim], sheet, add=add)
    return laid if turn is None or turn == 0.0 else _turned(laid, turn)


def sheet_turn(net: Array, sheet: SheetStock, *, add: float) -> float | None:
    """The least turn (rad, either way) at which the sheet holds the outline; None if none does.

    `add` is the metal beyond the outline.
    """
    width, length = sorted(sheet.size)
    hull = _hull(net, add)
    turns = np.where(0.5 * np.pi < _TURNS, _TURNS - np.pi, _TURNS)
    turns = turns[np.argsort(np.abs(turns), kind="stable")]
    across = np.stack([np.cos(turns), -np.sin(turns)])
    up = np.stack([np.sin(turns), np.cos(turns)])
    long, high = (np.ptp(hull @ way, axis=0) for way in (across, up))
    fits = np.flatnonzero((long <= length) & (high <= width))
    return float(turns[fits[0]]) if len(fits) else None


def grain_finding(
    panel: Panel, net: Array, sheet: SheetStock, *, grain: Grain, add: float
) -> Finding | None:
    """A doubt where the sheet holds the blank, but not with its grain as asked."""
    width, length = sorted(sheet.size)
    long, high = np.ptp(_hull(net, add), axis=0)
    turn = sheet_turn(net, sheet, add=add)
    if grain == "any" or turn is None or (long <= length and high <= width):
        return None
    least = np.ceil(abs(np.degrees(turn)))
    return Finding(
        code="grain-does-not-fit",
        where=panel.name,
        message=f"With its grain as asked the blank is {long:.0f} mm along and {high:.0f} mm "
        f"across it; the sheet is {length:.0f} x {width:.0f} mm.",
        remedy=f"Turn it {least:.0f}° on the sheet, or divide it by a seam.",
    )


def _hull(net: Array, add: float) -> Array:
    """Corners of the convex hull with its allowance, sharp as those of the outline."""
    hull = shapely.convex_hull(shapely.MultiPoint(net))
    return np.asarray(hull.buffer(add, join_style="mitre", mitre_limit=2.0).exterior.coords)


def _turned(flat: Array, angle: float) -> Array:
    cosine, sine = np.cos(angle), np.sin(angle)
    turned = flat @ np.array([[cosine, sine], [-sine, cosine]])
    return np.asarray(turned - turned.min(axis=0))


def _along_axis(laid: Array, panel: Panel, grain: Grain) -> Array:
    """Turned so that the way in which the axis rises over the blank lies along x."""
    areas, gradients = shape_gradients(laid, panel.triangles)
    height = panel.vertices[panel.triangles, "xyz".index(grain)]
    side = laid[panel.triangles[:, 1]] - laid[panel.triangles[:, 0]]
    along = side / np.linalg.norm(side, axis=1, keepdims=True)
    local = np.einsum("mk,mkd->md", height, gradients)
    left = np.column_stack([-along[:, 1], along[:, 0]])
    rise = areas @ (local[:, :1] * along + local[:, 1:] * left) / areas.sum()
    steep = float(np.linalg.norm(rise))
    if steep < _STEEP:
        raise JobError(
            f"'{panel.name}' does not run along {grain}, so its grain cannot.",
            "Ask for its grain along another axis, or along its long or short side.",
        )
    return _turned(laid, -float(np.arctan2(rise[1], rise[0])))
