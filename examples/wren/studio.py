"""The bench on which the model is photographed: light, shade, and what a camera sees there.

Everything is in the mat frame of `paper`. Light is worked out once for every vertex (sky,
a large soft lamp and the bench, with what the model hides of them) and interpolated, so that
a picture needs one ray for each sample.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from embreex import rtcore_scene
from embreex.mesh_construction import TriangleMesh
from lens import SIZE, Camera
from numpy.typing import NDArray
from paper import MARGIN, SQUARE_MM, SQUARES, paper_grey, true_to_nominal, wave
from parts import GLASS, parts
from scipy.interpolate import RegularGridInterpolator
from scipy.spatial import cKDTree
from shape import SCALE, WINDOW
from truelines import line_points, lines

__all__ = ["TAPE_LINES", "Placing", "Studio", "picture"]

Array = NDArray[np.float64]

TAPE_LINES = (
    "roof centre line",
    "scuttle centre line",
    "rear centre line",
    "middle section",
    *(f"{name} {side}" for name in ("belt", "cantrail", "door") for side in ("left", "right")),
    *(f"{wing} wing {name}" for wing in ("front", "rear") for name in ("crown", "section")),
)
TAPE_WIDTH = 1.0
"""mm on the model."""
TAPED_PARTS = ("body", "scuttle", "rear panel", "wing")
TAPE = (0.030, 0.045, 0.075)
PAPER, INK = np.array([0.80, 0.79, 0.765]), np.array([0.030, 0.030, 0.032])
BENCH_MIDDLE, BENCH_HALF = np.array([285.0, -150.0]), np.array([1150.0, 720.0])
UNDERSIDE = np.array([0.06, 0.06, 0.058])
LAMP = np.array([-0.35, -0.62, 0.70])
EXPOSURE = 1.0
BLUR_PX = 0.7
NOISE_GREY = 2.0


@dataclass(frozen=True)
class Placing:
    """How the model stands on the mat: p_mat = rotation @ (p / scale) + shift."""

    rotation: Array
    shift: Array

    @classmethod
    def on_mat(cls) -> "Placing":
        """Near the middle of the mat, a little turned."""
        turn = np.radians(3.2)
        c, s = np.cos(turn), np.sin(turn)
        rotation = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
        middle = np.array([1240.0 / SCALE, 0.0, 0.0])
        return cls(rotation, np.array([287.0, -197.0, 0.0]) - rotation @ middle)

    def to_mat(self, points: Array) -> Array:
        """Points (n, 3) in full-size vehicle axes, as they lie in the mat frame."""
        return points / SCALE @ self.rotation.T + self.shift

    def to_vehicle(self, points: Array) -> Array:
        """The inverse of `to_mat`."""
        return (points - self.shift) @ self.rotation * SCALE


def _vertex_normals(vertices: Array, triangles: NDArray[np.int64]) -> Array:
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    cross = np.cross(b - a, c - a)
    total = np.zeros_like(vertices)
    for k in range(3):
        np.add.at(total, triangles[:, k], cross)
    length = np.linalg.norm(total, axis=1, keepdims=True)
    return total / np.maximum(length, 1e-12)


def sky(directions: Array) -> Array:
    """Brightness (n,) that comes from directions (n, 3)."""
    up = directions[:, 2]
    lamp = directions @ (LAMP / np.linalg.norm(LAMP))
    soft = 9.0 * np.exp((lamp - 1.0) / 0.035)
    window = 1.2 * np.exp((directions @ np.array([0.75, 0.55, 0.37]) - 1.0) / 0.12)
    return np.where(up > 0.0, 0.34 + 0.22 * up + soft + window, 0.24)


def _sphere(count: int) -> Array:
    """Evenly spread unit vectors (Fibonacci spiral)."""
    k = np.arange(count) + 0.5
    z = 1.0 - 2.0 * k / count
    angle = np.pi * (1.0 + 5.0**0.5) * k
    flat = np.sqrt(1.0 - z * z)
    return np.column_stack([flat * np.cos(angle), flat * np.sin(angle), z])


class Studio:
    """The model on the mat, lit; build once, photograph often."""

    def __init__(self, placing: Placing, *, directions: int = 320) -> None:
        self.placing = placing
        self._gather()
        self.scene = rtcore_scene.EmbreeScene(robust=True)
        TriangleMesh(self.scene, self.vertices.astype(np.float32), self.triangles.astype(np.int32))
        self.tape = _tape_tree(placing)
        self._mark_tape()
        self._light(_sphere(directions))

    def _gather(self) -> None:
        pieces = parts()
        counts = [len(p.vertices) for p in pieces]
        starts = np.concatenate([[0], np.cumsum(counts)[:-1]])
        self.vertices = self.placing.to_mat(np.vstack([p.vertices for p in pieces]))
        self.triangles = np.vstack([p.triangles + s for p, s in zip(pieces, starts, strict=True)])
        self.normals = _vertex_normals(self.vertices, self.triangles)
        each = [len(p.triangles) for p in pieces]
        self.paint = np.repeat(np.array([p.paint for p in pieces]), each, axis=0)
        self.gloss = np.repeat([p.gloss for p in pieces], each)
        self.is_body = np.repeat([p.name == "body" for p in pieces], each)
        self.is_wing = np.repeat(["wing" in p.name for p in pieces], each)
        taped = [any(word in p.name for word in TAPED_PARTS) for p in pieces]
        self.is_taped = np.repeat(taped, each)
        self.part_names = [p.name for p in pieces]
        self.part_of_vertex = np.repeat(np.arange(len(pieces)), counts)

    def _mark_tape(self) -> None:
        """Leave out of the search for tape all triangles that are far from any."""
        gap, _ = self.tape.query(self.vertices, distance_upper_bound=12.0)
        self.is_taped &= (gap < 6.0)[self.triangles].any(axis=1)

    def trace(self, origins: Array, directions: Array) -> dict[str, NDArray]:
        """First hits: `primID` (-1 for none), `tfar`, `u`, `v`."""
        return self.scene.run(
            np.ascontiguousarray(origins, dtype=np.float32),
            np.ascontiguousarray(directions, dtype=np.float32),
            query="INTERSECT",
            output=True,
        )

    def hidden(self, origins: Array, directions: Array) -> NDArray[np.bool_]:
        """Whether anything stands in the way, (n,)."""
        hit = self.scene.run(
            np.ascontiguousarray(origins, dtype=np.float32),
            np.ascontiguousarray(directions, dtype=np.float32),
            query="OCCLUDED",
        )
        return np.asarray(hit) >= 0

    def _light(self, directions: Array) -> None:
        """Light on both sides of every vertex, and on the bench round the model."""
        x, y = np.arange(-330.0, 911.0, 5.0), np.arange(-720.0, 331.0, 5.0)
        xx, yy = np.meshgrid(x, y, indexing="ij")
        bench = np.column_stack([xx.ravel(), yy.ravel(), np.full(xx.size, 0.4)])
        up = np.tile([0.0, 0.0, 1.0], (len(bench), 1))
        points = np.vstack([self.vertices, self.vertices, bench])
        normals = np.vstack([self.normals, -self.normals, up])
        total = np.zeros(len(points))
        for direction, bright in zip(directions, sky(directions), strict=True):
            facing = normals @ direction
            lit = np.flatnonzero(facing > 0.02)
            start = points[lit] + 0.12 * normals[lit]
            free = ~self.hidden(start, np.tile(direction, (len(lit), 1)))
            total[lit] += np.where(free, bright, 0.05) * facing[lit]
        total *= 4.0 / len(directions)
        count = len(self.vertices)
        self.light = np.stack([total[:count], total[count : 2 * count]], axis=1)
        field = total[2 * count :].reshape(xx.shape)
        self.bench_light = RegularGridInterpolator(
            (x, y), field, bounds_error=False, fill_value=float(np.median(field[0]))
        )

    # What one ray sees

    def colours(self, centre: Array, rays: Array) -> Array:
        """Linear colours (n, 3) seen from `centre` along unit rays (n, 3)."""
        hit = self.trace(np.tile(centre, (len(rays), 1)), rays)
        on_model = hit["primID"] >= 0
        seen = np.empty((len(rays), 3))
        rest = ~on_model
        seen[rest] = self._bench(centre, rays[rest])
        if on_model.any():
            part = {key: hit[key][on_model] for key in ("primID", "tfar", "u", "v")}
            seen[on_model] = self._model(centre, rays[on_model], part)
        return seen

    def _model(self, centre: Array, rays: Array, hit: dict[str, NDArray]) -> Array:
        triangle = hit["primID"]
        u, v = hit["u"].astype(np.float64), hit["v"].astype(np.float64)
        weights = np.column_stack([1.0 - u - v, u, v])
        corners = self.triangles[triangle]
        place = np.einsum("nk,nkd->nd", weights, self.vertices[corners])
        normal = np.einsum("nk,nkd->nd", weights, self.normals[corners])
        normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-9)
        back = np.einsum("nd,nd->n", normal, rays) > 0.0
        normal[back] *= -1.0
        lights = np.einsum("nk,nks->ns", weights, self.light[corners])
        light = np.where(back, lights[:, 1], lights[:, 0])
        paint, gloss = self._paint(triangle, place, back)
        facing = np.clip(-np.einsum("nd,nd->n", normal, rays), 0.0, 1.0)
        mirrored = rays + 2.0 * facing[:, None] * normal
        shine = gloss * (0.35 + 0.65 * (1.0 - facing) ** 5) * np.minimum(sky(mirrored), 3.0)
        return paint * light[:, None] + (shine * np.minimum(light, 1.0))[:, None]

    def _paint(
        self, triangle: NDArray, place: Array, back: NDArray[np.bool_]
    ) -> tuple[Array, Array]:
        paint, gloss = self.paint[triangle].copy(), self.gloss[triangle].copy()
        side = np.flatnonzero(self.is_body[triangle])
        glass = side[_in_window(self.placing.to_vehicle(place[side]))]
        paint[glass], gloss[glass] = GLASS, 0.25
        near = np.flatnonzero(self.is_taped[triangle] & ~back)
        gap, _ = self.tape.query(place[near], distance_upper_bound=TAPE_WIDTH)
        stuck = near[gap < 0.5 * TAPE_WIDTH]
        paint[stuck], gloss[stuck] = TAPE, 0.03
        under = self.is_wing[triangle] & back
        paint[under], gloss[under] = UNDERSIDE, 0.0
        return paint, gloss

    def _bench(self, centre: Array, rays: Array) -> Array:
        down = rays[:, 2] < -1e-3
        seen = _wall(rays)
        reach = -centre[2] / np.where(down, rays[:, 2], -1.0)
        flat = centre[:2] + reach[:, None] * rays[:, :2]
        down &= np.all(np.abs(flat - BENCH_MIDDLE) < BENCH_HALF, axis=1)
        page = true_to_nominal(flat)
        size = SQUARE_MM * np.array(SQUARES)
        paper = down & np.all((page > -MARGIN) & (page < size + MARGIN), axis=1)
        seen[down & ~paper] = _wood(flat[down & ~paper])
        if paper.any():
            for _ in range(3):
                height = wave(flat[paper])
                step = (height - centre[2]) / rays[paper, 2]
                flat[paper] = centre[:2] + step[:, None] * rays[paper, :2]
            white = paper_grey(true_to_nominal(flat[paper]))[:, None]
            seen[paper] = INK + (PAPER - INK) * white
        seen[down] *= self.bench_light(flat[down])[:, None]
        return seen


def _in_window(points: Array) -> NDArray[np.bool_]:
    """Whether points of the body, in vehicle axes, lie in a door's window."""
    centre, half, k = WINDOW
    p, q = (points[:, 0] - centre[0]) / half[0], (points[:, 2] - centre[1]) / half[1]
    inside = p**2 + q**2 - k * p**2 * q**2 <= 1.0
    return inside & (np.abs(p) <= 1.0) & (np.abs(q) <= 1.0)


