"""The inner frame: the largest box of square tube that stands clear of the skin and the wires.

The box has square corners and stands upright, the same on both sides of the centre plane. Its
four rails (along x) run through from outside to outside, uprights stand between a lower and an
upper rail, cross tubes lie between the rails of the two sides; all ends are cut square.
"""

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.buck.inner_face import InnerFace
from buckwright.errors import JobError
from buckwright.model.buck import BuckSpec, FrameMember
from buckwright.tables.steel import tube_mass_per_mm

__all__ = ["Box", "find_box", "frame_members", "member_body"]

Array = NDArray[np.float64]

WIRE_ROOM = 5.0
"""mm kept between the frame's faces and the wires' tubes."""
LEAST_BOX = 150.0
"""mm between the axes of two members: a smaller box is of no use."""
SCAN = 40.0
"""mm between the places of the first rough search."""
STEPS = (32.0, 16.0, 8.0, 4.0, 2.0, 1.0)
"""mm by which the faces of the box are then moved."""


@dataclass(frozen=True, slots=True)
class Box:
    """Axes of the members: x from `front` to `rear`, y to `half_width` both ways, z."""

    front: float
    rear: float
    half_width: float
    low: float
    high: float

    @property
    def section_area(self) -> float:
        """mm^2 across x: what the search makes as large as it can."""
        return 2.0 * self.half_width * (self.high - self.low)


def _members_of(box: Box) -> list[tuple[str, Array, Array]]:
    """Name, start and end node of the twelve members."""
    z = {"lower": box.low, "upper": box.high}
    x = {"front": box.front, "rear": box.rear}
    y = {"left": -box.half_width, "right": box.half_width}
    rails = [
        (f"rail {a} {s}", np.array([box.front, y[s], z[a]]), np.array([box.rear, y[s], z[a]]))
        for a, s in product(z, y)
    ]
    crosses = [
        (f"cross {a} {e}", np.array([x[e], y["left"], z[a]]), np.array([x[e], y["right"], z[a]]))
        for a, e in product(z, x)
    ]
    uprights = [
        (f"upright {e} {s}", np.array([x[e], y[s], box.low]), np.array([x[e], y[s], box.high]))
        for e, s in product(x, y)
    ]
    return [*rails, *crosses, *uprights]


def member_body(member: FrameMember, section: float) -> tuple[Array, Array]:
    """Lowest and highest corner (3,) of the tube, nodes included: it lies along an axis."""
    half = 0.5 * section
    return (
        np.minimum(member.start, member.end) - half,
        np.maximum(member.start, member.end) + half,
    )


def _surface_lines(start: Array, end: Array, *, half: float, step: float) -> Array:
    """Points on eight lines along a tube: its four edges and the middles of its four faces."""
    along = (end - start) / np.linalg.norm(end - start)
    k = int(np.argmax(np.abs(along)))
    count = max(int(np.linalg.norm(end - start) / step), 1)
    share = np.linspace(0.0, 1.0, count + 1)[:, None]
    axis = (start - half * along) + share * (end - start + 2.0 * half * along)
    sides = [j for j in range(3) if j != k]
    offsets = np.zeros((8, 3))
    around = [pair for pair in product((-1.0, 0.0, 1.0), repeat=2) if pair != (0.0, 0.0)]
    offsets[:, sides] = half * np.array(around)
    return np.asarray((axis[None] + offsets[:, None]).reshape(-1, 3))


class _Clearance:
    """How much room a box leaves beyond what it must."""

    def __init__(self, spec: BuckSpec, face: InnerFace, wires: Array, *, floor: float) -> None:
        self.half, self.floor = 0.5 * spec.frame_section, floor
        self.clearance, self.face = spec.frame_clearance, face
        self.wires = cKDTree(wires) if len(wires) else None
        self.wire_room: float = 0.5 * spec.rod_diameter + WIRE_ROOM

    def _points(self, box: Box, step: float) -> Array:
        lines = [
            _surface_lines(start, end, half=self.half, step=step)
            for _, start, end in _members_of(box)
        ]
        return np.vstack(lines)

    def least(self, box: Box, *, step: float) -> float:
        """Least room to the inner face."""
        points, below = self._points(box, step), self.clearance + 5.0
        while (room := float(self.face.room(points, below=below).min())) >= below:
            below *= 2.0
        return room

    def holds(self, box: Box, *, step: float) -> bool:
        """Whether the box keeps off the floor, the wires and the inner face."""
        if box.low < self.floor:
            return False
        points = self._points(box, step)
        if self.wires is not None and self.wires.query(points)[0].min() < self.wire_room:
            return False
        return float(self.face.room(points, below=self.clearance).min()) >= self.clearance


