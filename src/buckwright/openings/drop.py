"""Side glass let down inside its door: how far it goes, and the room round it on the way.

A pane moves in its own surface: flat glass slides, a cylinder turns about its axis, and either
may shift along it at the same time, so that it goes straight down as seen from the side.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.cylinder import Cylinder
from buckwright.geometry.mesh import MeshLocator, boundary_loops
from buckwright.geometry.polyline import closest_on_polyline
from buckwright.model.openings import Drop, GlassSpec, Pane
from buckwright.model.skin import SkinRegion
from buckwright.openings.glass import pane_surface
from buckwright.openings.part import Part

__all__ = ["drop_glass"]

Array = NDArray[np.float64]

STEPS = 25
HALVINGS = 12
GRID, ROUND = 45.0, 22.0
"""mm between points of the pane, inside it and along its edge."""
RIM = 0.05
"""mm from a rim of the skin within which a foot lies on it: beyond, there is no metal."""


@dataclass(frozen=True, eq=False, slots=True)
class _Room:
    """The hollow of the door: its skin, its rims, its return edge laid flat like the pane."""

    surface: Cylinder
    points: Array
    direction: Array
    locator: MeshLocator
    rims: tuple[Array, ...]
    walls: shapely.Polygon
    outline: shapely.Polygon
    half: float
    metal: float
    thickness: float

    def depths(self, step: float) -> Array:
        """(k,) how deep the pane's middle lies behind the outer skin, where there is metal."""
        there = self.surface.roll(self.points + step * self.direction)
        signed, foot, _, _ = self.locator.closest(there)
        behind = np.ones(len(there), dtype=bool)
        for rim in self.rims:
            behind &= closest_on_polyline(foot, rim, closed=True)[0] > RIM
        return -signed[behind]

    def room(self, step: float) -> tuple[float, float, float]:
        """Least room outside, inside, and to the return edge; infinite where nothing is near."""
        deep = self.depths(step)
        outer = float(deep.min()) - self.half - self.metal if len(deep) else np.inf
        inner = self.metal + self.thickness - float(deep.max()) - self.half if len(deep) else np.inf
        moved = shapely.transform(self.outline, lambda xy: xy + step * self.direction)
        return outer, inner, _within(moved, self.walls)


def drop_glass(
    pane: Pane, spec: GlassSpec, part: Part, region: SkinRegion, *, metal: float, thickness: float,
    of: str,
) -> Drop:  # fmt: skip
    """The pane let down by `spec.drop`, or by its window's height, inside the door.

    Raises JobError for glass as thick as the door.
    """
    if spec.thickness >= thickness:
        raise JobError(
            f"The glass of '{of}' is {spec.thickness:g} mm thick and the door only "
            f"{thickness:g} mm.",
            "Take thinner glass or a thicker door.",
        )
    surface = pane_surface(pane)
    direction = _downward(surface)
    flat = surface.develop(pane.edge)
    wanted = spec.drop if spec.drop is not None else float(np.ptp(flat @ direction))
    room = _Room(
        surface=surface,
        points=_sampled(pane.outline),
        direction=direction,
        locator=MeshLocator(region.vertices, part.uncut),
        rims=tuple(region.vertices[ring] for ring in boundary_loops(part.uncut)),
        walls=_walls(part, surface, thickness),
        outline=shapely.Polygon(pane.outline),
        half=0.5 * spec.thickness,
        metal=metal,
        thickness=thickness,
    )
    steps = np.linspace(0.0, wanted, STEPS)
    rooms = np.array([room.room(float(step)) for step in steps])
    reached, stopped = _how_far(room, steps, rooms)
    finite = np.where(np.isfinite(rooms), rooms, thickness)
    return Drop(
        wanted=wanted,
        reached=reached,
        stopped_by=stopped,
        steps=steps,
        outer=finite[:, 0],
        inner=finite[:, 1],
        edge=finite[:, 2],
        direction=(float(direction[0]), float(direction[1])),
        needed=_needed(rooms, spec, thickness),
        shift=_shift(rooms, spec),
    )


def _downward(surface: Cylinder) -> Array:
    """Unit, in the flat pane: down without moving fore or aft, as seen at the pane's middle."""
    across, along = surface.axes[0], surface.axes[1]
    # Square to the vehicle's x axis within the pane; for a pane across the vehicle, to y.
    axis = int(np.argmin(np.abs(surface.axes[2, :2])))
    way = np.array([-along[axis], across[axis]])
    size = float(np.linalg.norm(way))
    way = way / size if size > 1e-9 else np.array([1.0, 0.0])
    down = way[0] * across[2] + way[1] * along[2]
    return np.asarray(-way if down > 0.0 else way)


def _sampled(outline: Array) -> Array:
    """Points all over the flat piece: along its edge and on a grid."""
    polygon = shapely.Polygon(outline)
    ring = polygon.exterior
    round_ = [ring.interpolate(at) for at in np.arange(0.0, ring.length, ROUND)]
    low, high = outline.min(axis=0), outline.max(axis=0)
    grid = np.stack(
        np.meshgrid(*(np.arange(low[k], high[k], GRID) for k in (0, 1))), axis=-1
    ).reshape(-1, 2)
    kept = grid[shapely.contains_xy(polygon, grid[:, 0], grid[:, 1])]
    return np.vstack([[(point.x, point.y) for point in round_], kept])


def _walls(part: Part, surface: Cylinder, thickness: float) -> shapely.Polygon:
    """The return edge half way in, laid flat like the pane."""
    return shapely.Polygon(surface.develop(part.rim.row(1.0, 0.5 * thickness))).buffer(0.0)


def _within(inner: shapely.Polygon, walls: shapely.Polygon) -> float:
    """Room in mm between a piece and the walls round it; negative by as much as it stands out."""
    if walls.contains(inner):
        return float(walls.exterior.distance(inner))
    ring = shapely.points(np.asarray(inner.exterior.coords))
    outside = ring[~shapely.covers(walls, ring)]
    return -float(shapely.distance(walls, outside).max()) if len(outside) else 0.0


_WALLS = ("the outer metal", "the trim", "the edge of the door")


def _how_far(room: _Room, steps: Array, rooms: Array) -> tuple[float, str]:
    """How far the pane goes before something is touched, and what; halved to a hair."""
    if rooms[0, 1:].min() < 0.0 or rooms[0, 0] < 0.0:
        return 0.0, _WALLS[int(np.argmin(rooms[0]))]
    stuck = np.flatnonzero(rooms.min(axis=1) < 0.0)
    if not len(stuck):
        return float(steps[-1]), ""
    low, high = float(steps[stuck[0] - 1]), float(steps[stuck[0]])
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if min(room.room(middle)) < 0.0:
            high = middle
        else:
            low = middle
    return low, _WALLS[int(np.argmin(room.room(high)))]


def _shift(rooms: Array, spec: GlassSpec) -> float:
    """How far in it would have to move to keep its clearance to the outer metal."""
    return max(0.0, spec.clearance - float(rooms[:, 0].min()))


def _needed(rooms: Array, spec: GlassSpec, thickness: float) -> float:
    """Least thickness of a door in which it drops, the glass set in as far as its path asks."""
    inner = float(np.where(np.isfinite(rooms[:, 1]), rooms[:, 1], thickness).min())
    shift = _shift(rooms, spec)
    return thickness - inner + (shift if np.isfinite(shift) else 0.0) + spec.clearance
