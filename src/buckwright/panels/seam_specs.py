"""Seams found by the search as what a job asks for: seams drawn, and panels between them."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.geometry.polyline import polyline_length, resample_polyline
from buckwright.model.panels import PanelSpec, SeamSpec
from buckwright.model.skin import SkinRegion
from buckwright.panels.seam_parts import Part, rim_of
from buckwright.panels.seam_states import State
from buckwright.panels.seam_ways import Division

__all__ = ["specs_of"]

Array = NDArray[np.float64]

_STOPS = 120.0
"""mm between the points that a straight seam is drawn through."""
_APART = 0.12
"""Share of the region's size by which a part must lie to one side to be called after it."""


def specs_of(
    state: State, region: SkinRegion, allowance: float
) -> tuple[tuple[SeamSpec, ...], tuple[PanelSpec, ...]]:
    """The seams in the order in which they are drawn, and a panel for each part."""
    names = [f"{region.name} seam {k}" for k in range(1, len(state.steps) + 1)]
    seams = tuple(
        _seam(name, step.division, region) for name, step in zip(names, state.steps, strict=True)
    )
    ways = [{tuple(p) for p in step.division.way.tolist()} for step in state.steps]
    panels = []
    for name, part in zip(_part_names(state, region), state.parts, strict=True):
        rim = {tuple(p) for p in part.vertices[rim_of(part)].tolist()}
        beside = tuple(n for n, way in zip(names, ways, strict=True) if len(way & rim) > 2)
        x, y, z = _inmost(part)
        panels.append(
            PanelSpec(
                name=name,
                region=region.name,
                seams=beside,
                at=(x, y, z),
                trim_allowance=allowance,
            )
        )
    return seams, tuple(panels)


def _seam(name: str, division: Division, region: SkinRegion) -> SeamSpec:
    track = next((t for t in region.inner if t.line == division.line), None)
    if track is not None:
        on_line = cKDTree(region.vertices[track.vertices]).query(division.points)[0]
        gaps = np.linalg.norm(np.diff(region.vertices[track.vertices], axis=0), axis=1)
        # A line that was led on to the edge is more than the line.
        if on_line.max() <= gaps.max():
            return SeamSpec(name=name, region=region.name, line=track.line)
    count = max(2, round(polyline_length(division.points) / _STOPS) + 1)
    stops = resample_polyline(division.points, count)
    return SeamSpec(
        name=name, region=region.name, through=tuple((x, y, z) for x, y, z in stops.tolist())
    )


def _inmost(part: Part) -> list[float]:
    """The middle of the triangle farthest from the part's edges."""
    middles = part.vertices[part.triangles].mean(axis=1)
    gap, _ = cKDTree(part.vertices[rim_of(part)]).query(middles)
    return [float(c) for c in middles[int(np.argmax(gap))]]


def _part_names(state: State, region: SkinRegion) -> list[str]:
    """Names by where the parts lie, or numbers from front to rear where that is not enough."""
    if len(state.parts) == 1:
        return [region.name]
    low, high = region.vertices.min(axis=0), region.vertices.max(axis=0)
    middles = np.array([part.vertices.mean(axis=0) for part in state.parts])
    off = (middles - 0.5 * (low + high)) / np.maximum(high - low, 1e-9)
    across = ("left", "right")
    if region.side != "whole":
        across = ("outer", "inner") if region.side == "left" else ("inner", "outer")
    # Only axes that tell the parts apart are named.
    axes = ((0, ("front", "rear")), (2, ("lower", "upper")), (1, across))
    told = [
        " ".join(
            words[int(off[k, axis] > 0.0)]
            for axis, words in axes
            if abs(off[k, axis]) > _APART and np.ptp(off[:, axis]) > 2.0 * _APART
        )
        for k in range(len(off))
    ]
    if all(told) and len(set(told)) == len(told):
        return [f"{region.name} {words}" for words in told]
    rank = np.argsort(np.lexsort((middles[:, 1], middles[:, 0].round(-1))))
    return [f"{region.name} {k + 1}" for k in rank]
