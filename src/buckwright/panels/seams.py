"""Dividing a region of the skin at seams into panels that share the vertices of each seam."""

from collections import Counter
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.cut_mesh import kept_part
from buckwright.geometry.mesh import MeshLocator, triangle_areas
from buckwright.geometry.path_cut import parts_beside
from buckwright.model.finding import Finding
from buckwright.model.panels import Panel, PanelSpec, SeamSpec
from buckwright.model.skin import Skin, SkinRegion
from buckwright.panels.cutting import CutRegion, cut_region, plane_name
from buckwright.panels.rim import lines_on, rim_edges

__all__ = ["cut_panels", "find_region"]

Index = NDArray[np.int64]
Mask = NDArray[np.bool_]

_SAME_SKIN = 3.0
"""mm between the two sides of a body that are mirror images to the eye."""
_BESIDE = 0.2
"""mm beside a foot, below which a place lies over it."""
_NONE: Index = np.zeros((0, 2), dtype=np.int64)


def cut_panels(
    specs: tuple[PanelSpec, ...], skin: Skin, seams: tuple[SeamSpec, ...] = ()
) -> tuple[tuple[Panel, ...], tuple[Finding, ...]]:
    """A panel for each spec, in order, and where panels overlap or leave metal out.

    A region that exists left and right is cut on the left; the panel's name is the spec's. Raises
    JobError for a region or seam that does not exist and for a panel without metal.
    """
    repeated = [name for name, count in Counter(s.name for s in specs).items() if count > 1]
    if repeated:
        raise JobError(f"Two panels are called '{repeated[0]}'.", "Give each its own name.")
    names = list(dict.fromkeys(spec.region for spec in specs))
    regions = {name: find_region(name, skin) for name in names}
    cut = {name: _cut(regions[name], specs, seams) for name in names}
    taken = {name: np.zeros(len(r.triangles), np.int64) for name, r in cut.items()}
    panels = []
    for spec in specs:
        inside = _inside(spec, cut[spec.region])
        panel = _panel(spec, cut[spec.region], regions[spec.region], inside)
        taken[spec.region] += inside
        if spec.both_sides and panel.side == "whole":
            taken[spec.region] += _under_the_other(panel, cut[spec.region])
        panels.append(panel)
    findings = [finding for region in cut.values() for finding in region.findings]
    return tuple(panels), (*findings, *_cover(cut, taken))


def find_region(name: str, skin: Skin) -> SkinRegion:
    """The region of that name, its left one if it has two sides; JobError if there is none."""
    for side in ("whole", "left"):
        for region in skin.regions:
            if region.name == name and region.side == side:
                return region
    known = ", ".join(sorted({region.name for region in skin.regions}))
    raise JobError(f"The skin has no region '{name}'.", f"It has: {known}.")


def _cut(region: SkinRegion, specs: Sequence[PanelSpec], seams: Sequence[SeamSpec]) -> CutRegion:
    mine = [spec for spec in specs if spec.region == region.name]
    planes = sorted({plane for spec in mine for plane in (*spec.above, *spec.below)})
    wanted = {name for spec in mine for name in spec.seams}
    drawn = [seam for seam in seams if seam.region == region.name and seam.name in wanted]
    twice = [name for name, count in Counter(s.name for s in drawn).items() if count > 1]
    if twice:
        raise JobError(f"Two seams are called '{twice[0]}'.", "Give each its own name.")
    return cut_region(region, planes, drawn)


def _inside(spec: PanelSpec, region: CutRegion) -> Mask:
    inside = np.ones(len(region.triangles), dtype=np.bool_)
    for plane in spec.above:
        inside &= region.side[plane] > 0
    for plane in spec.below:
        inside &= region.side[plane] < 0
    if not inside.any():
        raise JobError(
            f"Between its seams nothing is left of panel '{spec.name}'.",
            f"Look at the seams of region '{spec.region}'.",
        )
    return _piece(spec, region, inside) if spec.seams or spec.at is not None else inside


