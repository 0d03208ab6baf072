"""Scanned parts that stand in the skin as they are."""

from typing import Literal

from buckwright.model.fact import Fact, Numbers, Points3

__all__ = ["OUTWARDS", "NamedPair", "ScanAxes", "ScanSource"]

OUTWARDS = {
    "up": (0.0, 0.0, 1.0),
    "left": (0.0, -1.0, 0.0),
    "right": (0.0, 1.0, 0.0),
    "front": (-1.0, 0.0, 0.0),
    "rear": (1.0, 0.0, 0.0),
}
"""Directions of the outside by the words that people use."""


class NamedPair(Fact):
    """A point that is known in the scan and in the vehicle."""

    name: str
    scan: tuple[float, float, float]
    """In the axes and the unit of the file."""
    vehicle: tuple[float, float, float]
    """mm."""


class ScanAxes(Fact):
    """How a scan was brought into vehicle axes: p = rotation @ (unit * p_file) + translation."""

    rotation: Points3
    """(3, 3)."""
    translation: Numbers
    """(3,) mm."""
    by: Literal["points", "region"]
    """Named points, or seating on a region of the skin."""
    names: tuple[str, ...]
    """Of the points, or of the one region."""
    off: Numbers
    """mm that each point lies off, those left out too; of a region the rms distance."""
    left_out: tuple[str, ...] = ()
    """Points that the others contradict."""


class ScanSource(Fact):
    """A scan that the job keeps, and how it is taken into the skin.

    Its coordinates are vehicle axes, unless `axes` brings them there; `unit` is the length of one
    of its units in millimetres.
    """

    name: str
    """Of the region that it becomes."""
    sha256: str
    """Digest of the file's bytes."""
    kind: Literal["stl", "ply", "obj", "xyz", "csv"]
    """Of the file; xyz and csv, and ply without triangles, are clouds of points."""
    unit: float = 1.0
    side: Literal["whole", "left"] = "whole"
    """A left scan is mirrored for the right."""
    outward: tuple[float, float, float] = (0.0, 0.0, 1.0)
    """Rough direction of the outside at its middle."""
    close_below: float = 0.0
    """mm: openings less far across are closed, as gaps of the scan; others stay open."""
    axes: ScanAxes | None = None
