"""Dividing a region of the skin at seams into panels that share the vertices of each seam."""

from collections import Counter
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.cut_mesh import cut_mesh, kept_part
from buckwright.geometry.mesh import edges_of
from buckwright.geometry.refine import refine_mesh
from buckwright.model.finding import Finding
from buckwright.model.panels import Panel, PanelSpec
from buckwright.model.skin import Skin, SkinRegion

__all__ = ["cut_panels"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_FINE = 8.0
"""mm, length of an edge. Even triangles of 25 mm give a wing 10 % too much strain energy, uneven
ones up to 60 %; at 8 mm it is 1 % and 8 %."""
_MOST = 60_000
"""Triangles of a region beyond which it is not made finer."""

Seam = tuple[Literal["x", "y", "z"], float]


@dataclass(frozen=True, eq=False, slots=True)
class _CutRegion:
    """A region with edges along all its seams; `side` tells for each seam -1 or 1 (m,)."""

    vertices: Array
    triangles: Index
    side: dict[Seam, Index]


def cut_panels(
    specs: tuple[PanelSpec, ...], skin: Skin
) -> tuple[tuple[Panel, ...], tuple[Finding, ...]]:
    """A panel for each spec, in order, and where panels overlap or leave metal out.

    A region that exists left and right is cut on the left. Raises JobError for a region that the
    skin does not have and for a panel without metal.
    """
    cut = {name: _cut_region(name, specs, skin) for name in dict.fromkeys(s.region for s in specs)}
    panels, taken = [], {name: np.zeros(len(r.triangles), np.int64) for name, r in cut.items()}
    for spec in specs:
        region = cut[spec.region]
        inside = _between(spec, region)
        if not inside.any():
            raise JobError(
                f"Between its seams nothing is left of panel '{spec.name}'.",
                f"Look at the seams of region '{spec.region}'.",
            )
        taken[spec.region] += inside
        vertices, triangles, _ = kept_part(region.vertices, region.triangles[inside])
        panels.append(
            Panel(name=spec.name, region=spec.region, vertices=vertices, triangles=triangles)
        )
    repeated = [name for name, count in Counter(s.name for s in specs).items() if count > 1]
    if repeated:
        raise JobError(f"Two panels are called '{repeated[0]}'.", "Give each its own name.")
    return tuple(panels), tuple(_cover(cut, taken))


def _cut_region(name: str, specs: tuple[PanelSpec, ...], skin: Skin) -> _CutRegion:
    region = _find_region(name, skin)
    of_region = [spec for spec in specs if spec.region == name]
    seams = sorted({seam for spec in of_region for seam in (*spec.above, *spec.below)})
    vertices, triangles = _refined(region)
    surface = CurvedMesh(vertices, triangles)
    on_seam: dict[Seam, NDArray[np.bool_]] = {}
    for seam in seams:
        origin, normal = _plane(seam)
        cut = cut_mesh(vertices, triangles, origin=origin, normal=normal)
        vertices, triangles = cut.vertices, cut.triangles
        grown = len(vertices)
        on_seam = {s: np.pad(on, (0, grown - len(on))) for s, on in on_seam.items()}
        on_seam[seam] = cut.on_plane
    vertices = _on_the_skin(surface, vertices, on_seam)
    middle = vertices[triangles].mean(axis=1)
    side = {s: np.where(middle[:, "xyz".index(s[0])] < s[1], -1, 1) for s in seams}
    return _CutRegion(vertices, triangles, side)


def _find_region(name: str, skin: Skin) -> SkinRegion:
    for side in ("whole", "left"):
        for region in skin.regions:
            if region.name == name and region.side == side:
                return region
    known = ", ".join(sorted({region.name for region in skin.regions}))
    raise JobError(f"The skin has no region '{name}'.", f"It has: {known}.")


def _refined(region: SkinRegion) -> tuple[Array, Index]:
    """The region's mesh fine enough to tell its strain, unless that is too many triangles."""
    edges, _ = edges_of(region.triangles)
    lengths = np.linalg.norm(np.diff(region.vertices[edges], axis=1)[:, 0], axis=1)
    wanted = int(np.ceil(float(np.median(lengths)) / _FINE))
    allowed = int(np.sqrt(_MOST / len(region.triangles)))
    return refine_mesh(region.vertices, region.triangles, max(1, min(wanted, allowed)))


def _plane(seam: Seam) -> tuple[Array, Array]:
    normal = np.eye(3)["xyz".index(seam[0])]
    return normal * seam[1], normal


def _on_the_skin(
    surface: CurvedMesh, vertices: Array, on_seam: dict[Seam, NDArray[np.bool_]]
) -> Array:
    """Seam vertices lie on chords of the mesh: lift them to the surface behind it."""
    if not on_seam:
        return vertices
    seams = np.sum(list(on_seam.values()), axis=0)
    lifted = vertices.copy()
    for seam, on in on_seam.items():
        # Where two seams cross, a point lifted onto one would leave the other.
        alone = np.flatnonzero(on & (seams == 1))
        if len(alone):
            lifted[alone], _ = surface.on_plane(vertices[alone], *_plane(seam))
            lifted[alone, "xyz".index(seam[0])] = seam[1]
    return lifted


def _between(spec: PanelSpec, region: _CutRegion) -> NDArray[np.bool_]:
    inside = np.ones(len(region.triangles), dtype=np.bool_)
    for seam in spec.above:
        inside &= region.side[seam] > 0
    for seam in spec.below:
        inside &= region.side[seam] < 0
    return inside


def _cover(cut: dict[str, _CutRegion], taken: dict[str, Index]) -> list[Finding]:
    found = []
    for name, region in cut.items():
        corners = region.vertices[region.triangles]
        cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        area = 0.5 * np.linalg.norm(cross, axis=1)
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