def _tape_tree(placing: Placing) -> cKDTree:
    curves = lines()
    points = [line_points(curves[name][0], closed=curves[name][1], step=0.4) for name in TAPE_LINES]
    # Only the left wings are taped: the right ones are made as their mirror images.
    return cKDTree(placing.to_mat(np.vstack(points)))


def _wall(rays: Array) -> Array:
    """A plain wall behind the bench, lighter towards the top."""
    share = np.clip(0.5 + 1.1 * rays[:, 2], 0.0, 1.0)[:, None]
    return np.array([0.10, 0.12, 0.125]) + share * np.array([0.26, 0.27, 0.25])


def _wood(flat: Array) -> Array:
    """A bench top of planks with some grain."""
    x, y = flat[:, 0], flat[:, 1]
    plank = np.floor((y + 1000.0) / 118.0)
    tone = 0.5 + 0.5 * np.sin(12.9898 * plank) * np.cos(4.1 * plank)
    ring = np.sin(0.55 * y + 1.7 * np.sin(0.011 * x + plank) + 0.8 * np.sin(0.037 * x))
    fine = np.sin(2.9 * y + 2.0 * np.sin(0.02 * x + 3.0 * plank))
    shade = 0.90 + 0.08 * tone + 0.05 * ring + 0.02 * fine
    edge = np.abs((y + 1000.0) / 118.0 - plank - 0.5) > 0.492
    shade = np.where(edge, 0.55, shade)
    return shade[:, None] * np.array([0.34, 0.235, 0.15])


