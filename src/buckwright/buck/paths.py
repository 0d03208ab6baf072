"""Where a wire runs on the skin, before it is set in: along a line, or along a section.

A path is a smooth curve of the skin's outside with the outward normal along it; the axis of a rod
at any depth follows from the two. The normal is the region's own, also at free edges; where two
regions meet at a crease it points out of the corner, and depth counts as far along it as keeps the
rod off both (`creases`).
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline
from scipy.spatial import cKDTree

from buckwright.buck.creases import Creases
from buckwright.buck.line_runs import close_points, runs_of_line
from buckwright.errors import JobError
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.fit_curve import fit_close_points
from buckwright.geometry.mesh import section_mesh
from buckwright.geometry.spline import domain
from buckwright.model.buck import WireSpec
from buckwright.model.lines import Line
from buckwright.model.skin import SkinRegion

__all__ = ["Path", "line_paths", "mirrored_path", "section_paths"]

Array = NDArray[np.float64]

FIT_TOLERANCE = (0.02, 0.003)
"""mm for the place; for the normal, which moves an axis 25 mm deep by 0.08 mm at most."""


JAGGED = 1.0
"""mm by which the smooth curve may miss a point of the section before the section is refused."""


@dataclass(frozen=True, slots=True, eq=False)
class Path:
    """A stretch of the skin's outside.

    `curve` gives (3) the point, (3) the normal, (1) the way along it for each mm of depth: 1 but
    in a corner.
    """

    name: str
    spec: WireSpec
    words: str
    region: str
    side: Literal["whole", "left", "right"]
    curve: BSpline = field(repr=False)
    closed: bool
    start: float
    end: float
    piece: int = 0
    """Which piece of its wire, from 1; 0 if it is in one."""

    @property
    def identity(self) -> str:
        """Of the wire that was asked for."""
        return self.spec.identity or self.spec.name

    @property
    def asked(self) -> str:
        """The name that the job gave, without its side or the number of a piece."""
        return self.spec.name.removesuffix(" left").removesuffix(" right")

    @property
    def layer(self) -> int:
        """The least layer that the job gives it."""
        return self.spec.layer

    @property
    def along_line(self) -> bool:
        """Whether it follows a line, not a section."""
        return self.spec.line is not None

    def outside(self, at: Array) -> tuple[Array, Array]:
        """Points (n, 3) of the skin's outside and outward unit normals (n, 3)."""
        both = np.asarray(self.curve(at), dtype=np.float64)
        normals = both[:, 3:6]
        return both[:, :3], normals / np.linalg.norm(normals, axis=1, keepdims=True)

    def axis(self, at: Array, set_in: float) -> Array:
        """(n, 3) points set in from the outside along the normal."""
        every = np.asarray(self.curve(at), dtype=np.float64)
        size = np.linalg.norm(every[:, 3:6], axis=1, keepdims=True)
        return np.asarray(every[:, :3] - set_in * every[:, 6:] * every[:, 3:6] / size)

    def velocity(self, at: Array, set_in: float) -> Array:
        """(n, 3) derivative of the axis by the path's parameter."""
        every, slope = np.asarray(self.curve(at)), np.asarray(self.curve(at, nu=1))
        size = np.linalg.norm(every[:, 3:6], axis=1, keepdims=True)
        normals = every[:, 3:6] / size
        turn = slope[:, 3:6] - np.einsum("nd,nd->n", slope[:, 3:6], normals)[:, None] * normals
        sunk = slope[:, 6:] * normals + every[:, 6:] * turn / size
        return np.asarray(slope[:, :3] - set_in * sunk)

    def directions(self, at: Array, set_in: float) -> Array:
        """(n, 3) unit tangents of the axis."""
        velocity = self.velocity(at, set_in)
        return np.asarray(velocity / np.linalg.norm(velocity, axis=1, keepdims=True))

    def shortened(self, start: float, end: float) -> "Path":
        """The same path between two of its parameters, which may pass the start of a closed one."""
        return replace(self, start=start, end=end)

    def numbered(self, number: int, of: int) -> "Path":
        """The same path as the piece of that number of its wire; its name says so."""
        name = self.spec.name if of == 1 else f"{self.spec.name} {number}"
        return replace(self, name=_sided(name, self.side), piece=number if of > 1 else 0)


