"""Hand traces of the true lines: where a line is really seen, with the wobble of a hand."""

from dataclasses import dataclass

import numpy as np
from lens import SIZE, Camera
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d
from scipy.spatial import cKDTree
from studio import TAPE_LINES, Studio
from truelines import line_points, lines

__all__ = ["Seen", "hand_traces", "true_pieces"]

Array = NDArray[np.float64]

WOBBLE_PX = 1.0
"""rms across the line."""
WOBBLE_REACH_PX = 60.0
"""Distance along the line over which the wobble's correlation falls to 1 / e."""
VERTEX_STEP_PX, CHORD_PX = 25.0, 0.15
"""A hand sets points this far apart, and closer where the chord would leave the line."""
SHORTEST_PX = 60.0
GRAZING = {"tape": 0.24, "edge": 0.12}
"""Least cosine between a surface's normal and the way to the camera."""
STEP_MM = 0.15
"""On the model, between the points that are tested for being seen."""
MARGIN_PX = 6.0

_EDGES = {
    "scuttle front": ("body", "scuttle"),
    "screen edge": ("body", "screen"),
    "screen base": ("scuttle", "screen"),
    "rear edge": ("body", "rear panel"),
    "rear sill": ("rear panel",),
    "scuttle centre line": ("scuttle",),
    "rear centre line": ("rear panel",),
    "belt left": ("body", "scuttle"),
    "belt right": ("body", "scuttle"),
}


def surfaces_of(name: str) -> tuple[str, ...]:
    """Parts of the model on which a line lies: it is seen if one of them faces the camera."""
    if "wing" in name:
        return (f"{name[: name.index(' wing')]} wing left",)
    if "rim" in name:
        return ("rim left",)
    return _EDGES.get(name, ("body",))


@dataclass(frozen=True)
class Seen:
    """A stretch of a line that one picture shows, in true pixels, about a pixel apart."""

    line: str
    picture: str
    px: Array
    closed: bool


class _LineOnModel:
    """A line of the model with the normals of the surfaces that it lies on."""

    def __init__(self, studio: Studio, name: str) -> None:
        curve, self.closed = lines()[name]
        points = line_points(curve, closed=self.closed, step=STEP_MM * 8.0)
        self.mark = "tape" if name in TAPE_LINES else "edge"
        self.points = studio.placing.to_mat(points)
        self.normals = [self._normals(studio, part) for part in surfaces_of(name)]

    def _normals(self, studio: Studio, part: str) -> Array:
        chosen = [k for k, name in enumerate(studio.part_names) if name == part]
        rows = np.flatnonzero(np.isin(studio.part_of_vertex, chosen))
        gap, near = cKDTree(studio.vertices[rows]).query(self.points)
        normals = studio.normals[rows[near]].copy()
        # Where the line has left this surface, as the belt has left the scuttle, it cannot help.
        normals[gap > 3.0] = 0.0
        return normals

    def seen_by(self, studio: Studio, camera: Camera) -> NDArray[np.bool_]:
        """For each point whether the camera sees it."""
        towards = camera.centre - self.points
        reach = np.linalg.norm(towards, axis=1)
        towards /= reach[:, None]
        facing = np.max([np.einsum("nd,nd->n", n, towards) for n in self.normals], axis=0)
        hit = studio.trace(np.tile(camera.centre, (len(towards), 1)), -towards)
        clear = (hit["primID"] < 0) | (hit["tfar"] > reach - 0.5)
        px = camera.project(self.points)
        inside = np.all((px > MARGIN_PX) & (px < np.array(SIZE) - 1.0 - MARGIN_PX), axis=1)
        return (facing > GRAZING[self.mark]) & clear & inside


def _runs(seen: NDArray[np.bool_], *, closed: bool) -> list[NDArray[np.int64]]:
    """Stretches of True, as indices in order; round the end of a closed line if need be."""
    count = len(seen)
    order = np.arange(count)
    if closed and not seen.all():
        order = np.roll(order, -int(np.flatnonzero(~seen)[0]))
    change = np.flatnonzero(np.diff(seen[order].astype(int)))
    return [run for run in np.split(order, change + 1) if seen[run[0]]]


