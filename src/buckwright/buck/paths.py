"""Where a wire runs on the skin, before it is set in: along a line, or along a section.

A path is a smooth curve of the skin's outside with the outward normal along it. The normal is
the region's own, also at creases and free edges. The axis of a rod at any depth follows from it.
"""

from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from buckwright.errors import JobError
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.fit_curve import fit_close_points
from buckwright.geometry.mesh import section_mesh
from buckwright.geometry.spline import closest_parameters, domain
from buckwright.model.buck import WireSpec
from buckwright.model.lines import Line
from buckwright.model.skin import LineTrack, SkinRegion

__all__ = ["Path", "line_paths", "mirrored_path", "section_paths"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

FIT_TOLERANCE = (0.02, 0.003)
"""mm for the place; for the normal, which moves an axis 25 mm deep by 0.08 mm at most."""
SAMPLE = 4.0
"""mm between the points of a line that a path is fitted to."""


@dataclass(frozen=True, slots=True, eq=False)
class Path:
    """A stretch of the skin's outside: `curve` gives (3) the point and (3) the normal."""

    name: str
    words: str
    region: str
    side: Literal["whole", "left", "right"]
    curve: BSpline = field(repr=False)
    closed: bool
    start: float
    end: float
    along_line: bool
    layer: int

    def outside(self, at: Array) -> tuple[Array, Array]:
        """Points (n, 3) of the skin's outside and outward unit normals (n, 3)."""
        both = np.asarray(self.curve(at), dtype=np.float64)
        normals = both[:, 3:]
        return both[:, :3], normals / np.linalg.norm(normals, axis=1, keepdims=True)

    def axis(self, at: Array, set_in: float) -> Array:
        """(n, 3) points set in from the outside along the normal."""
        points, normals = self.outside(at)
        return np.asarray(points - set_in * normals)

    def velocity(self, at: Array, set_in: float) -> Array:
        """(n, 3) derivative of the axis by the path's parameter."""
        both, slope = np.asarray(self.curve(at)), np.asarray(self.curve(at, nu=1))
        size = np.linalg.norm(both[:, 3:], axis=1, keepdims=True)
        normals = both[:, 3:] / size
        turn = slope[:, 3:] - np.einsum("nd,nd->n", slope[:, 3:], normals)[:, None] * normals
        return np.asarray(slope[:, :3] - set_in * turn / size)

    def directions(self, at: Array, set_in: float) -> Array:
        """(n, 3) unit tangents of the axis."""
        velocity = self.velocity(at, set_in)
        return np.asarray(velocity / np.linalg.norm(velocity, axis=1, keepdims=True))

    def shortened(self, start: float, end: float) -> "Path":
        """The same path between two of its parameters."""
        return replace(self, start=start, end=end)


def _fitted(points: Array, normals: Array, *, closed: bool) -> BSpline:
    return fit_close_points(points, normals, tolerances=FIT_TOLERANCE, closed=closed)


def _joined(tracks: list[Index]) -> list[Index]:
    """Tracks that share an end vertex are joined, in the sense of the line."""
    chains = list(tracks)
    joined = True
    while joined:
        joined = False
        for i, first in enumerate(chains):
            follower = next(
                (j for j, other in enumerate(chains) if j != i and other[0] == first[-1]), None
            )
            if follower is not None:
                chains[i] = np.concatenate([first, chains[follower][1:]])
                del chains[follower]
                joined = True
                break
    return chains


def _tracks_of(region: SkinRegion, line: str) -> list[LineTrack]:
    every = [*region.boundary, *region.inner, *region.holes]
    return [track for track in every if track.line == line and len(track.vertices) > 1]


def _line_pieces(region: SkinRegion, line: Line) -> list[tuple[Index, Array, bool]]:
    """For each piece of the line on the region: vertex indices, parameters, whether closed."""
    curve = line.curve()
    opened: list[Index] = []
    pieces: list[tuple[Index, Array, bool]] = []
    for track in _tracks_of(region, line.name):
        at, _ = closest_parameters(curve, region.vertices[track.vertices], closed=line.closed)
        at = np.unwrap(at, period=1.0) if line.closed else at
        order = slice(None) if at[-1] >= at[0] else slice(None, None, -1)
        if track.closed:
            pieces.append((track.vertices[order], at[order], True))
        else:
            opened.append(np.asarray(track.vertices[order]))
    for chain in _joined(opened):
        ring = bool(chain[0] == chain[-1])
        vertices = chain[:-1] if ring else chain
        at, _ = closest_parameters(curve, region.vertices[vertices], closed=line.closed)
        at = np.unwrap(at, period=1.0) if line.closed else at
        pieces.append((vertices, at, ring))
    return sorted(pieces, key=lambda piece: float(piece[1][0]))


def _along_line(
    mesh: CurvedMesh, line: Line, piece: tuple[Index, Array, bool]
) -> tuple[Array, Array]:
    """Close points and normals: the line's own smooth curve, moved onto the skin's vertices.

    The skin may have let a line go by a part of its doubt; between vertices that small gap and
    the normal are carried on linearly, and the fit that follows smooths them.
    """
    vertices, at, closed = piece
    order = np.argsort(at, kind="stable")
    vertices, at = vertices[order], at[order]
    curve = line.curve()
    start, end = domain(curve)
    gaps = mesh.vertices[vertices] - np.asarray(curve(at if line.closed else at.clip(start, end)))
    first, last = float(at[0]), float(at[-1])
    if closed:
        at = np.append(at, at[0] + 1.0)
        last, gaps = first + 1.0, np.vstack([gaps, gaps[:1]])
        vertices = np.append(vertices, vertices[0])
    probe = np.asarray(curve(np.linspace(first, last, 400)))
    length = float(np.linalg.norm(np.diff(probe, axis=0), axis=1).sum())
    count = max(int(length / SAMPLE), 8)
    samples = np.linspace(first, last, count + 1)[: count if closed else None]
    normals = mesh.normals[vertices]
    carried = np.column_stack(
        [np.interp(samples, at, column) for column in np.hstack([gaps, normals]).T]
    )
    return np.asarray(curve(samples)) + carried[:, :3], carried[:, 3:]


def _side_name(name: str, side: str) -> str:
    """Wires of a left region come in pairs: their names end in left and right."""
    return name if side == "whole" or name.endswith(" left") else f"{name} left"


def _numbered(name: str, number: int, of: int) -> str:
    return name if of == 1 else f"{name} {number}"


def line_paths(
    spec: WireSpec, line: Line, region: SkinRegion, mesh: CurvedMesh
) -> tuple[Path, ...]:
    """The wire along a line, one path for each piece of it on the region, in its own sense.

    Raises JobError if the line is not on the region.
    """
    pieces = _line_pieces(region, line)
    if not pieces:
        raise JobError(
            f"The wire '{spec.name}' follows the line '{line.name}', which does not lie on "
            f"'{region.name}'.",
            f"Name it among the lines of '{region.name}', or give the wire another region.",
        )
    paths = []
    for number, piece in enumerate(pieces, 1):
        points, normals = _along_line(mesh, line, piece)
        curve = _fitted(points, normals, closed=piece[2])
        name = _numbered(spec.name, number, len(pieces))
        paths.append(_path(name, line.name, spec, region, curve, closed=piece[2]))
    return tuple(paths)


def _path(
    name: str, words: str, spec: WireSpec, region: SkinRegion, curve: BSpline, *, closed: bool
) -> Path:
    start, end = domain(curve)
    return Path(
        name=_side_name(name, region.side),
        words=words,
        region=region.name,
        side=region.side,
        curve=curve,
        closed=closed,
        start=start,
        end=end,
        along_line=spec.line is not None,
        layer=spec.layer,
    )


def section_paths(
    spec: WireSpec, region: SkinRegion, mesh: CurvedMesh, *, shortest: float
) -> tuple[Path, ...]:
    """The wire along the section at the spec's plane, one path for each stretch of metal.

    Openings cut it. Stretches shorter than `shortest` (mm) are left out. They are numbered from
    the left, then from the front, then from below, and each runs that way too. Raises JobError
    if the plane misses the region.
    """
    assert spec.plane is not None
    axis, value = spec.plane
    k = "xyz".index(axis)
    normal, origin = np.eye(3)[k], np.eye(3)[k] * value
    above = (region.vertices[:, k] >= value)[region.triangles].sum(axis=1)
    cut = region.triangles[(above > 0) & (above < 3)]
    found = section_mesh(region.vertices, cut, origin=origin, normal=normal)
    sections = [
        (_forward(points, closed=closed), closed)
        for points, closed in found
        if len(points) > 3 and np.linalg.norm(np.diff(points, axis=0), axis=1).sum() > shortest
    ]
    if not sections:
        low, high = region.vertices[:, k].min(), region.vertices[:, k].max()
        raise JobError(
            f"The wire '{spec.name}' lies at {axis} = {value:g} mm, where '{region.name}' has no "
            "metal.",
            f"Choose a plane between {axis} = {low:.0f} and {high:.0f} mm.",
        )
    sections.sort(key=lambda s: tuple(s[0].mean(axis=0)[[1, 0, 2]].round(1)))
    paths = []
    for number, (points, closed) in enumerate(sections, 1):
        lifted, normals = mesh.on_plane(points, origin, normal)
        curve = _fitted(lifted, normals, closed=closed)
        name = _numbered(spec.name, number, len(sections))
        words = f"section {axis} = {value:g}"
        paths.append(_path(name, words, spec, region, curve, closed=closed))
    return tuple(paths)


def _forward(points: Array, *, closed: bool) -> Array:
    if closed:
        return points
    step = points[-1] - points[0]
    main = int(np.argmax(np.abs(step[[1, 0, 2]])))
    return points if step[[1, 0, 2]][main] >= 0.0 else points[::-1]


def mirrored_path(path: Path) -> Path:
    """The wire of the right side: mirrored in the centre plane, the same parameters."""
    flip = np.array([1.0, -1.0, 1.0, 1.0, -1.0, 1.0])
    curve = BSpline(path.curve.t, path.curve.c * flip, path.curve.k, path.curve.extrapolate)
    name = path.name.removesuffix(" left") + " right"
    return replace(path, name=name, side="right", curve=curve)
