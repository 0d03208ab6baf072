"""Trimmed B-spline faces: one for a region of the skin, and one for each patch set into it."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_interp_spline

from buckwright.files.part21 import Entities, quoted
from buckwright.files.step_treatments import Patch, even_ticks, sharp_corners
from buckwright.geometry.mesh import edges_of
from buckwright.geometry.spline_surface import SplineSurface, fit_surface
from buckwright.model.skin import LineTrack, SkinRegion

__all__ = ["FittedRegion", "add_face", "add_patch", "fit_region"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

CLOSE = 0.05
"""mm; knots are laid closer until the surface is as near as this to the mesh's vertices."""
RIM = 0.009
"""mm; and as near as this along its edge, where the next face must be sewn to it."""
FINER = 6
"""Pieces of an edge's curve in space to one step between vertices."""


@dataclass(frozen=True, eq=False, slots=True)
class FittedRegion:
    """A region's surface, and how far its mesh lies from it at most, mm."""

    region: SkinRegion
    surface: SplineSurface
    off_most: float


def fit_region(region: SkinRegion) -> FittedRegion:
    """The surface over the region's chart: knots two edge lengths apart, or less if need be."""
    edges, _ = edges_of(region.triangles)
    side = region.vertices[edges[:, 0]] - region.vertices[edges[:, 1]]
    length = float(np.linalg.norm(side, axis=1).mean())
    weights = np.ones(len(region.vertices))
    for track in region.boundary:
        # Seen from the next face, a gap at the edge is what shows.
        weights[track.vertices] = 10.0
    rim = weights > 1.0
    best, least = None, np.inf
    for share in (2.0, 1.4, 1.0, 0.7):
        surface = fit_surface(
            region.chart, region.vertices, weights=weights, spacing=share * length
        )
        off = region.vertices - surface.points(region.chart)
        across = np.einsum("ij,ij->i", off, surface.normals(region.chart))
        most = float(np.abs(across).max())
        open_by = float(np.linalg.norm(off[rim], axis=1).max(initial=0.0))
        worse = max(most / CLOSE, open_by / RIM)
        if worse < least:
            best, least = FittedRegion(region, surface, most), worse
        if least < 1.0:
            break
    assert best is not None
    return best


def add_face(
    entities: Entities, fitted: FittedRegion, name: str, openings: Sequence[Sequence[Array]] = ()
) -> str:
    """The reference of the region's face; `openings` have sides (n, 2) each on its chart."""
    region = fitted.region
    writer = _Bounds(entities, fitted.surface, name)
    bounds = [writer.tracked(region.boundary, region, outer=True)]
    bounds += [writer.tracked(ring, region, outer=False) for ring in region.openings()]
    bounds += [writer.bound([_through(side) for side in ring], outer=False) for ring in openings]
    return writer.face(bounds)


def add_patch(entities: Entities, patch: Patch, name: str) -> str:
    """The reference of the patch's face."""
    writer = _Bounds(entities, patch.surface, name)
    return writer.face([writer.bound([_through(side) for side in patch.sides()], outer=True)])


