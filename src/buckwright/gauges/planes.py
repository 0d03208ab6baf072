"""The planes that cards lie in, and how a card in any plane is held upright.

Seen upright, a card at a station is seen from behind (its x is the vehicle's y, its y is z), one
at a buttock from the left (x and z), one at a level from above with the front up (y and minus x);
an oblique one like the axis card that it is nearest to.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.polyline import arc_lengths
from buckwright.model.gauges import CardAtLine, CardPlane
from buckwright.model.lines import LineNetwork

__all__ = ["Axis", "CutPlane", "axis_plane", "given_plane", "plane_at_line"]

Array = NDArray[np.float64]
Axis = Literal["x", "y", "z"]

SAMPLES = 2000
ON_REGION = 8.0
"""mm within which a line must pass the region for a card to be set at it."""
_SQUARE = 1e-9


@dataclass(frozen=True, eq=False, slots=True)
class CutPlane:
    """A plane on the left side: a point on it and its unit normal, each (3,).

    With `reach`, only the profile within that many mm of the point is wanted.
    """

    point: Array
    normal: Array
    reach: float | None = None

    @property
    def axis(self) -> Axis:
        """The axis nearest to the normal."""
        names: tuple[Axis, Axis, Axis] = ("x", "y", "z")
        return names[int(np.argmax(np.abs(self.normal)))]

    @property
    def oblique(self) -> bool:
        """True where the plane is square to no axis."""
        return bool(np.abs(self.normal).max() < 1.0 - _SQUARE)

    def card_axes(self) -> Array:
        """(2, 3) vehicle directions of the card's x and y, as it is held upright."""
        viewer = {"x": 1.0, "y": -1.0, "z": 1.0}[self.axis]
        towards = self.normal * np.sign(self.normal["xyz".index(self.axis)]) * viewer
        up = np.array([-1.0, 0.0, 0.0] if self.axis == "z" else [0.0, 0.0, 1.0])
        up = up - (up @ towards) * towards
        up /= np.linalg.norm(up)
        return np.stack([np.cross(up, towards), up])


def axis_plane(axis: Axis, value: float) -> CutPlane:
    """The plane where that coordinate has that value."""
    across = np.eye(3)["xyz".index(axis)]
    return CutPlane(value * across, across)


def given_plane(plane: CardPlane) -> CutPlane:
    """The plane as it was given. Raises JobError for a normal without length."""
    normal = np.array(plane.normal)
    length = float(np.linalg.norm(normal))
    if not np.isfinite(length) or length < 1e-12:
        raise JobError(
            f"The gauge plane '{plane.name}' has no direction.",
            "Give its normal as three figures that are not all zero.",
        )
    return CutPlane(np.array(plane.point), normal / length)


def plane_at_line(spec: CardAtLine, network: LineNetwork, curved: CurvedMesh) -> CutPlane:
    """The plane through a place on a line that holds the surface's normal there.

    Raises JobError for a line that is not there, or does not lie on the region.
    """
    line = next((found for found in network.lines if found.name == spec.line), None)
    if line is None:
        raise JobError(
            f"A gauge is asked for at the line '{spec.line}', which the job does not have.",
            "Name one of the job's lines.",
        )
    points = line.points(SAMPLES)
    along = arc_lengths(points)
    at = spec.share * float(along[-1])
    ends = np.clip([at - 1.0, at + 1.0], 0.0, along[-1])
    before, after, here = (
        np.array([np.interp(s, along, points[:, k]) for k in range(3)]) for s in (*ends, at)
    )
    (foot,), (upright,) = curved.lift(here[None])
    if np.linalg.norm(foot - here) > ON_REGION:
        raise JobError(
            f"The line '{spec.line}' does not lie on the region at that place.",
            "Choose a line of the region, on the left where there are two, or another place.",
        )
    tangent = after - before
    tangent -= (tangent @ upright) * upright
    tangent /= np.linalg.norm(tangent)
    normal = tangent if spec.way == "across" else np.cross(upright, tangent)
    return CutPlane(foot, normal, spec.reach)
