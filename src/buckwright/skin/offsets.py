"""The skin set in or out: to the metal's inner face, to the axis of the wires under it."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.errors import JobError
from buckwright.geometry.mesh_faults import weld_vertices
from buckwright.geometry.thicken import folded_offsets, mitred_normals
from buckwright.model.fact import frozen
from buckwright.model.finding import Finding
from buckwright.model.skin import Skin, SkinRegion, stack_regions

__all__ = ["offset_folds", "offset_skin"]

Array = NDArray[np.float64]

TOGETHER = 1e-3
"""mm: vertices of two regions nearer than this move as one, so that creases stay mitred."""
FARTHEST = 500.0
FOLDS = "offset-folds"


def offset_skin(skin: Skin, by: float) -> Skin:
    """The skin `by` mm outward (inward if negative), vertex for vertex.

    Every triangle moves by `by` along its own normal where up to three planes meet, so that
    creases between regions stay mitred and regions that share an edge stay joined. Where the
    skin is bent more sharply than that the offset folds, and the region says so. Turned edges,
    beads and louvres stay behind: they belong to the outer face.
    Raises JobError for an empty skin or an offset that no metal has.
    """
    if not skin.regions:
        raise JobError("There is no skin to offset.", "Span the skin first.")
    if not (np.isfinite(by) and abs(by) <= FARTHEST):
        raise JobError(f"{by:g} mm is no offset.", f"Give one up to {FARTHEST:.0f} mm either way.")
    moves = _moves(skin)
    regions = []
    for region, move in zip(skin.regions, moves, strict=True):
        moved = np.asarray(region.vertices) + by * move
        folds = folded_offsets(region.vertices, region.triangles, moved)
        places = np.asarray(region.vertices)[region.triangles[folds]].mean(axis=1)
        findings = (*region.findings, *_folded(region, places, by))
        regions.append(region.model_copy(update={"vertices": frozen(moved), "findings": findings}))
    left = dict.fromkeys(("strips", "beads", "louvres"), ())
    return skin.model_copy(update={"regions": tuple(regions), **left})


def offset_folds(skin: Skin) -> tuple[Finding, ...]:
    """Where a skin that was set off folds, region by region."""
    return tuple(f for region in skin.regions for f in region.findings if f.code == FOLDS)


def _moves(skin: Skin) -> list[Array]:
    """For each region (n, 3) by which its vertices move for 1 mm outward."""
    vertices, triangles = stack_regions(skin.regions)
    welded, faces = weld_vertices(vertices, triangles, reach=TOGETHER)
    every = mitred_normals(welded, faces)[cKDTree(welded).query(vertices)[1]]
    ends = np.cumsum([len(region.vertices) for region in skin.regions])
    return np.split(every, ends[:-1])


def _folded(region: SkinRegion, places: Array, by: float) -> tuple[Finding, ...]:
    if not len(places):
        return ()
    x, y, z = places[0]
    way = "outward" if by > 0.0 else "inward"
    return (
        Finding(
            code=FOLDS,
            where=region.name,
            message=f"'{region.name}' set {abs(by):g} mm {way} folds at {len(places)} triangles, "
            f"first at x {x:.0f}, y {y:.0f}, z {z:.0f}: it is bent more sharply there.",
            remedy="Do not build on it there; take less, or soften the bend.",
        ),
    )
