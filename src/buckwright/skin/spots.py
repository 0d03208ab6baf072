"""Soft spots of a whole skin, looked for on the triangles that it was solved on."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.curvature import Curvatures, mesh_curvatures
from buckwright.geometry.undivided import undivided_mesh
from buckwright.model.crowns import CrownLimits, SoftSpot
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import LineTrack, Skin, SkinRegion
from buckwright.skin.soft_spots import mirrored_spot, soft_spots

__all__ = ["skin_spots", "undivided_region"]

Index = NDArray[np.int64]


def skin_spots(
    skin: Skin,
    network: LineNetwork,
    limits: CrownLimits,
    bends: Mapping[SkinRegion, Curvatures] | None = None,
) -> tuple[SoftSpot, ...]:
    """Every soft spot of the skin, the deepest first; a right region's are its left one's.

    `network` is what the skin was spanned over; `bends` may hold what is known of how regions are
    bent. A region whose triangles were divided after it was solved is looked at as solved: the
    skin between those has no shape of its own.
    """
    known = {} if bends is None else bends
    spots: list[SoftSpot] = []
    lefts: dict[str, tuple[SoftSpot, ...]] = {}
    for region in skin.regions:
        if region.side == "right" and region.name in lefts:
            spots += [mirrored_spot(spot) for spot in lefts[region.name]]
            continue
        solved = undivided_region(region)
        bent = known.get(solved) or mesh_curvatures(solved.vertices, solved.triangles)
        lefts[region.name] = soft_spots(solved, bent, network, limits)
        spots += lefts[region.name]
    return tuple(sorted(spots, key=lambda spot: -spot.depth))


def undivided_region(region: SkinRegion) -> SkinRegion:
    """The region with the triangles that its own were divided from; itself if they were not."""
    used, triangles = undivided_mesh(region.triangles)
    if len(triangles) == len(region.triangles):
        return region
    number = np.full(len(region.vertices), -1, dtype=np.int64)
    number[used] = np.arange(len(used))
    creases = []
    for crease in region.creases:
        kept = number[crease.vertices] >= 0
        creases.append(
            crease.model_copy(
                update={
                    "vertices": number[crease.vertices[kept]],
                    "angles": crease.angles[kept],
                }
            )
        )
    return region.model_copy(
        update={
            "vertices": region.vertices[used],
            "chart": region.chart[used],
            "triangles": triangles,
            "boundary": _tracks(region.boundary, number),
            "inner": _tracks(region.inner, number),
            "holes": _tracks(region.holes, number),
            "creases": tuple(creases),
        }
    )


def _tracks(tracks: tuple[LineTrack, ...], number: Index) -> tuple[LineTrack, ...]:
    found = [(track, number[track.vertices]) for track in tracks]
    return tuple(track.model_copy(update={"vertices": kept[kept >= 0]}) for track, kept in found)