class _Bounds:
    """Writes loops of edges on one surface, and the face within them."""

    def __init__(self, entities: Entities, surface: SplineSurface, name: str) -> None:
        self.entities, self.surface, self.name = entities, surface, name
        knots = (surface.knots_u, surface.knots_v)
        self.basis = entities.spline_surface(3, knots, surface.control, name)
        self.plane = entities.add(
            "(GEOMETRIC_REPRESENTATION_CONTEXT(2)PARAMETRIC_REPRESENTATION_CONTEXT()"
            "REPRESENTATION_CONTEXT('2D SPACE',''))"
        )

    def face(self, bounds: list[str]) -> str:
        """The reference of the face within bounds, the outer one first."""
        return self.entities.add(
            f"ADVANCED_FACE({quoted(self.name)},({','.join(bounds)}),{self.basis},.T.)"
        )

    def tracked(self, tracks: tuple[LineTrack, ...], region: SkinRegion, *, outer: bool) -> str:
        """A bound along tracks of the mesh."""
        curves = [curve for track in tracks for curve in _chart_curves(track, region)]
        return self.bound(curves, outer=outer)

    def bound(self, curves: list[BSpline], *, outer: bool) -> str:
        """A bound: the outer one runs counter-clockwise on the chart, a hole's clockwise."""
        around = np.vstack([curve(_fine(curve, 4))[:-1] for curve in curves])
        if (_signed_area(around) > 0.0) != outer:
            curves = [_turned(curve) for curve in curves[::-1]]
        corners = [self._vertex(curve(curve.t[curve.k])) for curve in curves]
        edges = []
        for k, curve in enumerate(curves):
            edge = self._edge(curve, corners[k], corners[(k + 1) % len(curves)])
            edges.append(self.entities.add(f"ORIENTED_EDGE('',*,*,{edge},.T.)"))
        loop = self.entities.add(f"EDGE_LOOP('',({','.join(edges)}))")
        kind = "FACE_OUTER_BOUND" if outer else "FACE_BOUND"
        return self.entities.add(f"{kind}('',{loop},.T.)")

    def _points(self, places: Array) -> Array:
        """Points of the surface; rounding may lay a place beside its last knot."""
        ends = [(t[0], t[-1]) for t in (self.surface.knots_u, self.surface.knots_v)]
        low, high = np.array(ends).T
        return self.surface.points(np.clip(places, low, high))

    def _vertex(self, place: Array) -> str:
        point = self.entities.point(self._points(place[None])[0])
        return self.entities.add(f"VERTEX_POINT('',{point})")

    def _edge(self, curve: BSpline, start: str, end: str) -> str:
        """An edge with its curve in space and, for the same parameter, on the chart."""
        entities = self.entities
        at = _fine(curve, FINER)
        solid = make_interp_spline(at, self._points(curve(at)), k=3)
        in_space = entities.spline_curve(3, solid.t, solid.c)
        flat = entities.spline_curve(curve.k, curve.t, curve.c)
        place = entities.add(f"DEFINITIONAL_REPRESENTATION('',({flat}),{self.plane})")
        on_chart = entities.add(f"PCURVE('',{self.basis},{place})")
        both = entities.add(f"SURFACE_CURVE('',{in_space},({on_chart}),.CURVE_3D.)")
        return entities.add(f"EDGE_CURVE('',{start},{end},{both},.T.)")


def _chart_curves(track: LineTrack, region: SkinRegion) -> list[BSpline]:
    """Smooth curves on the chart through a track's vertices, parted at its corners.

    A closed track without corners is cut in two, its slopes kept.
    """
    places = region.chart[track.vertices]
    corners = sharp_corners(region.vertices[track.vertices], closed=track.closed)
    if not track.closed:
        ends = [0, *corners.tolist(), len(places) - 1]
        return [_through(places[a : b + 1]) for a, b in pairwise(ends)]
    start = int(corners[0]) if len(corners) else 0
    looped = np.vstack([np.roll(places, -start, axis=0), places[start : start + 1]])
    if len(corners) > 1:
        ends = [*(corners - start).tolist(), len(places)]
        return [_through(looped[a : b + 1]) for a, b in pairwise(ends)]
    bend = None if len(corners) else "periodic"
    at = even_ticks(looped)
    whole = make_interp_spline(at, looped, k=3, bc_type=bend)
    half = len(places) // 2
    first, middle, last = whole(at[[0, half, -1]], nu=1)
    return [
        _between(at[: half + 1], looped[: half + 1], first, middle),
        _between(at[half:], looped[half:], middle, last),
    ]


def _through(places: Array) -> BSpline:
    return make_interp_spline(even_ticks(places), places, k=min(3, len(places) - 1))


def _between(at: Array, places: Array, first: Array, last: Array) -> BSpline:
    """Through places at ticks, with these slopes at its ends."""
    return make_interp_spline(at, places, k=3, bc_type=([(1, first)], [(1, last)]))


def _turned(curve: BSpline) -> BSpline:
    end = curve.t[-1] + curve.t[0]
    return BSpline(end - curve.t[::-1], curve.c[::-1], curve.k)


def _fine(curve: BSpline, pieces: int) -> Array:
    start, end = curve.t[curve.k], curve.t[-curve.k - 1]
    return np.linspace(start, end, pieces * max(round(float(end - start)), 1) + 1)


def _signed_area(around: Array) -> float:
    following = np.roll(around, -1, axis=0)
    return float(0.5 * (around[:, 0] * following[:, 1] - around[:, 1] * following[:, 0]).sum())