def true_pieces(studio: Studio, cameras: tuple[Camera, ...]) -> tuple[Seen, ...]:
    """What every picture shows of every line, without stretches shorter than a hand would trace."""
    found = []
    for name in lines():
        line = _LineOnModel(studio, name)
        for camera in cameras:
            seen = _healed(line.seen_by(studio, camera))
            for run in _runs(seen, closed=line.closed):
                px = camera.project(line.points[run])
                length = float(np.linalg.norm(np.diff(px, axis=0), axis=1).sum())
                if length >= SHORTEST_PX:
                    found.append(Seen(name, camera.name, px, line.closed and bool(seen.all())))
    return tuple(found)


def _healed(seen: NDArray[np.bool_], most: int = 12) -> NDArray[np.bool_]:
    """The flags with gaps of a millimetre or so closed: a ray may slip between two meshes."""
    healed = seen.copy()
    gaps = np.flatnonzero(np.diff(np.concatenate([[1], seen.astype(int), [1]])))
    for start, end in zip(gaps[::2], gaps[1::2], strict=True):
        if start > 0 and end < len(seen) and end - start <= most:
            healed[start:end] = True
    return healed


def hand_traces(
    pieces: tuple[Seen, ...], *, wobble_seed: int
) -> dict[str, list[dict[str, object]]]:
    """The `traces` of TRACES.json."""
    random = np.random.default_rng(wobble_seed)
    found: dict[str, list[dict[str, object]]] = {}
    for piece in pieces:
        px = np.round(_by_hand(piece, random), 2)
        found.setdefault(piece.line, []).append({"picture": piece.picture, "px": px.tolist()})
    return found


def _by_hand(piece: Seen, random: np.random.Generator) -> Array:
    px = np.vstack([piece.px, piece.px[:1]]) if piece.closed else piece.px
    along = np.concatenate([[0.0], np.linalg.norm(np.diff(px, axis=0), axis=1).cumsum()])
    even = np.arange(0.0, along[-1], 1.0)
    path = np.column_stack([np.interp(even, along, px[:, k]) for k in (0, 1)])
    mode = "wrap" if piece.closed else "reflect"
    # Smoothing white noise by a Gaussian of s gives a correlation of exp(-(d / 2 s)^2).
    wobble = np.column_stack(
        [_smooth(random.normal(size=len(even)), WOBBLE_REACH_PX / 2.0, mode) for _ in range(2)]
    )
    drawn = path + WOBBLE_PX * wobble
    if piece.closed:
        drawn = np.vstack([drawn, drawn[:1]])
        path = np.vstack([path, path[:1]])
    return drawn[_vertices(path)]


def _smooth(white: Array, sigma: float, mode: str) -> Array:
    smooth = gaussian_filter1d(white, sigma, mode=mode)
    # White noise of unit power keeps 1 / (2 s sqrt(pi)) of it.
    return smooth * np.sqrt(2.0 * sigma * np.sqrt(np.pi))


def _vertices(path: Array) -> NDArray[np.int64]:
    """Which points of a path, a pixel apart, a hand would set: closer together on curves."""
    smooth = gaussian_filter1d(path, 6.0, axis=0, mode="nearest")
    first = np.gradient(smooth, axis=0)
    second = np.gradient(first, axis=0)
    bend = np.abs(first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0])
    bend /= np.maximum(np.linalg.norm(first, axis=1), 1e-6) ** 3
    step = np.minimum(VERTEX_STEP_PX, np.sqrt(8.0 * CHORD_PX / np.maximum(bend, 1e-9)))
    share = np.concatenate([[0.0], (1.0 / step[:-1]).cumsum()])
    count = max(int(np.ceil(share[-1])), 2)
    at = np.searchsorted(share, np.linspace(0.0, share[-1], count + 1))
    return np.unique(np.clip(at, 0, len(path) - 1))