def find_box(spec: BuckSpec, face: InnerFace, wires: Array) -> tuple[Box, float]:
    """The largest box between the spec's stations, and its least room to the inner face.

    `wires` are points (n, 3) close along the axes of all wires. Raises JobError if none fits.
    """
    half = 0.5 * spec.frame_section
    front, rear = spec.frame_x[0] + half, spec.frame_x[1] - half
    between = (face.vertices[:, 0] > front - 100.0) & (face.vertices[:, 0] < rear + 100.0)
    here = face.vertices[between]
    # The body is open below: the frame may not reach under the lowest sill.
    floor = float(here[:, 2].min(initial=np.inf)) + spec.frame_clearance + half
    clearance = _Clearance(spec, face, wires, floor=floor)
    rough = _rough_box(spec, face, here, front=front, rear=rear, floor=floor)
    box = _shrunk_until_clear(rough, clearance)
    if box is None:
        raise JobError(
            f"No frame of {spec.frame_section:g} mm tube fits between x = {spec.frame_x[0]:.0f} "
            f"and {spec.frame_x[1]:.0f} mm with {spec.frame_clearance:g} mm of clearance.",
            "Choose stations where the body is closed all round, or less clearance.",
        )
    for step in STEPS:
        box = _grown(box, step, clearance)
    while not clearance.holds(box, step=8.0):
        box = Box(box.front, box.rear, box.half_width - 0.5, box.low + 0.5, box.high - 0.5)
    return box, clearance.least(box, step=8.0)


def _rough_box(
    spec: BuckSpec, face: InnerFace, here: Array, *, front: float, rear: float, floor: float
) -> Box | None:
    """The largest box whose rails keep off the skin's vertices, on a 40 mm raster."""
    if rear - front < LEAST_BOX or not len(here):
        return None
    heights = np.arange(floor, float(here[:, 2].max()), SCAN)
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
        box = Box(front, rear, float(widths[i]), float(allowed[0]), float(allowed[-1]))
        if best is None or box.section_area > best.section_area:
            best = box
    return best


def _worth_having(box: Box) -> bool:
    return 2.0 * box.half_width >= LEAST_BOX and box.high - box.low >= LEAST_BOX


def _shrunk_until_clear(box: Box | None, clearance: _Clearance) -> Box | None:
    while box is not None and _worth_having(box):
        if clearance.holds(box, step=40.0):
            return box
        box = Box(box.front, box.rear, box.half_width - 16.0, box.low + 8.0, box.high - 16.0)
    return None


def _grown(box: Box, step: float, clearance: _Clearance) -> Box:
    moves = ((1, 0, 0), (0, -1, 0), (0, 0, 1), (1, 0, -1), (-1, 0, 1), (1, 1, 0), (-1, -1, 0))
    moved = True
    while moved:
        moved = False
        for wider, lower, higher in moves:
            tried = Box(
                box.front,
                box.rear,
                box.half_width + step * wider,
                box.low + step * lower,
                box.high + step * higher,
            )
            larger = tried.section_area > box.section_area
            if larger and _worth_having(tried) and clearance.holds(tried, step=40.0):
                box, moved = tried, True
    return box


def frame_members(box: Box, spec: BuckSpec) -> tuple[FrameMember, ...]:
    """The twelve members with the lengths to cut them to, ends square."""
    per_mm = tube_mass_per_mm(spec.frame_section, spec.frame_wall)
    members = []
    for name, start, end in _members_of(box):
        through = name.startswith("rail")
        length = float(np.linalg.norm(end - start))
        cut = length + spec.frame_section * (1.0 if through else -1.0)
        members.append(
            FrameMember(name=name, start=start, end=end, cut_length=cut, mass=cut * per_mm)
        )
    return tuple(members)