def picture(
    studio: Studio,
    camera: Camera,
    *,
    noise_seed: int,
    window: tuple[int, int, int, int] = (0, 0, *SIZE),
    shrink: int = 1,
) -> NDArray[np.uint8]:
    """The photograph, or the part of it within (left, top, right, bottom), as (rows, columns, 3).

    Two by two samples to a pixel, blur, gamma, noise; `shrink` n takes every nth pixel's
    worth, for a look. Colours in the order blue, green, red.
    """
    left, top, right, bottom = window
    columns, rows = np.arange(left, right, shrink), np.arange(top, bottom, shrink)
    linear = np.empty((len(rows), len(columns), 3))
    offset = np.array([-0.25, 0.25]) * shrink + 0.5 * (shrink - 1)
    for start in range(0, len(rows), 96):
        band = rows[start : start + 96]
        u = (columns[:, None] + offset).ravel()
        v = (band[:, None] + offset).ravel()
        uu, vv = np.meshgrid(u, v)
        rays = camera.rays(np.column_stack([uu.ravel(), vv.ravel()]).astype(np.float64))
        seen = studio.colours(camera.centre, rays)
        shape = (len(band), 2, len(columns), 2, 3)
        linear[start : start + 96] = seen.reshape(shape).mean(axis=(1, 3))
    linear = cv2.GaussianBlur(linear, (0, 0), BLUR_PX)
    grey = 255.0 * np.clip(EXPOSURE * linear, 0.0, 1.0) ** (1.0 / 2.2)
    noise = np.random.default_rng(noise_seed).normal(0.0, NOISE_GREY, grey.shape[:2])
    return np.clip(np.round(grey + noise[:, :, None]), 0, 255).astype(np.uint8)[:, :, ::-1]
