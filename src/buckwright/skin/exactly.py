"""Regions that are to be rolled or folded made exactly flat, cylindrical or conical."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.model.fact import frozen
from buckwright.model.finding import Finding
from buckwright.model.skin import RegionSpec, Skin, SkinRegion
from buckwright.skin.rolled import rolled_fields, rolled_whole

__all__ = ["with_rolled_fields"]

Array = NDArray[np.float64]

SHARED = 1e-6
"""mm: vertices of two regions nearer than this are one place."""


def with_rolled_fields(skin: Skin, specs: tuple[RegionSpec, ...]) -> Skin:
    """The skin with its flat and singly curved fields told, and made exact where specs ask.

    A region that asks for it is laid on the plane, cylinder or cone that is within its
    tolerance; what it shares with its neighbours goes along, so that the skin stays closed.
    Where there is none so near, the region stays as it is and says so.
    """
    asked = {spec.name: spec.rolled for spec in specs if spec.rolled > 0.0}
    moves: list[tuple[Array, Array]] = []
    regions: list[SkinRegion] = []
    for region in skin.regions:
        near = asked.get(region.name)
        if near is None and region.side == "right":
            # Its left one tells.
            regions.append(region)
            continue
        if near is None:
            told = {"rolled": rolled_fields(region)}
            regions.append(region.model_copy(update=told))
            continue
        whole = rolled_whole(region, near=near)
        if whole is None:
            findings = (*region.findings, _not_rolled(region.name, near))
            regions.append(region.model_copy(update={"findings": findings}))
            continue
        feet, field = whole
        moves.append((np.asarray(region.vertices), feet))
        regions.append(region.model_copy(update={"vertices": frozen(feet), "rolled": (field,)}))
    if moves:
        regions = [_with_neighbours(region, moves) for region in regions]
    return skin.model_copy(update={"regions": tuple(regions)})


def _with_neighbours(region: SkinRegion, moves: list[tuple[Array, Array]]) -> SkinRegion:
    """The region with the vertices that it shares with a moved one taken along."""
    if any(field.exact for field in region.rolled):
        return region
    vertices = np.array(region.vertices)
    for before, after in moves:
        gap, nearest = cKDTree(before).query(vertices, distance_upper_bound=SHARED)
        shared = np.isfinite(gap)
        vertices[shared] = after[nearest[shared]]
    return region.model_copy(update={"vertices": frozen(vertices)})


def _not_rolled(name: str, near: float) -> Finding:
    return Finding(
        code="not-rolled",
        where=name,
        message=f"'{name}' is to be rolled, but no plane, cylinder or cone comes within "
        f"{near:g} mm of all of it.",
        remedy="Straighten its lines in one direction, divide it, or allow more.",
    )