def _fitted(points: Array, leans: Array, *, closed: bool) -> BSpline:
    size = np.linalg.norm(leans, axis=1, keepdims=True)
    also = np.hstack([leans / size, size])
    return fit_close_points(points, also, tolerances=FIT_TOLERANCE, closed=closed)


def _sided(name: str, side: str) -> str:
    """Wires of a left region come in pairs: their names end in left and right."""
    return name if side == "whole" else f"{name.removesuffix(' left')} {side}"


def line_paths(
    spec: WireSpec,
    line: Line,
    region: SkinRegion,
    mesh: CurvedMesh,
    others: Sequence[tuple[SkinRegion, CurvedMesh]],
    creases: Creases,
) -> tuple[Path, ...]:
    """The wire along a line, one path for each run of it on the region, in its own sense.

    `others` are the regions that may join two runs. Raises JobError if the line is not on the
    region.
    """
    runs = runs_of_line(line, region, mesh, others, creases)
    if not runs:
        raise JobError(
            f"The wire '{spec.name}' follows the line '{line.name}', which does not lie on "
            f"'{region.name}'.",
            f"Name it among the lines of '{region.name}', or give the wire another region.",
        )
    paths = []
    for number, run in enumerate(runs, 1):
        curve = _fitted(*close_points(line, run), closed=run.closed)
        path = _path(line.name, spec, region, curve, closed=run.closed)
        paths.append(path.numbered(number, len(runs)))
    return tuple(paths)


def _path(words: str, spec: WireSpec, region: SkinRegion, curve: BSpline, *, closed: bool) -> Path:
    start, end = domain(curve)
    return Path(
        name=spec.name,
        spec=spec,
        words=words,
        region=region.name,
        side=region.side,
        curve=curve,
        closed=closed,
        start=start,
        end=end,
    )


def section_paths(
    spec: WireSpec, region: SkinRegion, mesh: CurvedMesh, *, shortest: float
) -> tuple[Path, ...]:
    """The wire along the section at the spec's plane, one path for each stretch of metal.

    Openings cut it. Stretches shorter than `shortest` (mm) are left out. They are numbered from
    the left, then from the front, then from below, and each runs that way too. Raises JobError
    if the plane misses the region or its section has a kink.
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
        if _worst_miss(curve, lifted) > JAGGED:
            raise JobError(
                f"The section of '{region.name}' at {axis} = {value:g} mm, for the wire "
                f"'{spec.name}', has a kink that no smooth rod follows.",
                "Move the plane off the edge or crease it runs along, or follow a line instead.",
            )
        path = _path(f"section {axis} = {value:g}", spec, region, curve, closed=closed)
        paths.append(path.numbered(number, len(sections)))
    return tuple(paths)


def _worst_miss(curve: BSpline, points: Array) -> float:
    start, end = domain(curve)
    along = np.linspace(start, end, max(int((end - start) / 0.5), 100))
    distance, _ = cKDTree(np.asarray(curve(along))[:, :3]).query(points)
    return float(distance.max())


def _forward(points: Array, *, closed: bool) -> Array:
    if closed:
        return points
    step = points[-1] - points[0]
    main = int(np.argmax(np.abs(step[[1, 0, 2]])))
    return points if step[[1, 0, 2]][main] >= 0.0 else points[::-1]


def mirrored_path(path: Path) -> Path:
    """The wire of the right side: mirrored in the centre plane, the same parameters."""
    flip = np.array([1.0, -1.0, 1.0, 1.0, -1.0, 1.0, 1.0])
    curve = BSpline(path.curve.t, path.curve.c * flip, path.curve.k, path.curve.extrapolate)
    name = f"{path.name.removesuffix(' left')} right"
    return replace(path, name=name, side="right", curve=curve)
