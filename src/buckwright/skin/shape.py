"""The shape of a whole skin: curvature, crowns, soft spots; and its sections."""

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.curvature import Curvatures, mesh_curvatures
from buckwright.geometry.mesh import vertex_areas
from buckwright.model.crowns import CrownLimits, RegionShape, SectionLine, SkinShape
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin, SkinRegion
from buckwright.skin.crowns import crown_areas, crown_classes
from buckwright.skin.sections import section_lines
from buckwright.skin.spots import skin_spots

__all__ = ["skin_section", "skin_shape"]

Array = NDArray[np.float64]


def skin_shape(skin: Skin, network: LineNetwork, limits: CrownLimits) -> SkinShape:
    """How the skin is bent everywhere, and where it is soft.

    `network` is what the skin was spanned over. A right region's soft spots are its left one's.
    """
    bends = {r: mesh_curvatures(r.vertices, r.triangles) for r in skin.regions}
    shapes = tuple(_region_shape(region, bent, limits) for region, bent in bends.items())
    return SkinShape(limits=limits, regions=shapes, spots=skin_spots(skin, network, limits, bends))


def skin_section(
    skin: Skin, shape: SkinShape, *, origin: Array, normal: Array
) -> tuple[tuple[SkinRegion, tuple[SectionLine, ...]], ...]:
    """Every region that the plane cuts, with its pieces of the section."""
    found = []
    for region, bent in zip(skin.regions, shape.regions, strict=True):
        height = (region.vertices - origin) @ np.asarray(normal)
        if height.min() >= 0.0 or height.max() < 0.0:
            continue
        bends = Curvatures(
            bent.greater, bent.lesser, bent.greater_way, bent.lesser_way, bent.normals
        )
        lines = section_lines(
            region.vertices, region.triangles, bends, origin=origin, normal=normal
        )
        found.append((region, lines))
    return tuple(found)


def _region_shape(region: SkinRegion, bends: Curvatures, limits: CrownLimits) -> RegionShape:
    classes = crown_classes(bends, limits)
    return RegionShape(
        region=region.name,
        side=region.side,
        greater=bends.greater,
        lesser=bends.lesser,
        greater_way=bends.greater_way,
        lesser_way=bends.lesser_way,
        normals=bends.normals,
        crown=classes,
        areas=crown_areas(classes, vertex_areas(region.vertices, region.triangles)),
    )
