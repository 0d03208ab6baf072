"""Regions of the skin trimmed: the piece on one side of a line over them taken away."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.cut_mesh import kept_part
from buckwright.geometry.flat_cut import FlatCut, chart_outline, cut_flat, pieces_between
from buckwright.geometry.mesh import MeshLocator, boundary_loops, triangle_areas
from buckwright.geometry.mesh_faults import triangle_pieces
from buckwright.geometry.polyline import polyline_length
from buckwright.model.creases import CreaseTrack
from buckwright.model.fact import frozen
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import LineTrack, Skin, SkinRegion
from buckwright.model.treatments import SkinMeeting, TrimDone, TrimSpec
from buckwright.skin.mirroring import mirrored_region
from buckwright.skin.rolled import rolled_left
from buckwright.skin.trim_lines import lay_trim

__all__ = ["trim_region", "trim_skin"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

LEAST = 1.0
"""mm^2; a piece smaller than this is rounding."""
OFF = 200.0
"""mm from the region beyond which a place does not say which piece is meant."""


def trim_skin(
    skin: Skin,
    trim: TrimSpec,
    network: LineNetwork | None,
    meetings: Sequence[SkinMeeting] | None = None,
) -> Skin:
    """The skin with one trim done, on the left and mirrored where a region is built left.

    `meetings` are those that a trim may name, the skin's own if None. Raises JobError as
    `trim_region`, and for a region that does not exist.
    """
    known = skin.meetings if meetings is None else meetings
    own = [r for r in skin.regions if r.name == trim.region and r.side != "right"]
    if not own:
        names = ", ".join(dict.fromkeys(region.name for region in skin.regions))
        raise JobError(
            f"Trim '{trim.name}' names the region '{trim.region}', which does not exist.",
            f"There are {names}.",
        )
    left, done = trim_region(own[0], trim, network, known)
    regions = []
    for region in skin.regions:
        same = region.name == trim.region
        right = same and region.side == "right"
        regions.append(mirrored_region(left) if right else left if same else region)
    return skin.model_copy(update={"regions": tuple(regions), "trims": (*skin.trims, done)})


def trim_region(
    region: SkinRegion,
    trim: TrimSpec,
    network: LineNetwork | None = None,
    meetings: Sequence[SkinMeeting] = (),
) -> tuple[SkinRegion, TrimDone]:
    """The region without the piece that holds `trim.away`, and what was done.

    The trim becomes part of its boundary, or a hole, under the trim's name. Raises JobError where
    the line does not part the region, where `away` is nowhere near it, or where the region would
    fall into pieces.
    """
    outline = chart_outline(region.chart, region.triangles)
    laid = lay_trim(trim, region, outline, network, meetings)
    pieces = [p for p in pieces_between(outline, laid.lines) if p.area > 1e-9 * outline.area]
    if len(pieces) < 2:
        raise JobError(
            f"Trim '{trim.name}' does not part region '{region.name}': it does not run from "
            "edge to edge, nor round.",
            "Draw it on to the region's edge at both ends, or closed.",
        )
    piece = pieces[_meant(region, trim, pieces)]
    mesh = (region.vertices, region.triangles, region.chart)
    cut = cut_flat(mesh, piece, laid.lines, free=_free(region))
    areas = triangle_areas(cut.vertices, cut.triangles)
    away, left = float(areas[cut.inside].sum()), float(areas[~cut.inside].sum())
    if min(away, left) < LEAST:
        raise JobError(
            f"Trim '{trim.name}' would leave nothing of region '{region.name}', or take nothing.",
            "Move it off the region's edge.",
        )
    trimmed = _without(region, cut, trim)
    points, closed = _new_edge(trimmed, trim.name)
    done = TrimDone(
        name=trim.name,
        region=region.name,
        points=points,
        closed=closed,
        length=_length(trimmed, trim.name),
        moved_most=float(laid.moved.max(initial=0.0)),
        moved_mean=float(laid.moved.mean()) if len(laid.moved) else 0.0,
        area_away=away,
        area_left=left,
    )
    return trimmed, done


def _meant(region: SkinRegion, trim: TrimSpec, pieces: Sequence[shapely.Polygon]) -> int:
    """Which of the pieces holds the place that is to go."""
    place = np.array([trim.away])
    locator = MeshLocator(region.vertices, region.triangles)
    off, _, triangle, weights = locator.closest(place)
    if abs(off[0]) > OFF:
        x, y, z = trim.away
        raise JobError(
            f"Trim '{trim.name}' takes away the piece at x {x:.0f}, y {y:.0f}, z {z:.0f}, which "
            f"lies {abs(off[0]):.0f} mm off region '{region.name}'.",
            "Name a place on the piece that is to go.",
        )
    flat = weights[0] @ region.chart[region.triangles[triangle[0]]]
    return int(np.argmin(shapely.distance(np.array(pieces), shapely.Point(flat))))


def _free(region: SkinRegion) -> NDArray[np.bool_]:
    """Vertices that lie on no line: they alone may be drawn onto a trim."""
    free = np.ones(len(region.vertices), dtype=np.bool_)
    for track in (*region.boundary, *region.inner, *region.holes):
        free[track.vertices] = False
    for loop in boundary_loops(region.triangles):
        free[loop] = False
    return free


def _without(region: SkinRegion, cut: FlatCut, trim: TrimSpec) -> SkinRegion:
    """The region without the piece, its tracks cut where they are and its new edge named."""
    vertices, triangles, used = kept_part(cut.vertices, cut.triangles[~cut.inside])
    if len(triangle_pieces(triangles)) and triangle_pieces(triangles).max() > 0:
        raise JobError(
            f"Trim '{trim.name}' would leave region '{region.name}' in pieces that do not hang "
            "together.",
            "Trim one end after the other, or make two regions of it.",
        )
    new = np.full(len(cut.vertices), -1, dtype=np.int64)
    new[used] = np.arange(len(used))
    middle = _middles(cut, len(region.vertices))
    named: dict[tuple[int, int], str] = {}
    for track in (*region.boundary, *region.holes):
        for chain in _chains(track.vertices, track.closed, middle, new):
            named.update({_key(a, b): track.line for a, b in pairwise(chain)})
    boundary, holes = _rim(triangles, vertices, cut.chart[used], named, trim.name)
    rim = {_key(a, b) for t in (*boundary, *holes) for a, b in _sides(t)}
    inner = [
        LineTrack(line=track.line, vertices=np.array(run), closed=closed)
        for track in region.inner
        for chain in _chains(track.vertices, track.closed, middle, new)
        for run, closed in _inside(chain, rim)
    ]
    kept = {"vertices": vertices, "triangles": triangles, "chart": cut.chart[used]}
    for array in kept.values():
        array.setflags(write=False)
    trimmed = region.model_copy(
        update={
            **kept,
            "boundary": boundary,
            "inner": tuple(inner),
            "holes": holes,
            "creases": tuple(_creases(region, cut, middle, new)),
        }
    )
    edge = [t.vertices for t in (*boundary, *holes) if t.line == trim.name]
    laid, fields = rolled_left(trimmed, region.rolled, cut=np.unique(np.concatenate(edge)))
    return trimmed.model_copy(update={"vertices": frozen(laid), "rolled": fields})


def _key(a: int, b: int) -> tuple[int, int]:
    return (a, b) if a < b else (b, a)


def _sides(track: LineTrack) -> list[tuple[int, int]]:
    chain = track.vertices.tolist()
    return list(pairwise([*chain, chain[0]] if track.closed else chain))


def _middles(cut: FlatCut, count: int) -> dict[tuple[int, int], int]:
    """The new vertex on each old edge that was halved."""
    return {_key(a, b): count + k for k, (a, b) in enumerate(cut.halved.tolist())}


def _chains(
    track: Index, closed: bool, middle: dict[tuple[int, int], int], new: Index
) -> list[list[int]]:
    """The runs of a track that are left, by new numbers; a whole closed one ends at its start."""
    old = track.tolist()
    full = []
    for a, b in pairwise([*old, old[0]] if closed else old):
        full += [a, middle[_key(a, b)]] if _key(a, b) in middle else [a]
    full.append(old[0] if closed else old[-1])
    numbers = new[np.array(full)].tolist()
    runs: list[list[int]] = [[]]
    for number in numbers:
        if number >= 0:
            runs[-1].append(number)
        elif runs[-1]:
            runs.append([])
    if closed and numbers[0] >= 0 and len(runs) > 1 and runs[-1]:
        runs[0] = [*runs.pop(), *runs[0][1:]]
    return [run for run in runs if len(run) > 1]


def _inside(chain: list[int], rim: set[tuple[int, int]]) -> list[tuple[list[int], bool]]:
    """The runs of a chain that do not lie on the rim, and whether each is closed."""
    runs: list[list[int]] = []
    for a, b in pairwise(chain):
        if _key(a, b) in rim:
            continue
        if runs and runs[-1][-1] == a:
            runs[-1].append(b)
        else:
            runs.append([a, b])
    return [(r[:-1], True) if len(r) > 3 and r[0] == r[-1] else (r, False) for r in runs]


def _rim(
    triangles: Index,
    vertices: Array,
    chart: Array,
    named: dict[tuple[int, int], str],
    trim: str,
) -> tuple[tuple[LineTrack, ...], tuple[LineTrack, ...]]:
    """Tracks round the outer edge, in order; one closed track for each hole that was trimmed."""
    loops = boundary_loops(triangles)
    areas = [abs(shapely.Polygon(chart[loop]).area) for loop in loops]
    outer = int(np.argmax(areas))
    holes = []
    for k, loop in enumerate(loops):
        if k == outer:
            continue
        names = {named.get(_key(a, b), trim) for a, b in pairwise([*loop, loop[0]])}
        if len(names) > 1 and trim not in names:
            holes += _runs_of(loop[::-1], named, trim)
            continue
        line = names.pop() if len(names) == 1 else trim
        holes.append(LineTrack(line=line, vertices=loop[::-1], closed=True))
    return tuple(_runs_of(loops[outer], named, trim)), tuple(holes)


def _runs_of(loop: Index, named: dict[tuple[int, int], str], trim: str) -> list[LineTrack]:
    ring = [*loop.tolist(), int(loop[0])]
    names = [named.get(_key(a, b), trim) for a, b in pairwise(ring)]
    starts = [k for k in range(len(names)) if names[k] != names[k - 1]]
    if not starts:
        return [LineTrack(line=names[0], vertices=loop, closed=True)]
    tracks = []
    for start, stop in pairwise([*starts, starts[0] + len(loop)]):
        around = np.arange(start, stop + 1) % len(loop)
        tracks.append(LineTrack(line=names[start], vertices=loop[around], closed=False))
    return tracks


def _creases(
    region: SkinRegion, cut: FlatCut, middle: dict[tuple[int, int], int], new: Index
) -> list[CreaseTrack]:
    """What is left of the creases; where one was cut its angle is that of the place before."""
    found = []
    for crease in region.creases:
        angle = dict(zip(crease.vertices.tolist(), crease.angles.tolist(), strict=True))
        for a, b in pairwise(crease.vertices.tolist()):
            if _key(a, b) in middle:
                angle[middle[_key(a, b)]] = angle[a]
        by_new = {int(new[old]): value for old, value in angle.items() if new[old] >= 0}
        for chain in _chains(crease.vertices, crease.closed, middle, new):
            closed = len(chain) > 3 and chain[0] == chain[-1]
            run = chain[:-1] if closed else chain
            found.append(
                CreaseTrack(
                    line=crease.line,
                    vertices=np.array(run),
                    closed=closed,
                    angles=np.array([by_new[number] for number in run]),
                )
            )
    return found


def _tracks(region: SkinRegion, name: str) -> list[LineTrack]:
    return [t for t in (*region.boundary, *region.holes) if t.line == name]


def _new_edge(region: SkinRegion, name: str) -> tuple[Array, bool]:
    """The longest piece of the new edge."""
    tracks = _tracks(region, name)
    longest = max(tracks, key=lambda t: len(t.vertices))
    return region.vertices[longest.vertices], longest.closed


def _length(region: SkinRegion, name: str) -> float:
    return sum(
        polyline_length(region.vertices[t.vertices], closed=t.closed) for t in _tracks(region, name)
    )
