"""What a hand marks besides lines: the outline of the whole model, and single places on it."""

import cv2
import numpy as np
from lens import SIZE, Camera
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shape import AXLE_HEIGHT, FRONT_RIM_Y, REAR_RIM_Y, WHEELBASE
from studio import Studio
from tracing import MARGIN_PX, WOBBLE_PX, Seen, hand_traces
from truelines import line_points, lines

__all__ = ["OUTLINE", "OUTLINED", "hand_outlines", "marked_points", "points_on_model"]

Array = NDArray[np.float64]

OUTLINE = "outline"
OUTLINED = (2, 3, 4, 6, 8, 11, 14, 16)
"""Numbers of the pictures in which the outline is traced: from all round, and from above."""
POINT_FACING = 0.35
"""Least cosine between the surface's normal at a mark and the way to the camera."""
HINGE_HEIGHTS = {"low": 540.0, "middle": 720.0, "high": 900.0}
_GRID_PX = 3
_HALVINGS = 6


def points_on_model() -> dict[str, tuple[Array, str]]:
    """Every marked place in vehicle axes at full size, and the part that it lies on."""
    found: dict[str, tuple[Array, str]] = {}
    for side, sign in (("left", 1.0), ("right", -1.0)):
        flip = np.array([1.0, sign, 1.0])
        hubs = (("front", 0.0, FRONT_RIM_Y), ("rear", WHEELBASE, REAR_RIM_Y))
        for name, axle, y in hubs:
            # The top of the hub cap, 17 mm outside of the rim.
            found[f"{name} hub {side}"] = (flip * [axle, y - 17.0, AXLE_HEIGHT], f"cap {side}")
        found[f"lamp {side}"] = (flip * [-276.0, -318.0, 800.0], f"lamp {side}")
        for name, height in HINGE_HEIGHTS.items():
            found[f"hinge {name} {side}"] = (_on_door_front(side, height), "body")
    return found


def _on_door_front(side: str, height: float) -> Array:
    curve, closed = lines()[f"door {side}"]
    points = line_points(curve, closed=closed, step=0.2)
    front = points[points[:, 0] < points[:, 0].mean()]
    return np.asarray(front[np.abs(front[:, 2] - height).argmin()])


def marked_points(
    studio: Studio, cameras: tuple[Camera, ...], *, wobble_seed: int
) -> dict[str, list[dict[str, object]]]:
    """The marks of TRACES.json: each place in every picture that shows it well."""
    random = np.random.default_rng(wobble_seed)
    found: dict[str, list[dict[str, object]]] = {}
    for name, (place, part) in points_on_model().items():
        at = studio.placing.to_mat(place[None])
        normal = _normal(studio, at, part)
        for camera in cameras:
            if not _is_seen(studio, camera, at, normal):
                continue
            px = camera.project(at)[0] + WOBBLE_PX * random.normal(size=2)
            mark = {"picture": camera.name, "px": [np.round(px, 2).tolist()], "kind": "point"}
            found.setdefault(name, []).append(mark)
    return found


def _normal(studio: Studio, at: Array, part: str) -> Array:
    chosen = [k for k, name in enumerate(studio.part_names) if name == part]
    rows = np.flatnonzero(np.isin(studio.part_of_vertex, chosen))
    _, near = cKDTree(studio.vertices[rows]).query(at)
    return np.asarray(studio.normals[rows[near]][0])


def _is_seen(studio: Studio, camera: Camera, at: Array, normal: Array) -> bool:
    towards = (camera.centre - at)[0]
    reach = float(np.linalg.norm(towards))
    hit = studio.trace(camera.centre[None], -towards[None] / reach)
    px = camera.project(at)
    inside = np.all((px > MARGIN_PX) & (px < np.array(SIZE) - 1.0 - MARGIN_PX))
    clear = hit["primID"][0] < 0 or hit["tfar"][0] > reach - 0.5
    return bool(inside and clear and normal @ towards > POINT_FACING * reach)


def hand_outlines(
    studio: Studio, cameras: tuple[Camera, ...], *, wobble_seed: int
) -> dict[str, list[dict[str, object]]]:
    """The outlines of TRACES.json, as a hand follows them all round."""
    drawn = hand_traces(_true_outlines(studio, cameras), wobble_seed=wobble_seed)
    rings = [{**one, "kind": "silhouette", "closed": True} for one in drawn[OUTLINE]]
    for ring in rings:
        # A closed trace does not repeat its first point.
        ring["px"] = list(ring["px"])[:-1]  # type: ignore[call-overload]
    return {OUTLINE: rings}


def _true_outlines(studio: Studio, cameras: tuple[Camera, ...]) -> tuple[Seen, ...]:
    """Where the model ends before what is behind it, in true pixels, about a pixel apart."""
    return tuple(
        Seen(OUTLINE, camera.name, _outline(studio, camera), closed=True)
        for number, camera in enumerate(cameras, start=1)
        if number in OUTLINED
    )


def _outline(studio: Studio, camera: Camera) -> Array:
    columns, rows = np.arange(0, SIZE[0], _GRID_PX), np.arange(0, SIZE[1], _GRID_PX)
    uu, vv = np.meshgrid(columns, rows)
    grid = np.column_stack([uu.ravel(), vv.ravel()]).astype(np.float64)
    mask = _shows_model(studio, camera, grid).reshape(uu.shape).astype(np.uint8)
    rings, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    # The outermost points of the grid that show the model: the outline lies just outside them.
    ring = max(rings, key=len)[:, 0].astype(np.float64) * _GRID_PX
    ring = _evenly(ring, 1.0)
    outward = _outward(ring)
    low, high = np.full(len(ring), -_GRID_PX - 0.5), np.full(len(ring), 1.5 * _GRID_PX)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        inside = _shows_model(studio, camera, ring + middle[:, None] * outward)
        low, high = np.where(inside, middle, low), np.where(inside, high, middle)
    return ring + (0.5 * (low + high))[:, None] * outward


def _shows_model(studio: Studio, camera: Camera, px: Array) -> NDArray[np.bool_]:
    found = []
    for part in np.array_split(px, max(len(px) // 200_000, 1)):
        rays = camera.rays(part)
        hit = studio.trace(np.tile(camera.centre, (len(part), 1)), rays)
        found.append(hit["primID"] >= 0)
    return np.concatenate(found)


def _evenly(ring: Array, step: float) -> Array:
    """A closed ring smoothed over the steps of its grid, with points about `step` apart."""
    whole = np.vstack([ring, ring[:1]])
    along = np.concatenate([[0.0], np.linalg.norm(np.diff(whole, axis=0), axis=1).cumsum()])
    even = np.arange(0.0, along[-1], step)
    return np.column_stack([np.interp(even, along, whole[:, k]) for k in (0, 1)])


def _outward(ring: Array, reach: int = 6) -> Array:
    """Unit normals (n, 2) that point out of a ring."""
    ahead, behind = np.roll(ring, -reach, axis=0), np.roll(ring, reach, axis=0)
    along = ahead - behind
    along /= np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-9)
    x, y = ring.T
    area = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))
    return np.sign(area) * np.column_stack([along[:, 1], -along[:, 0]])
