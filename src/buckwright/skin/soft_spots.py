"""Soft spots: dips in the skin that no line asks for."""

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.curvature import Curvatures
from buckwright.geometry.hollows import EDGE, Hollow, find_hollows
from buckwright.geometry.mesh import level_lines, vertex_normals
from buckwright.geometry.polyline import arc_lengths, resample_polyline
from buckwright.model.crowns import CrownLimits, SoftSpot
from buckwright.model.lines import Line, LineNetwork
from buckwright.model.skin import SkinRegion
from buckwright.skin.turned import TurnedPlace, turned_places

__all__ = ["line_dip", "mirrored_spot", "soft_spots"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Kind = Literal["hollow", "flat spot", "reverse"]

FAULTS = {"hollow": "dips", "flat spot": "is too flat", "reverse": "turns inward"}

ASKED = 0.5
"""A line asks for a dip if it dips by this share of it itself."""
STEP = 5.0
"""mm between the points at which a line is looked at."""
DEGREE = 5
"""Of the curve laid across a dip of a line; each side must show two points for each degree."""


def soft_spots(
    region: SkinRegion, bends: Curvatures, network: LineNetwork, limits: CrownLimits
) -> tuple[SoftSpot, ...]:
    """Dips and reverse places of the region that none of its lines has itself, deepest first.

    Of a line that runs over a dip its own course in the network counts: left out across the
    dip and laid fair from both sides, it must come to lie above itself too. A reverse place is
    asked for by a line that is bent inward there itself.
    """
    found = find_hollows(
        region.chart,
        region.vertices,
        region.triangles,
        bends.mean,
        least=limits.least_dip,
        wave=limits.widest_dip,
    )
    normals = vertex_normals(region.vertices, region.triangles)
    names = {t.line for t in (*region.boundary, *region.inner, *region.holes)}
    lines = [line for line in network.lines if line.name in names]
    # The bottom of a crease is no dip: it was asked for.
    sharp = np.concatenate([np.zeros(0, np.int64), *(c.vertices for c in region.creases)])
    hollows = [hollow for hollow in found if not np.isin(sharp, hollow.members).any()]
    spots = [
        _spot(region, bends, hollow)
        for hollow in hollows
        if not any(_asks(line, region, normals, hollow) for line in lines)
    ]
    middles = [hollow.deepest for hollow in hollows]
    spots += [
        _reversed(region, bends, place, limits)
        for place in turned_places(region, bends, network, limits)
        if not np.isin([*middles, *sharp], place.members).any()
    ]
    return tuple(sorted(spots, key=lambda spot: -spot.depth))


def _asks(line: Line, region: SkinRegion, normals: Array, hollow: Hollow) -> bool:
    place = region.vertices[hollow.deepest]
    reach = float(np.linalg.norm(region.vertices[hollow.members] - place, axis=1).max())
    own = line_dip(line, place, normals[hollow.deepest], reach)
    return own >= ASKED * hollow.depth


def line_dip(line: Line, place: Array, normal: Array, reach: float) -> float:
    """How far, in mm, a line lies below itself laid fair across the ball round `place` (3,).

    `reach` is the radius of the dip, mm; half as much is left out beside it, and the line is held
    on from there for another two. Nothing for a line that does not pass within half the reach,
    or that ends too near.
    """
    rough = line.points(401)
    points = resample_polyline(rough, max(2, int(arc_lengths(rough)[-1] / STEP) + 1))
    gap = np.linalg.norm(points - place, axis=1)
    nearest = int(np.argmin(gap))
    if gap[nearest] > 0.5 * reach:
        return 0.0
    if line.closed:
        points = np.roll(points[:-1], len(points) // 2 - nearest, axis=0)
        nearest = int(np.argmin(np.linalg.norm(points - place, axis=1)))
    along = arc_lengths(points)
    away = along - along[nearest]
    inside = np.abs(away) < 1.5 * reach
    held = ~inside & (np.abs(away) < 3.5 * reach)
    if min((held & (away < 0.0)).sum(), (held & (away > 0.0)).sum()) < 2 * DEGREE:
        return 0.0
    fit = np.polynomial.Polynomial.fit(away[held], (points @ normal)[held], DEGREE)
    return float((fit(away[inside]) - (points @ normal)[inside]).max())


def mirrored_spot(spot: SoftSpot) -> SoftSpot:
    """The soft spot of the right region whose left one has it."""
    across = np.array([1.0, -1.0, 1.0])
    moved = spot.model_copy(
        update={
            "side": "right",
            "point": spot.point * across,
            "outward": spot.outward * across,
            "outline": spot.outline * across,
        }
    )
    return moved.model_copy(update={"words": _words(moved)})


def _spot(region: SkinRegion, bends: Curvatures, hollow: Hollow) -> SoftSpot:
    kind: Kind = "hollow" if bends.lesser[hollow.deepest] < 0.0 else "flat spot"
    edge = hollow.below - EDGE * hollow.depth
    return _told(region, bends, kind, hollow.deepest, hollow.members, hollow.depth, edge)


def _reversed(
    region: SkinRegion, bends: Curvatures, place: TurnedPlace, limits: CrownLimits
) -> SoftSpot:
    edge = -1.0 / limits.flat - bends.lesser
    return _told(region, bends, "reverse", place.middle, place.members, place.depth, edge)


def _told(
    region: SkinRegion,
    bends: Curvatures,
    kind: Kind,
    deepest: int,
    members: Index,
    depth: float,
    edge: Array,
) -> SoftSpot:
    """The spot with its size; `edge` (n,) is nothing along the line round it."""
    off = region.vertices[members] - region.vertices[members].mean(axis=0)
    ways = np.linalg.svd(off, full_matrices=False)[2]
    length, width = sorted((float(np.ptp(off @ way)) for way in ways[:2]), reverse=True)
    spot = SoftSpot(
        region=region.name,
        side=region.side,
        point=region.vertices[deepest][None],
        outward=bends.normals[deepest][None],
        depth=depth,
        length=length,
        width=width,
        kind=kind,
        outline=_outline(region, members, edge),
        words="",
    )
    return spot.model_copy(update={"words": _words(spot)})


def _words(spot: SoftSpot) -> str:
    name = spot.region if spot.side == "whole" else f"{spot.region} {spot.side}"
    fault = FAULTS[spot.kind]
    x, y, z = spot.point[0]
    return (
        f"The skin of '{name}' {fault} by {spot.depth:.1f} mm round x {x:.0f}, y {y:.0f}, "
        f"z {z:.0f}, over {spot.length:.0f} by {spot.width:.0f} mm, and no line asks for it."
    )


def _outline(region: SkinRegion, members: Index, edge: Array) -> Array:
    """(k, 3) the longest line round the members along which `edge` is nothing."""
    around = region.triangles[np.isin(region.triangles, members).any(axis=1)]
    chains = level_lines(around, edge)
    if not chains:
        return region.vertices[members]
    ends, part, closed = max(chains, key=lambda chain: len(chain[0]))
    low, high = region.vertices[ends[:, 0]], region.vertices[ends[:, 1]]
    points = low + part[:, None] * (high - low)
    return np.asarray(np.vstack([points, points[:1]]) if closed else points)
