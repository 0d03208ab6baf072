"""Stiffening beads and swages: a profile along a line over a region of the skin."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from buckwright.errors import JobError
from buckwright.geometry.bead_profile import BeadProfile, bead_profile
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.mesh import boundary_loops
from buckwright.geometry.polyline import (
    arc_lengths,
    closest_on_polyline,
    polyline_length,
    resample_polyline,
)
from buckwright.geometry.row_sheets import row_triangles
from buckwright.model.finding import Finding
from buckwright.model.skin import Skin, SkinRegion
from buckwright.model.treatments import Bead, BeadSpec
from buckwright.skin.meetings import region_key
from buckwright.skin.mirroring import ACROSS

__all__ = ["beads_beside", "make_bead", "profile_of"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

ROWS, STEP = 240, 4.0
"""Sections along a bead at most, and mm between them at least."""
OFF = 40.0
"""mm from the skin beyond which a point of a bead is not meant to lie on it."""
FREE = 2.0
"""Depths of plain metal that a bead keeps from edges and other beads: common practice, no
source."""


@dataclass(frozen=True, eq=False, slots=True)
class _Laid:
    axis: Array
    closed: bool
    vertices: Array
    triangles: Index
    folds: Array
    """(k, 3) places where the foot runs back."""


def profile_of(spec: BeadSpec) -> BeadProfile:
    """The bead's whole section; JobError where width, depth and radius do not go together."""
    try:
        return bead_profile(spec.width, spec.depth, spec.radius, spec.flat)
    except ValueError:
        across = 0.5 * (spec.width - spec.flat)
        if across <= 0.0:
            raise JobError(
                f"Bead '{spec.name}' has a flat top of {spec.flat:g} mm and is only "
                f"{spec.width:g} mm wide.",
                "Make it wider, or the top narrower.",
            ) from None
        deep = spec.depth > across
        most = 0.5 * across if deep else (across**2 + spec.depth**2) / (4.0 * spec.depth)
        raise JobError(
            f"Bead '{spec.name}', {spec.width:g} mm wide and {spec.depth:g} mm deep, has no room "
            f"for a radius of {spec.radius:g} mm.",
            f"Give it {np.floor(10.0 * most) / 10.0:g} mm at most, or make it wider.",
        ) from None


def make_bead(skin: Skin, spec: BeadSpec) -> tuple[Bead, ...]:
    """The bead, one on a left region followed by its mirror image.

    Raises JobError for a region or line that does not exist, points off the skin, a bead longer
    than its line, or a section that cannot be.
    """
    region = _region(skin, spec)
    bead = _bead(region, spec)
    return (bead, _mirrored(bead, spec)) if region.side == "left" else (bead,)


def beads_beside(beads: Sequence[Bead]) -> tuple[Bead, ...]:
    """The beads with how far each is from the nearest other one, and doubts where it is near."""
    gaps = _gaps(beads)
    return tuple(_judged(bead, *gap) for bead, gap in zip(beads, gaps, strict=True))


def _region(skin: Skin, spec: BeadSpec) -> SkinRegion:
    for region in skin.regions:
        if region.name == spec.region and region.side != "right":
            return region
    names = ", ".join(dict.fromkeys(region.name for region in skin.regions))
    raise JobError(
        f"Bead '{spec.name}' names the region '{spec.region}', which does not exist.",
        f"There are {names}.",
    )


def _bead(region: SkinRegion, spec: BeadSpec) -> Bead:
    profile = profile_of(spec)
    laid = _laid(region, spec, profile)
    to_edge = min(
        float(closest_on_polyline(laid.axis, region.vertices[loop], closed=True)[0].min())
        for loop in boundary_loops(region.triangles)
    )
    return Bead(
        name=spec.name,
        region=region_key(region),
        spec=spec,
        axis=laid.axis,
        closed=laid.closed,
        vertices=laid.vertices,
        triangles=laid.triangles,
        length=polyline_length(laid.axis, closed=laid.closed),
        girth=profile.girth,
        flank_deg=float(np.degrees(profile.angle)),
        stretch=profile.girth / spec.width - 1.0,
        to_edge=to_edge - 0.5 * spec.width,
        findings=_folded(spec, laid.folds),
    )


