"""The largest box for the inner frame that stands clear of the skin and the wires."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import product

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.buck.frame import Box, member_nodes, ring_stations
from buckwright.buck.inner_face import InnerFace
from buckwright.buck.rods import Rod
from buckwright.errors import JobError
from buckwright.model.buck import BuckSpec

__all__ = ["find_box"]

Array = NDArray[np.float64]

WIRE_ROOM = 5.0
"""mm kept between the frame's faces and the wires' tubes."""
LEAST_BOX = 150.0
"""mm between the axes of two members: a smaller box is of no use."""
SCAN = 40.0
"""mm between the places of the first rough search."""
EDGES = np.array(list(product((-1.0, 1.0), repeat=2)))
"""The four edges of a tube, in half sections from its axis."""
EDGES_AND_FACES = np.array([p for p in product((-1.0, 0.0, 1.0), repeat=2) if p != (0.0, 0.0)])
"""Its edges and the middles of its faces."""
EXCHANGES = ((1, 1), (1, 2), (1, 4), (2, 1), (4, 1))
MOVES = (
    (1, 0, 0),
    (0, -1, 0),
    (0, 0, 1),
    *((sign * a, sign * b, 0) for a, b in EXCHANGES for sign in (-1, 1)),
    *((sign * a, 0, -sign * b) for a, b in EXCHANGES for sign in (-1, 1)),
)
"""(wider, lower edge up, higher) in steps: one face alone, or width for height and back."""
STEPS = (32.0, 16.0, 8.0, 4.0, 2.0, 1.0)
"""mm by which the faces of the box are then moved."""


def _surface_lines(start: Array, end: Array, *, half: float, step: float, around: Array) -> Array:
    """Points on lines along a tube: `around` (k, 2) is where, in half sections from its axis."""
    along = (end - start) / np.linalg.norm(end - start)
    k = int(np.argmax(np.abs(along)))
    count = max(int(np.linalg.norm(end - start) / step), 1)
    share = np.linspace(0.0, 1.0, count + 1)[:, None]
    axis = (start - half * along) + share * (end - start + 2.0 * half * along)
    offsets = np.zeros((len(around), 3))
    offsets[:, [j for j in range(3) if j != k]] = half * around
    return np.asarray((axis[None] + offsets[:, None]).reshape(-1, 3))


class _Clearance:
    """How much room a box leaves beyond what it must."""

    def __init__(self, spec: BuckSpec, face: InnerFace, wires: Array, *, floor: float) -> None:
        self.half, self.floor = 0.5 * spec.frame_section, floor
        self.clearance, self.face = spec.frame_clearance, face
        self.wires = cKDTree(wires) if len(wires) else None
        self.wire_room: float = 0.5 * spec.rod_diameter + WIRE_ROOM

    def _points(self, box: Box, *, closely: bool) -> Array:
        around, step = (EDGES_AND_FACES, 12.0) if closely else (EDGES, 80.0)
        lines = [
            _surface_lines(start, end, half=self.half, step=step, around=around)
            for _, start, end in member_nodes(box)
        ]
        return np.vstack(lines)

    def least(self, box: Box) -> float:
        """Least room to the inner face."""
        points, below = self._points(box, closely=True), self.clearance + 5.0
        while (room := float(self.face.room(points, below=below).min())) >= below:
            below *= 2.0
        return room

    def holds(self, box: Box, *, closely: bool = False) -> bool:
        """Whether the box keeps off the floor, the wires and the inner face."""
        if box.low < self.floor:
            return False
        points = self._points(box, closely=closely)
        if self.wires is not None and self.wires.query(points)[0].min() < self.wire_room:
            return False
        return float(self.face.room(points, below=self.clearance).min()) >= self.clearance


def find_box(spec: BuckSpec, face: InnerFace, rods: Sequence[Rod]) -> tuple[Box, float]:
    """The largest box between the spec's stations, and its least room to the inner face.

    Raises JobError if none fits.
    """
    half = 0.5 * spec.frame_section
    front, rear = spec.frame_x[0] + half, spec.frame_x[1] - half
    wires = np.vstack([rod.points for rod in rods])
    between = (face.vertices[:, 0] > front - 100.0) & (face.vertices[:, 0] < rear + 100.0)
    here = face.vertices[between]
    # The body is open below: the frame may not reach under the lowest sill.
    floor = float(here[:, 2].min(initial=np.inf)) + spec.frame_clearance + half
    clearance = _Clearance(spec, face, wires, floor=floor)
    empty = Box(front, rear, ring_stations(front, rear, rods), 0.0, floor, floor)
    rough = _rough_box(spec, face, here, empty)
    box = _shrunk_until_clear(rough, clearance)
    if box is None:
        raise JobError(
            f"No frame of {spec.frame_section:g} mm tube fits between x = {spec.frame_x[0]:.0f} "
            f"and {spec.frame_x[1]:.0f} mm with {spec.frame_clearance:g} mm of clearance.",
            "Choose stations where the body is closed all round, or less clearance.",
        )
    for step in STEPS:
        box = _grown(box, step, clearance)
    while not clearance.holds(box, closely=True):
        box = box.moved(wider=-0.5, lower=0.5, higher=-0.5)
    return box, clearance.least(box)


def _rough_box(spec: BuckSpec, face: InnerFace, here: Array, empty: Box) -> Box | None:
    """The largest box whose rails keep off the skin's vertices, on a 40 mm raster.

    `empty` stands on the floor and has the right stations.
    """
    front, rear = empty.front, empty.rear
    if rear - front < LEAST_BOX or not len(here):
        return None
    heights = np.arange(empty.low, float(here[:, 2].max()), SCAN)
    widths = np.arange(SCAN, float(np.abs(here[:, 1]).max()), SCAN)
    stations = np.linspace(front, rear, max(int((rear - front) / 60.0), 2))
    grid = np.stack(np.meshgrid(widths, heights, stations, indexing="ij"), axis=-1)
    need = spec.frame_clearance + 0.5 * spec.frame_section
    fits = np.ones(grid.shape[:3], dtype=bool)
    for side in (-1.0, 1.0):
        points = np.stack([grid[..., 2], side * grid[..., 0], grid[..., 1]], axis=-1)
        fits &= face.rough_room(points.reshape(-1, 3)).reshape(fits.shape) > need
    rails = np.asarray(fits.all(axis=2))
    best = None
    for i in np.flatnonzero(rails.sum(axis=1) > 1):
        allowed = heights[rails[i]]
        low, high = float(allowed[0]), float(allowed[-1])
        box = replace(empty, half_width=float(widths[i]), low=low, high=high)
        if best is None or box.section_area > best.section_area:
            best = box
    return best


def _worth_having(box: Box) -> bool:
    return 2.0 * box.half_width >= LEAST_BOX and box.high - box.low >= LEAST_BOX


def _shrunk_until_clear(box: Box | None, clearance: _Clearance) -> Box | None:
    while box is not None and _worth_having(box):
        if clearance.holds(box):
            return box
        box = box.moved(wider=-16.0, lower=8.0, higher=-16.0)
    return None


def _grown(box: Box, step: float, clearance: _Clearance) -> Box:
    moved = True
    while moved:
        moved = False
        for wider, lower, higher in MOVES:
            tried = box.moved(wider=step * wider, lower=step * lower, higher=step * higher)
            larger = tried.section_area > box.section_area
            if larger and _worth_having(tried) and clearance.holds(tried):
                box, moved = tried, True
    return box
