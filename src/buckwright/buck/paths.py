"""Where a wire runs on the skin, before it is set in: along a line, or along a section.

A path is a smooth curve of the skin's outside with the outward normal along it. The normal is
the region's own, also at creases and free edges. The axis of a rod at any depth follows from it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline
from scipy.spatial import cKDTree

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
    """A stretch of the skin's outside: `curve` gives (3) the point and (3) the normal."""

    name: str
    asked: str
    """The name that the job gave, without its side or the number of a piece."""
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


def _side_name(name: str, side: str) -> str:
    """Wires of a left region come in pairs: their names end in left and right."""
    return name if side == "whole" or name.endswith(" left") else f"{name} left"


def _numbered(name: str, number: int, of: int) -> str:
    return name if of == 1 else f"{name} {number}"


def line_paths(
    spec: WireSpec,
    line: Line,
    region: SkinRegion,
    mesh: CurvedMesh,
    others: Sequence[tuple[SkinRegion, CurvedMesh]] = (),
) -> tuple[Path, ...]:
    """The wire along a line, one path for each run of it on the region, in its own sense.

    `others` are the regions that may join two runs. Raises JobError if the line is not on the
    region.
    """
    runs = runs_of_line(line, region, mesh, others)
    if not runs:
        raise JobError(
            f"The wire '{spec.name}' follows the line '{line.name}', which does not lie on "
            f"'{region.name}'.",
            f"Name it among the lines of '{region.name}', or give the wire another region.",
        )
    paths = []
    for number, run in enumerate(runs, 1):
        curve = _fitted(*close_points(line, run), closed=run.closed)
        name = _numbered(spec.name, number, len(runs))
        paths.append(_path(name, line.name, spec, region, curve, closed=run.closed))
    return tuple(paths)


def _path(
    name: str, words: str, spec: WireSpec, region: SkinRegion, curve: BSpline, *, closed: bool
) -> Path:
    start, end = domain(curve)
    return Path(
        name=_side_name(name, region.side),
        asked=spec.name.removesuffix(" left").removesuffix(" right"),
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
        name = _numbered(spec.name, number, len(sections))
        words = f"section {axis} = {value:g}"
        paths.append(_path(name, words, spec, region, curve, closed=closed))
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
    flip = np.array([1.0, -1.0, 1.0, 1.0, -1.0, 1.0])
    curve = BSpline(path.curve.t, path.curve.c * flip, path.curve.k, path.curve.extrapolate)
    name = path.name.removesuffix(" left") + " right"
    return replace(path, name=name, side="right", curve=curve)
