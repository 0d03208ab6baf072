"""The body as a solid of even thickness at a small scale, to be printed or carved."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.errors import JobError
from buckwright.geometry.mesh_faults import triangle_pieces, weld_vertices
from buckwright.geometry.thicken import folded_offsets, mitred_normals, thicken
from buckwright.model.finding import Finding
from buckwright.model.skin import Skin, stack_regions
from buckwright.skin.model_treatments import Wall, press_for_model, with_strips

__all__ = ["Solid", "solid_model"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

TOGETHER = 1e-3
"""mm at full size: vertices of two regions nearer than this are one."""
LEAST_SCALE, MOST_SCALE = 1.0 / 200.0, 1.0


@dataclass(frozen=True, eq=False, slots=True)
class Solid:
    """Closed bodies in mm at the model's scale, outside seen counter-clockwise."""

    vertices: Array
    triangles: Index
    pieces: int
    """How many bodies: wings stand apart from the cab."""
    volume: float
    """mm^3 of material at the model's scale."""
    size: tuple[float, float, float]
    """mm over all."""
    findings: tuple[Finding, ...]


def solid_model(skin: Skin, *, scale: float, thickness: float) -> Solid:
    """The skin at `scale` (1/8 is 0.125), `thickness` mm thick there, set in from the outside.

    Regions that share an edge become one body with mitred corners; openings stay open. Beads and
    louvres stand on the outside, slits shut, and the inside stays plain; turned edges are joined
    on. What is too small for the wall is left out and told. Every body is watertight: each edge
    has exactly two triangles, turned against one another. Raises JobError for an empty skin, a
    scale or thickness that cannot be, or regions that share an edge thrice.
    """
    if not skin.regions:
        raise JobError("There is no skin to make a model of.", "Span the skin first.")
    if not LEAST_SCALE <= scale <= MOST_SCALE:
        raise JobError(f"{scale:g} is no scale for a model.", "Give one from 1:200 to 1:1.")
    wall = Wall(scale, thickness)
    pressed, findings = press_for_model(skin, wall)
    feet = stack_regions(pressed.feet)
    vertices, triangles = weld_vertices(*feet, reach=TOGETHER)
    small = scale * vertices
    extent = float(np.ptp(small, axis=0).min())
    if not 0.05 <= thickness <= 0.25 * extent:
        raise JobError(
            f"A wall of {thickness:g} mm is not to be had on a model of this size.",
            f"Give a thickness from 0.05 mm to {0.25 * extent:.0f} mm.",
        )
    folded = folded_offsets(small, triangles, small - thickness * mitred_normals(small, triangles))
    try:
        closed, faces = thicken(small, triangles, thickness)
    except ValueError as error:
        raise JobError(
            "Three regions of the skin meet along one edge, so there is no inside there.",
            "Let each line bound two regions at most.",
        ) from error
    # Vertices of different regions that were welded are of rims, which are not pressed.
    _, first = cKDTree(feet[0]).query(vertices)
    closed[: len(vertices)] += scale * pressed.moves[first]
    joined = with_strips((closed, faces), skin.strips, (vertices, triangles), wall)
    told = (*_folds(vertices[triangles[folded]].mean(axis=1), scale, thickness), *findings)
    return _measured(*joined.body, (*told, *joined.findings))


def _measured(vertices: Array, triangles: Index, findings: tuple[Finding, ...]) -> Solid:
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    length, breadth, height = (float(v) for v in np.ptp(vertices, axis=0))
    return Solid(
        vertices=vertices,
        triangles=triangles,
        pieces=int(triangle_pieces(triangles).max()) + 1,
        volume=float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0),
        size=(length, breadth, height),
        findings=findings,
    )


def _folds(places: Array, scale: float, thickness: float) -> tuple[Finding, ...]:
    if not len(places):
        return ()
    x, y, z = places[0]
    return (
        Finding(
            code="wall-folds",
            where="scale model",
            message=f"A wall of {thickness:g} mm at 1:{1.0 / scale:g} folds on its inside at "
            f"{len(places)} triangles, first at x {x:.0f}, y {y:.0f}, z {z:.0f}: the skin is bent "
            "more sharply there.",
            remedy="Make the wall thinner; most printing programs mend so small a fold.",
        ),
    )
