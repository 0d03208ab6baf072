"""The largest box for the inner frame that stands clear of all that it must keep off."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import label
from scipy.spatial import cKDTree

from buckwright.buck.frame import Box, member_nodes, ring_stations
from buckwright.buck.inner_face import InnerFaces
from buckwright.buck.obstacles import Obstacles
from buckwright.buck.rods import Rod
from buckwright.errors import JobError
from buckwright.geometry.box_gaps import SquareBar, gap_of_boxes, square_gaps_to_boxes
from buckwright.model.buck import BuckSpec

__all__ = ["find_box"]

Array = NDArray[np.float64]

LEAST_BOX = 150.0
"""mm between the axes of two members: a smaller box is of no use."""
SCAN = 40.0
"""mm between the places of the first rough search."""
BAND = 110.0
"""mm round the rough box within which what stands in the way is looked at."""
FAR = 30.0
"""mm that a box may move before it looks round again: band less room, tube and step."""
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
CLOSE_STEP = 12.0
"""mm between points of a member's edges where the last word is spoken."""


@dataclass(frozen=True, slots=True, eq=False)
class _Rooms:
    """Whether a box has its room: quickly by points of what is near, exactly by the metal."""

    half: float
    floor: float
    clearance: float
    obstacles: Obstacles
    faces: InnerFaces
    near: tuple[tuple[Array, Array], ...] = ()
    """For each member points that stand near it, and the square of the room they need."""

    def bodies(self, box: Box) -> tuple[Array, Array]:
        nodes = np.array([(start, end) for _, start, end in member_nodes(box)])
        return nodes.min(axis=1) - self.half, nodes.max(axis=1) + self.half

    def around(self, box: Box) -> "_Rooms":
        """The same, looking for each member only at what lies within a band round it."""
        lows, highs = self.bodies(box)
        round_all = self.obstacles.near(lows.min(axis=0) - BAND, highs.max(axis=0) + BAND)
        near = [round_all.near(a, b) for a, b in zip(lows - BAND, highs + BAND, strict=True)]
        return replace(self, near=tuple((one.points, one.need**2) for one in near))

    def holds(self, box: Box) -> bool:
        """Whether the box keeps off the floor and what is near, as points tell."""
        if box.low < self.floor:
            return False
        lows, highs = self.bodies(box)
        people = (self.obstacles.people_low, self.obstacles.people_high)
        if gap_of_boxes(lows, highs, *people) < self.clearance:
            return False
        bodies = zip(self.near, lows, highs, strict=True)
        return all(
            bool((square_gaps_to_boxes(points, low[None], high[None]) >= square).all())
            for (points, square), low, high in bodies
        )

    def holds_exactly(self, box: Box) -> bool:
        """Whether it also keeps off the flat triangles of the skin."""
        bars = [SquareBar(s, e, self.half) for s, e in _ends(box, self.half)]
        points = np.vstack([bar.surface(CLOSE_STEP) for bar in bars])
        room = self.faces.room(points, below=self.clearance)
        return self.holds(box) and float(room.min()) >= self.clearance


def _ends(box: Box, half: float) -> list[tuple[Array, Array]]:
    """Both ends of every member's body, which reaches half a section past its nodes."""
    ends = []
    for _, start, end in member_nodes(box):
        past = half * (end - start) / np.linalg.norm(end - start)
        ends.append((start - past, end + past))
    return ends


