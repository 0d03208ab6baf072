"""Fields of louvres on a region: laid out, drawn, and measured against edges and each other."""

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.louvre_profile import LouvreProfile, louvre_profile
from buckwright.geometry.mesh import boundary_loops
from buckwright.geometry.polyline import closest_on_polyline, polyline_length
from buckwright.model.finding import Finding
from buckwright.model.louvres import LouvreField, LouvreSpec
from buckwright.model.skin import Skin, SkinRegion
from buckwright.skin.meetings import region_key
from buckwright.skin.mirroring import ACROSS

__all__ = ["make_louvres"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

AXES = np.eye(3)
OFF = 60.0
"""mm from the skin beyond which the middle of a field is not meant to lie on it."""
ALONG, OVER = 32, 8
"""Sides of a drawn louvre, along its cut and from root to lip."""
MOST = 200
ROOM = 1.0
"""Widths of plain metal that a louvre keeps from edges and other louvres: common practice, no
source."""


def make_louvres(skin: Skin, spec: LouvreSpec) -> tuple[LouvreField, ...]:
    """The field, one on a left region followed by its mirror image.

    Raises JobError for a region or line that does not exist, a middle off the skin, a field that
    leaves its region, louvres that overlap, or a shape that cannot be.
    """
    region = next((r for r in skin.regions if r.name == spec.region and r.side != "right"), None)
    if region is None:
        names = ", ".join(dict.fromkeys(one.name for one in skin.regions))
        raise JobError(
            f"Louvres '{spec.name}' name the region '{spec.region}', which does not exist.",
            f"There are {names}.",
        )
    field = _field(region, spec, _shape(spec))
    return (field, _mirrored(field)) if region.side == "left" else (field,)


def _shape(spec: LouvreSpec) -> LouvreProfile:
    if not (spec.rows >= 1 and spec.columns >= 1 and spec.rows * spec.columns <= MOST):
        raise JobError(
            f"Louvres '{spec.name}' come in {spec.rows} rows and {spec.columns} columns.",
            f"Ask for 1 to {MOST} in all.",
        )
    if (spec.rows > 1 and spec.row_pitch <= spec.width) or (
        spec.columns > 1 and spec.column_pitch <= spec.length
    ):
        raise JobError(
            f"Louvres '{spec.name}' overlap: their pitch is no more than their own size.",
            "Set them farther apart, or make them smaller.",
        )
    try:
        return louvre_profile(spec.length, spec.width, spec.height)
    except ValueError as error:
        raise JobError(
            f"Louvres '{spec.name}', {spec.length:g} mm long, {spec.width:g} mm wide and "
            f"{spec.height:g} mm high, cannot be: {error}.",
            "Make them lower than wide, and longer than twice their width.",
        ) from None


def _field(region: SkinRegion, spec: LouvreSpec, shape: LouvreProfile) -> LouvreField:
    surface = CurvedMesh(region.vertices, region.triangles)
    frame = _frame(spec, surface)
    sign = 1.0 if spec.opens == "plus" else -1.0
    over = np.linspace(0.0, spec.width, OVER + 1)
    along = np.linspace(0.0, spec.length, ALONG + 1)
    rise = shape.lip_height(along)[:, None] * shape.arc_height(over)[None, :]
    parts, feet = [], []
    for middle_along, middle_across in _middles(spec):
        u = middle_along + along - 0.5 * spec.length
        v = middle_across + sign * (over - 0.5 * spec.width)
        places = frame[0] + u[:, None, None] * frame[1] + v[None, :, None] * frame[2]
        foot, up = surface.lift(places.reshape(-1, 3))
        aside = foot - places.reshape(-1, 3)
        aside -= np.einsum("kd,kd->k", aside, up)[:, None] * up
        if np.linalg.norm(aside, axis=1).max() > 0.5 * spec.width:
            raise JobError(
                f"Louvres '{spec.name}' leave region '{region.name}'.",
                "Move the field, or ask for fewer rows or columns.",
            )
        parts.append(foot + rise.reshape(-1, 1) * up)
        feet.append(foot.reshape(ALONG + 1, OVER + 1, 3))
    grid = _grid(flipped=sign < 0.0)
    count = (ALONG + 1) * (OVER + 1)
    to_edge, nearest = _room(region, spec, feet)
    cuts = tuple(foot[:, -1].copy() for foot in feet)
    return LouvreField(
        name=spec.name,
        region=region_key(region),
        spec=spec,
        cuts=cuts,
        vertices=np.vstack(parts),
        triangles=np.vstack([grid + k * count for k in range(len(parts))]),
        cut_length=sum(polyline_length(cut) for cut in cuts),
        across=shape.girth / spec.width - 1.0,
        lip=shape.lip / spec.length - 1.0,
        between_rows=spec.row_pitch - spec.width if spec.rows > 1 else None,
        between_columns=spec.column_pitch - spec.length if spec.columns > 1 else None,
        to_edge=to_edge,
        nearest=nearest,
        findings=_doubts(spec, to_edge, nearest),
    )


def _frame(spec: LouvreSpec, surface: CurvedMesh) -> tuple[Array, Array, Array]:
    """The middle on the skin, and unit vectors along the cuts and across them."""
    asked = np.array([spec.at])
    middle, up = surface.lift(asked)
    off = float(np.linalg.norm(middle - asked))
    if off > OFF:
        raise JobError(
            f"The middle of louvres '{spec.name}' lies {off:.0f} mm off region '{spec.region}'.",
            "Click a place on that region, or name the region that it lies on.",
        )
    axis = AXES["xyz".index(spec.along)]
    along = axis - (axis @ up[0]) * up[0]
    if np.linalg.norm(along) < 0.3:
        raise JobError(
            f"At the middle of louvres '{spec.name}' the skin does not run along {spec.along}.",
            "Let the cuts follow another axis.",
        )
    along /= np.linalg.norm(along)
    return middle[0], along, np.cross(up[0], along)


def _middles(spec: LouvreSpec) -> list[tuple[float, float]]:
    return [
        (
            (column - 0.5 * (spec.columns - 1)) * spec.column_pitch,
            (row - 0.5 * (spec.rows - 1)) * spec.row_pitch,
        )
        for row in range(spec.rows)
        for column in range(spec.columns)
    ]


def _grid(*, flipped: bool) -> Index:
    index = np.arange((ALONG + 1) * (OVER + 1)).reshape(ALONG + 1, OVER + 1)
    a, b, c, d = (
        part.ravel() for part in (index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:])
    )
    triangles = np.vstack([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    return (triangles[:, ::-1] if flipped else triangles).astype(np.int64)


def _room(region: SkinRegion, spec: LouvreSpec, feet: list[Array]) -> tuple[float, str]:
    """Mm from the rims of the louvres to the nearest edge or line to keep from, and its name."""
    rims = np.vstack([np.vstack([f[0], f[-1], f[:, 0], f[:, -1]]) for f in feet])
    tracks = {t.line: t for t in (*region.boundary, *region.inner, *region.holes)}
    unknown = [line for line in spec.between if line not in tracks]
    if unknown:
        raise JobError(
            f"Region '{region.name}' has no line '{unknown[0]}' for louvres '{spec.name}'.",
            f"It has {', '.join(tracks)}.",
        )
    lines = [
        (f"the edge of '{region.name}'", region.vertices[loop], True)
        for loop in boundary_loops(region.triangles)
    ]
    lines += [
        (f"'{t.line}'", region.vertices[t.vertices], t.closed)
        for t in (*region.boundary, *region.inner, *region.holes)
        if t.line in spec.between
    ]
    gaps = [
        (float(closest_on_polyline(rims, points, closed=closed)[0].min()), name)
        for name, points, closed in lines
    ]
    return min(gaps)


def _doubts(spec: LouvreSpec, to_edge: float, nearest: str) -> tuple[Finding, ...]:
    room = ROOM * spec.width
    gaps = [(to_edge, nearest)]
    if spec.rows > 1:
        gaps.append((spec.row_pitch - spec.width, "the next row"))
    if spec.columns > 1:
        gaps.append((spec.column_pitch - spec.length, "the next column"))
    return tuple(
        Finding(
            code="louvres-too-near",
            where=spec.name,
            message=f"Louvres '{spec.name}' come within {gap:.0f} mm of {what}; they want "
            f"{room:.0f} mm of plain metal (once their width: common practice, no source).",
            remedy="Set them farther apart, move the field, or ask for fewer.",
        )
        for gap, what in gaps
        if gap < room
    )


def _mirrored(field: LouvreField) -> LouvreField:
    vertices, triangles = field.vertices * ACROSS, field.triangles[:, ::-1].copy()
    cuts = tuple(cut * ACROSS for cut in field.cuts)
    for array in (vertices, triangles, *cuts):
        array.setflags(write=False)
    return field.model_copy(
        update={
            "region": f"{field.spec.region} right",
            "vertices": vertices,
            "triangles": triangles,
            "cuts": cuts,
            "findings": (),
        }
    )