def _piece(spec: PanelSpec, region: CutRegion, inside: Mask) -> Mask:
    """The piece between the spec's seams that its point lies on."""
    unknown = [name for name in spec.seams if name not in region.edges]
    if unknown:
        raise JobError(
            f"Panel '{spec.name}' ends at '{unknown[0]}', which is neither a seam nor a line of "
            f"'{spec.region}'.",
            f"There are {', '.join(region.edges)}.",
        )
    members = np.flatnonzero(inside)
    walls = np.vstack([_NONE, *(region.edges[name] for name in spec.seams)])
    part = parts_beside(region.triangles[members], list(walls[_within(walls, region, members)]))
    if spec.at is None:
        if part.max() > 0:
            raise JobError(
                f"The seams of panel '{spec.name}' leave {part.max() + 1} pieces, and it does not "
                "say which it is.",
                "Put a point on the piece that it is.",
            )
        return inside
    locator = MeshLocator(region.vertices, region.triangles[members])
    _, _, nearest, _ = locator.closest(np.array([spec.at]))
    chosen = np.zeros_like(inside)
    chosen[members[part == part[nearest[0]]]] = True
    return chosen


def _within(walls: Index, region: CutRegion, members: Index) -> Mask:
    """Which edges join vertices of the member triangles."""
    used = np.zeros(len(region.vertices), dtype=np.bool_)
    used[region.triangles[members].ravel()] = True
    return np.asarray(used[walls].all(axis=1))


def _panel(spec: PanelSpec, cut: CutRegion, region: SkinRegion, inside: Mask) -> Panel:
    vertices, triangles, used = kept_part(cut.vertices, cut.triangles[inside])
    renamed = np.full(len(cut.vertices), -1)
    renamed[used] = np.arange(len(used))
    edges = {name: renamed[pairs] for name, pairs in cut.edges.items()}
    mine = {name: pairs[(pairs >= 0).all(axis=1)] for name, pairs in edges.items()}
    outer = [track.line for track in (*region.boundary, *region.holes)]
    planes = [plane_name(plane) for plane in (*spec.above, *spec.below)]
    return Panel(
        name=spec.name,
        region=spec.region,
        vertices=vertices,
        triangles=triangles,
        side=region.side,
        spec=spec.name,
        edges=rim_edges(triangles, mine, first=[*outer, *spec.seams, *planes], outer=outer),
        lines=lines_on(triangles, {name: mine[name] for name in cut.inner}),
    )


def _under_the_other(panel: Panel, region: CutRegion) -> Mask:
    """Triangles of the region whose middles lie on the panel's mirror image."""
    middles = region.vertices[region.triangles].mean(axis=1) * np.array([1.0, -1.0, 1.0])
    locator = MeshLocator(panel.vertices, panel.triangles)
    gap, foot, triangle, weights = locator.closest(middles)
    upright = locator.normal_at(triangle, weights)
    off = middles - foot
    # Beside the panel's edge the foot does not lie under the place.
    beside = off - np.einsum("kd,kd->k", off, upright)[:, None] * upright
    return np.asarray((np.abs(gap) < _SAME_SKIN) & (np.linalg.norm(beside, axis=1) < _BESIDE))


def _cover(cut: dict[str, CutRegion], taken: dict[str, Index]) -> list[Finding]:
    found = []
    for name, region in cut.items():
        area = triangle_areas(region.vertices, region.triangles)
        twice, never = area[taken[name] > 1].sum(), area[taken[name] == 0].sum()
        if twice > 0.0:
            found.append(
                Finding(
                    code="panels-overlap",
                    where=name,
                    message=f"Panels of '{name}' cover {twice / 100.0:.0f} cm² twice.",
                    remedy="Let one panel end at the seam where the next begins.",
                )
            )
        if never > 0.0:
            found.append(
                Finding(
                    code="metal-left-out",
                    where=name,
                    message=f"No panel covers {never / 100.0:.0f} cm² of '{name}'.",
                    remedy="Add a panel there, or move a seam.",
                )
            )
    return found