def find_box(
    spec: BuckSpec,
    faces: InnerFaces,
    obstacles: Obstacles,
    rods: Sequence[Rod],
    *,
    floor: float,
    taken: Sequence[tuple[float, float]] = (),
) -> Box:
    """The largest box between the spec's stations, its lower axes not under `floor`.

    No ring stands within the stretches of x that are `taken`. Raises JobError if none fits.
    """
    half = 0.5 * spec.frame_section
    front, rear = spec.frame_x[0] + half, spec.frame_x[1] - half
    rings = ring_stations(front, rear, rods, taken=taken)
    rooms = _Rooms(half, floor, spec.frame_clearance, obstacles, faces)
    empty = Box(front, rear, rings, 0.0, floor, floor)
    rough = _rough_box(spec, obstacles, empty)
    box = _shrunk_until_clear(rough, rooms)
    if box is None:
        raise _no_room(spec)
    for step in STEPS:
        box = _grown(box, step, rooms)
    near = rooms.around(box)
    while not near.holds_exactly(box):
        box = box.moved(wider=-0.5, lower=0.5, higher=-0.5)
        if not _worth_having(box):
            raise _no_room(spec)
    return box


def _no_room(spec: BuckSpec) -> JobError:
    return JobError(
        f"No frame of {spec.frame_section:g} mm {spec.frame_kind} fits between x = "
        f"{spec.frame_x[0]:.0f} and {spec.frame_x[1]:.0f} mm with {spec.frame_clearance:g} mm "
        "of clearance.",
        "Choose stations where the body is closed all round, or less clearance.",
    )


def _rough_box(spec: BuckSpec, obstacles: Obstacles, empty: Box) -> Box | None:
    """The largest box whose rails keep off all points near their way, on a 40 mm raster.

    Seen along x a rail is a square: it must keep off whatever stands between its ends. Places
    are taken that hang together with the middle of the body. `empty` stands on the floor.
    """
    front, rear = empty.front, empty.rear
    x = obstacles.points[:, 0]
    here = obstacles.only((x > front) & (x < rear))
    if rear - front < LEAST_BOX or not len(here.points):
        return None
    heights = np.arange(empty.low, float(here.points[:, 2].max()), SCAN)
    widths = np.arange(0.5 * SCAN, float(np.abs(here.points[:, 1]).max()), SCAN)
    grid = np.stack(np.meshgrid(widths, heights, indexing="ij"), axis=-1).reshape(-1, 2)
    fits = np.ones(len(grid), dtype=bool)
    for need in np.unique(here.need):
        tree = cKDTree(here.points[here.need == need][:, 1:])
        for side in (-1.0, 1.0):
            near, _ = tree.query(grid * np.array([side, 1.0]))
            fits &= near > need + 0.5 * spec.frame_section
    rails = _joined(fits.reshape(len(widths), len(heights)))
    best = None
    for i in np.flatnonzero(rails.sum(axis=1) > 1):
        allowed = heights[rails[i]]
        low, high = float(allowed[0]), float(allowed[-1])
        box = replace(empty, half_width=float(widths[i]), low=low, high=high)
        if best is None or box.section_area > best.section_area:
            best = box
    return best


def _joined(fits: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The places that can be reached from those in the middle plane, which is the first row."""
    pieces, _ = label(fits)
    middle = np.unique(pieces[0][fits[0]])
    return np.asarray(fits & np.isin(pieces, middle))


def _worth_having(box: Box) -> bool:
    return 2.0 * box.half_width >= LEAST_BOX and box.high - box.low >= LEAST_BOX


def _shrunk_until_clear(box: Box | None, rooms: _Rooms) -> Box | None:
    while box is not None and _worth_having(box):
        if rooms.around(box).holds(box):
            return box
        box = box.moved(wider=-16.0, lower=8.0, higher=-16.0)
    return None


def _grown(box: Box, step: float, rooms: _Rooms) -> Box:
    """The box moved step by step while it grows; it looks round again when it has gone far."""
    near, seen, moved = rooms.around(box), box, True
    while moved:
        moved = False
        for wider, lower, higher in MOVES:
            tried = box.moved(wider=step * wider, lower=step * lower, higher=step * higher)
            larger = tried.section_area > box.section_area
            if larger and _worth_having(tried) and near.holds(tried):
                box, moved = tried, True
                if box.farthest_from(seen) > FAR:
                    near, seen = rooms.around(box), box
    return box
