"""The lines in which regions of the skin cut each other: wing against body, scan against body."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.mesh_meeting import cut_between
from buckwright.geometry.polyline import polyline_length
from buckwright.model.skin import Skin, SkinRegion
from buckwright.model.treatments import SkinMeeting
from buckwright.skin.offsets import offset_skin

__all__ = ["region_key", "set_off_meetings", "skin_meetings"]

SHORTEST = 5.0
"""mm: a shorter piece is where two skins graze each other."""
NUDGE = np.array([1.37e-6, 2.23e-6, 1.79e-6])
"""mm by which one of the two is moved, in no direction that a body has."""


def region_key(region: SkinRegion) -> str:
    """The region's name, with its side where there are two: `front wing left`."""
    return region.name if region.side == "whole" else f"{region.name} {region.side}"


def skin_meetings(skin: Skin) -> tuple[SkinMeeting, ...]:
    """Every line in which two regions cut that are not joined along a line, longest first.

    The right side's lines come with the left's, each by its own name.
    """
    regions = skin.regions
    pairs = [(a, b) for k, a in enumerate(regions) for b in regions[k + 1 :]]
    return tuple(
        found for a, b in pairs if not _lines(a) & _lines(b) for found in _between(b, a, "meets")
    )


def set_off_meetings(skin: Skin, name: str, by: float) -> tuple[SkinMeeting, ...]:
    """Lines in which the regions of that name, set off by `by` mm, cut the others as they are.

    Raises JobError where no region has that name, or for an offset that no metal has.
    """
    own = [region for region in skin.regions if region.name == name]
    if not own:
        known = ", ".join(dict.fromkeys(region.name for region in skin.regions))
        raise JobError(f"There is no region '{name}' to set off.", f"There are {known}.")
    moved = offset_skin(skin.model_copy(update={"regions": tuple(own)}), by).regions
    others = [region for region in skin.regions if region.name != name]
    words = f"set {abs(by):g} mm {'out' if by > 0.0 else 'in'} meets"
    return tuple(f for one in moved for other in others for f in _between(one, other, words))


def _lines(region: SkinRegion) -> set[str]:
    return {track.line for track in (*region.boundary, *region.inner, *region.holes)}


def _between(first: SkinRegion, second: SkinRegion, words: str) -> Iterator[SkinMeeting]:
    if not _near(first.vertices, second.vertices):
        return
    keys = (region_key(first), region_key(second))
    # Two bodies that are both symmetrical have edges that cross each other exactly.
    beside = np.asarray(second.vertices) + NUDGE
    cuts = cut_between((first.vertices, first.triangles), (beside, second.triangles))
    number = 0
    for cut in cuts:
        length = polyline_length(cut.points, closed=cut.closed)
        if length < SHORTEST:
            continue
        number += 1
        name = f"{keys[0]} {words} {keys[1]}" + (f" {number}" if number > 1 else "")
        yield SkinMeeting(
            name=name, regions=keys, points=cut.points, closed=cut.closed, length=length
        )


def _near(first: NDArray[np.float64], second: NDArray[np.float64]) -> bool:
    low = np.maximum(first.min(axis=0), second.min(axis=0))
    return bool((low <= np.minimum(first.max(axis=0), second.max(axis=0))).all())
