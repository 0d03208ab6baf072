"""Regions that the job asks for, and the skin spanned over the lines."""

from collections.abc import Sequence
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.model.creases import CreaseSpec, CreaseTrack, LineBound
from buckwright.model.fact import Fact, Indices, Points2, Points3, Triangles
from buckwright.model.finding import Finding, PlacedFinding
from buckwright.model.louvres import LouvreField
from buckwright.model.rolled import RolledField
from buckwright.model.treatments import Bead, EdgeStrip, SkinMeeting, TrimDone

__all__ = [
    "LineMove",
    "LineTrack",
    "RegionSpec",
    "Skin",
    "SkinRegion",
    "loop_of",
    "stack_regions",
]


class RegionSpec(Fact):
    """One smooth region: what creases and free edges bound.

    `boundary` names lines in order round the region; the corner between two neighbours is
    where they cross; a single closed line may bound it alone.
    """

    name: str
    boundary: tuple[str, ...]
    inner: tuple[str, ...] = ()
    """Lines that lie on the region."""
    holes: tuple[str, ...] = ()
    """Lines inside which there is no metal: closed ones, and those that close a loop together."""
    creases: tuple[CreaseSpec, ...] = ()
    """Inner lines along which the region is sharp."""
    side: Literal["whole", "left"] = "whole"
    """A left region is built from its own lines and mirrored for the right."""
    outward: tuple[float, float, float] = (0.0, 0.0, 1.0)
    """Rough direction of the outside at the middle of the region."""
    rolled: float = 0.0
    """mm within which it is made exactly flat, cylindrical or conical; 0 leaves it as spanned."""


class LineTrack(Fact):
    """Vertices of the mesh along a line, in order; a closed track does not repeat its first."""

    line: str
    vertices: Indices
    closed: bool


class LineMove(Fact):
    """How far softening moved a line: its control points, mm each way."""

    line: str
    control: Points3


class SkinRegion(Fact):
    """The even triangle mesh of one region, outside seen counter-clockwise."""

    name: str
    side: Literal["whole", "left", "right"]
    vertices: Points3
    triangles: Triangles
    chart: Points2
    """(n, 2) mm, a flat picture of the region without folds, same triangles."""
    boundary: tuple[LineTrack, ...]
    """Pieces in order round the outer boundary, end of one = start of the next."""
    inner: tuple[LineTrack, ...]
    holes: tuple[LineTrack, ...]
    """Round the openings: closed tracks, and pieces of several lines in order round each."""
    line_error_most: float
    """mm, greatest distance from a line to the mesh."""
    line_error_rms: float
    creases: tuple[CreaseTrack, ...] = ()
    bounds: tuple[LineBound, ...] = ()
    """Each line of the region once: how far the skin keeps from it, and breaks across it."""
    rolled: tuple[RolledField, ...] = ()
    """Fields that are flat or bent in one direction only."""
    findings: tuple[PlacedFinding | Finding, ...] = ()

    def openings(self) -> tuple[tuple[LineTrack, ...], ...]:
        """The tracks round each opening, end of one = start of the next."""
        rings: list[tuple[LineTrack, ...]] = []
        start = -1
        for track in self.holes:
            ends = track.vertices[[0, -1]].tolist() if len(track.vertices) else [-1, -1]
            if start < 0:
                rings.append(())
                start = ends[0]
            rings[-1] = (*rings[-1], track)
            if track.closed or ends[1] == start:
                start = -1
        return tuple(rings)

    def corners(self) -> NDArray[np.float64]:
        """(m, 3, 3) corner points of the triangles."""
        return np.asarray(self.vertices[self.triangles], dtype=np.float64)


class Skin(Fact):
    """The outer surface of the body: all regions, left ones with their right mirror images."""

    regions: tuple[SkinRegion, ...]
    findings: tuple[PlacedFinding | Finding, ...] = ()
    meetings: tuple[SkinMeeting, ...] = ()
    """Lines in which regions cut each other, before any is trimmed."""
    trims: tuple[TrimDone, ...] = ()
    """Those that were done, in order."""
    strips: tuple[EdgeStrip, ...] = ()
    beads: tuple[Bead, ...] = ()
    louvres: tuple[LouvreField, ...] = ()
    moves: tuple[LineMove, ...] = ()
    """Of the lines that were softened before it was spanned."""

    def region(self, name: str, side: str | None = None) -> SkinRegion:
        """The region of that name (and side); KeyError if there is none."""
        for region in self.regions:
            if region.name == name and side in (None, region.side):
                return region
        raise KeyError(name)


def loop_of(tracks: Sequence[LineTrack]) -> NDArray[np.int64]:
    """Vertices round one closed track, or round several that follow each other to a loop."""
    return np.concatenate([t.vertices if t.closed else t.vertices[:-1] for t in tracks])


def stack_regions(
    regions: Sequence[SkinRegion],
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """All vertices (n, 3) and triangles (m, 3) of one or more regions as one mesh, in their order.

    Regions keep their own vertices where they share an edge.
    """
    starts = np.cumsum([0, *(len(region.vertices) for region in regions)])
    return (
        np.vstack([region.vertices for region in regions]),
        np.vstack([r.triangles + start for r, start in zip(regions, starts, strict=False)]),
    )
