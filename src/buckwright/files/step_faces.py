"""One trimmed B-spline face for a region of the skin."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline, make_interp_spline

from buckwright.files.part21 import Entities, quoted
from buckwright.geometry.mesh import edges_of
from buckwright.geometry.spline_surface import SplineSurface, fit_surface
from buckwright.model.skin import LineTrack, SkinRegion

__all__ = ["FittedRegion", "add_face", "fit_region"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

CLOSE = 0.05
"""mm; knots are laid closer until the surface is as near as this to the mesh's vertices."""
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
    best: FittedRegion | None = None
    for share in (2.0, 1.4, 1.0, 0.7):
        surface = fit_surface(
            region.chart, region.vertices, weights=weights, spacing=share * length
        )
        off = region.vertices - surface.points(region.chart)
        across = np.einsum("ij,ij->i", off, surface.normals(region.chart))
        most = float(np.abs(across).max())
        if best is None or most < best.off_most:
            best = FittedRegion(region, surface, most)
        if best.off_most < CLOSE:
            break
    assert best is not None
    return best


def add_face(entities: Entities, fitted: FittedRegion, name: str) -> str:
    """The reference of the region's face."""
    region, surface = fitted.region, fitted.surface
    basis = entities.spline_surface(3, (surface.knots_u, surface.knots_v), surface.control, name)
    plane = entities.add(
        "(GEOMETRIC_REPRESENTATION_CONTEXT(2)PARAMETRIC_REPRESENTATION_CONTEXT()"
        "REPRESENTATION_CONTEXT('2D SPACE',''))"
    )
    writer = _Bounds(entities, surface, basis, plane, region.chart)
    bounds = [writer.bound(region.boundary, outer=True)]
    bounds += [writer.bound((hole,), outer=False) for hole in region.holes]
    return entities.add(f"ADVANCED_FACE({quoted(name)},({','.join(bounds)}),{basis},.T.)")


class _Bounds:
    """Writes loops of edges on one surface."""

    def __init__(
        self, entities: Entities, surface: SplineSurface, basis: str, plane: str, chart: Array
    ) -> None:
        self.entities, self.surface = entities, surface
        self.basis, self.plane, self.chart = basis, plane, chart

    def bound(self, tracks: tuple[LineTrack, ...], *, outer: bool) -> str:
        """A bound: the outer one runs counter-clockwise on the chart, a hole's clockwise."""
        curves = [curve for track in tracks for curve in _chart_curves(track, self.chart)]
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

    def _vertex(self, place: Array) -> str:
        point = self.entities.point(self.surface.points(place[None])[0])
        return self.entities.add(f"VERTEX_POINT('',{point})")

    def _edge(self, curve: BSpline, start: str, end: str) -> str:
        """An edge with its curve in space and, for the same parameter, on the chart."""
        entities = self.entities
        at = _fine(curve, FINER)
        solid = make_interp_spline(at, self.surface.points(curve(at)), k=3)
        in_space = entities.spline_curve(3, solid.t, solid.c)
        flat = entities.spline_curve(curve.k, curve.t, curve.c)
        place = entities.add(f"DEFINITIONAL_REPRESENTATION('',({flat}),{self.plane})")
        on_chart = entities.add(f"PCURVE('',{self.basis},{place})")
        both = entities.add(f"SURFACE_CURVE('',{in_space},({on_chart}),.CURVE_3D.)")
        return entities.add(f"EDGE_CURVE('',{start},{end},{both},.T.)")


def _chart_curves(track: LineTrack, chart: Array) -> list[BSpline]:
    """Smooth curves on the chart through a track's vertices; a closed track is cut in two."""
    places = chart[track.vertices]
    if not track.closed:
        return [_through(places)]
    looped = np.vstack([places, places[:1]])
    whole = make_interp_spline(np.arange(len(looped)), looped, k=3, bc_type="periodic")
    half = len(places) // 2
    slopes = whole(np.array([0.0, float(half)]), nu=1)
    return [
        _through(looped[: half + 1], slopes[0], slopes[1]),
        _through(looped[half:], slopes[1], slopes[0]),
    ]


def _through(places: Array, first: Array | None = None, last: Array | None = None) -> BSpline:
    at = np.arange(len(places), dtype=np.float64)
    if first is not None and last is not None:
        return make_interp_spline(at, places, k=3, bc_type=([(1, first)], [(1, last)]))
    return make_interp_spline(at, places, k=min(3, len(places) - 1))


def _turned(curve: BSpline) -> BSpline:
    end = curve.t[-1] + curve.t[0]
    return BSpline(end - curve.t[::-1], curve.c[::-1], curve.k)


def _fine(curve: BSpline, pieces: int) -> Array:
    start, end = curve.t[curve.k], curve.t[-curve.k - 1]
    return np.linspace(start, end, pieces * max(round(float(end - start)), 1) + 1)


def _signed_area(around: Array) -> float:
    following = np.roll(around, -1, axis=0)
    return float(0.5 * (around[:, 0] * following[:, 1] - around[:, 1] * following[:, 0]).sum())