def _laid(region: SkinRegion, spec: BeadSpec, profile: BeadProfile) -> _Laid:
    surface = CurvedMesh(region.vertices, region.triangles)
    axis, closed = _axis(region, surface, spec)
    depths = _depths(axis, spec, closed=closed)
    up = surface.lift(axis)[1]
    along = _along(axis, closed=closed)
    left = np.cross(up, along)
    left /= np.linalg.norm(left, axis=1, keepdims=True)
    whole = profile.points()
    across = axis[:, None] + whole[None, :, :1] * left[:, None]
    foot, upright = surface.lift(across.reshape(-1, 3))
    high = np.array([_heights(spec, profile, whole, depth) for depth in depths])
    rise = (1.0 if spec.way == "out" else -1.0) * high.reshape(-1, 1)
    rows = (foot + rise * upright).reshape(len(axis), len(whole), 3)
    feet = foot.reshape(rows.shape)
    return _Laid(
        axis,
        closed,
        rows.reshape(-1, 3),
        row_triangles(len(axis), len(whole), closed=closed, turn=1),
        _backward(feet, closed=closed),
    )


def _axis(region: SkinRegion, surface: CurvedMesh, spec: BeadSpec) -> tuple[Array, bool]:
    points, closed = _asked(region, spec)
    if len(points) > 2:
        looped = np.vstack([points, points[:1]]) if closed else points
        at = arc_lengths(looped)
        curve = CubicSpline(at, looped, bc_type="periodic" if closed else "natural")
        fine = curve(np.linspace(0.0, at[-1], 8 * len(points), endpoint=not closed))
    else:
        fine = resample_polyline(points, ROWS)
    off = float(np.abs(surface.locator.closest(points)[0]).max())
    if off > OFF:
        raise JobError(
            f"Bead '{spec.name}' leaves region '{region.name}' by {off:.0f} mm.",
            "Draw it on that region, or name the region that it lies on.",
        )
    lifted = surface.lift(fine)[0]
    lifted = _apart(lifted)
    length = polyline_length(lifted, closed=closed)
    if not closed:
        left = length - 2.0 * spec.setback
        if left < 2.0 * spec.run_out or left <= 0.0:
            raise JobError(
                f"Bead '{spec.name}' has {length:.0f} mm of line, which setbacks of "
                f"{spec.setback:g} mm and run-outs of {spec.run_out:g} mm use up.",
                "Make them shorter, or the line longer.",
            )
    count = int(np.clip(length / STEP, 12, ROWS))
    dense = resample_polyline(lifted, 4 * ROWS, closed=closed)
    if closed:
        return surface.lift(resample_polyline(dense, count, closed=True))[0], True
    at = arc_lengths(dense)
    kept = np.linspace(spec.setback, at[-1] - spec.setback, count)
    cut = np.column_stack([np.interp(kept, at, dense[:, k]) for k in range(3)])
    return surface.lift(cut)[0], False


def _asked(region: SkinRegion, spec: BeadSpec) -> tuple[Array, bool]:
    if not spec.line:
        if len(spec.through) < 2:
            raise JobError(
                f"Bead '{spec.name}' has no line and fewer than two points.",
                "Name the line that it runs along, or two points at least.",
            )
        return np.array(spec.through, dtype=np.float64), False
    tracks = [t for t in (*region.inner, *region.boundary, *region.holes) if t.line == spec.line]
    if not tracks:
        lines = [t.line for t in region.inner]
        raise JobError(
            f"Region '{region.name}' has no line '{spec.line}' for bead '{spec.name}'.",
            f"On it lie {', '.join(dict.fromkeys(lines)) or 'no lines'}.",
        )
    longest = max(tracks, key=lambda t: len(t.vertices))
    return np.asarray(region.vertices[longest.vertices]), longest.closed


def _apart(points: Array) -> Array:
    kept = np.ones(len(points), dtype=np.bool_)
    kept[1:] = np.linalg.norm(np.diff(points, axis=0), axis=1) > 1e-9
    return np.asarray(points[kept])


