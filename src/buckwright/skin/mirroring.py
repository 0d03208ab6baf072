"""The right side as the mirror image of the left."""

import numpy as np

from buckwright.model.creases import LineBound
from buckwright.model.fact import frozen
from buckwright.model.skin import LineTrack, SkinRegion

__all__ = ["ACROSS", "mirrored_region", "right_name"]

ACROSS = np.array([1.0, -1.0, 1.0])


def mirrored_region(region: SkinRegion) -> SkinRegion:
    """The region mirrored in the centre plane: 'left' in its lines' names becomes 'right'.

    Vertex numbers stay; triangles are turned so that the outside is still counter-clockwise, and
    the boundary is followed the other way. Doubts stay with the left, whose lines they are about.
    """
    return region.model_copy(
        update={
            "side": "right",
            "vertices": frozen(region.vertices * ACROSS),
            "triangles": frozen(region.triangles[:, ::-1]),
            "chart": frozen(region.chart * np.array([1.0, -1.0]) + [0.0, region.chart[:, 1].max()]),
            "boundary": tuple(_mirrored(t, turned=True) for t in region.boundary[::-1]),
            "inner": tuple(_mirrored(t, turned=False) for t in region.inner),
            "holes": tuple(_mirrored(t, turned=False) for t in region.holes),
            "creases": tuple(
                c.model_copy(update={"line": right_name(c.line)}) for c in region.creases
            ),
            "bounds": tuple(_mirrored_bound(bound) for bound in region.bounds),
            "rolled": (),
            "findings": (),
        }
    )


def _mirrored(track: LineTrack, *, turned: bool) -> LineTrack:
    vertices = track.vertices[::-1] if turned else track.vertices
    return LineTrack(line=right_name(track.line), vertices=vertices, closed=track.closed)


def right_name(line: str) -> str:
    """The name of a line on the other side."""
    return " ".join("right" if word == "left" else word for word in line.split(" "))


def _mirrored_bound(bound: LineBound) -> LineBound:
    x, y, z = bound.place
    return bound.model_copy(update={"line": right_name(bound.line), "place": (x, -y, z)})