def _depths(axis: Array, spec: BeadSpec, *, closed: bool) -> Array:
    """(k,) how deep the bead is at each section: it rises as a cosine does."""
    if closed or spec.run_out <= 0.0:
        return np.full(len(axis), spec.depth)
    at = arc_lengths(axis)
    near = np.minimum(at, at[-1] - at) / spec.run_out
    return np.asarray(spec.depth * np.sin(0.5 * np.pi * np.minimum(near, 1.0)) ** 2)


def _heights(spec: BeadSpec, profile: BeadProfile, whole: Array, depth: float) -> Array:
    """(p,) how high the section of that depth stands at the whole section's places across."""
    if depth >= profile.depth:
        return np.asarray(whole[:, 1])
    if depth <= 1e-9:
        return np.zeros(len(whole))
    here = bead_profile(spec.width, depth, spec.radius, spec.flat).points()
    return np.asarray(np.interp(whole[:, 0], here[:, 0], here[:, 1]))


def _along(axis: Array, *, closed: bool) -> Array:
    if closed:
        way = np.roll(axis, -1, axis=0) - np.roll(axis, 1, axis=0)
    else:
        way = np.gradient(axis, axis=0)
    return np.asarray(way / np.linalg.norm(way, axis=1, keepdims=True))


def _backward(feet: Array, *, closed: bool) -> Array:
    looped = np.concatenate([feet, feet[:1]]) if closed else feet
    step = np.diff(looped, axis=0)
    middle = step[:, step.shape[1] // 2]
    back = (np.einsum("kpd,kd->kp", step, middle) <= 0.0).any(axis=1)
    return np.asarray(feet[: len(back)][back][:, feet.shape[1] // 2])


def _folded(spec: BeadSpec, folds: Array) -> tuple[Finding, ...]:
    if not len(folds):
        return ()
    x, y, z = folds[0]
    return (
        Finding(
            code="bead-folds",
            where=spec.name,
            message=f"Bead '{spec.name}' turns more tightly than it is wide at x {x:.0f}, "
            f"y {y:.0f}, z {z:.0f}.",
            remedy="Lead it round in a wider turn, or make it narrower.",
        ),
    )


def _gaps(beads: Sequence[Bead]) -> list[tuple[float | None, str]]:
    """For each bead the plain metal to the nearest other one, and its name."""
    found: list[tuple[float | None, str]] = [(None, "")] * len(beads)
    for i, j in combinations(range(len(beads)), 2):
        one, other = beads[i], beads[j]
        between = float(closest_on_polyline(one.axis, other.axis, closed=other.closed)[0].min())
        gap = between - 0.5 * (one.spec.width + other.spec.width)
        for k, beside in ((i, other), (j, one)):
            known = found[k][0]
            if known is None or gap < known:
                found[k] = (gap, f"{beside.name} on {beside.region}")
    return found


def _judged(bead: Bead, gap: float | None, nearest: str) -> Bead:
    room = FREE * bead.spec.depth
    doubts = list(bead.findings)
    for distance, what in ((bead.to_edge, f"the edge of '{bead.region}'"), (gap, nearest)):
        if distance is None or distance >= room:
            continue
        how = f"runs over {what}" if distance < 0.0 else f"comes within {distance:.0f} mm of {what}"
        doubts.append(
            Finding(
                code="bead-too-near",
                where=bead.name,
                message=f"Bead '{bead.name}' {how}; it wants {room:.0f} mm of plain metal beside "
                "it (twice its depth: common practice, no source).",
                remedy="Move it, end it earlier, or make it shallower.",
            )
        )
    update = {"to_bead": gap, "nearest": nearest, "findings": tuple(doubts)}
    return bead.model_copy(update=update)


def _mirrored(bead: Bead, spec: BeadSpec) -> Bead:
    arrays = {
        "vertices": bead.vertices * ACROSS,
        "triangles": np.array(bead.triangles[:, ::-1]),
        "axis": bead.axis * ACROSS,
    }
    for array in arrays.values():
        array.setflags(write=False)
    return bead.model_copy(update={**arrays, "region": f"{spec.region} right", "findings": ()})
