"""Lines on the skin laid on a blank: carried through the panel's own flattening."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import FIGURE, words
from buckwright.geometry.lettering import lettering_width
from buckwright.geometry.mesh import MeshLocator
from buckwright.geometry.polyline import arc_lengths
from buckwright.model.drawings import Label
from buckwright.model.panels import Blank, Panel

__all__ = ["Layer", "words_along"]

Array = NDArray[np.float64]

NEAR = 2.0
"""mm off the panel within which a line lies on it: meshes cut their curve short."""
SHORTEST = 10.0


class Layer:
    """Lays lines of the skin on one blank."""

    def __init__(self, panel: Panel, blank: Blank) -> None:
        self.panel, self.blank = panel, blank
        self.locator = MeshLocator(panel.vertices, panel.triangles)

    def lay(self, points: Array, *, closed: bool = False) -> Iterator[Array]:
        """The stretches (k, 2) of a line on the skin (n, 3) that lie on the panel, on its blank."""
        looped = np.vstack([points, points[:1]]) if closed else np.asarray(points)
        off, _, triangle, weights = self.locator.closest(looped)
        corners = self.blank.flat[self.panel.triangles[triangle]]
        flat = np.einsum("ki,kid->kd", weights, corners)
        on = np.abs(off) <= NEAR
        for run in np.split(np.arange(len(on)), np.flatnonzero(np.diff(on.astype(np.int64))) + 1):
            if on[run[0]] and len(run) > 1 and arc_lengths(flat[run])[-1] > SHORTEST:
                yield flat[run]


def words_along(run: Array, text: str, *, above: float) -> Label:
    """Words over the middle of a line (k, 2), `above` mm from it, to read from below."""
    start, end = run[len(run) // 2], run[min(len(run) // 2 + 1, len(run) - 1)]
    way = end - start if np.any(end != start) else run[-1] - run[0]
    way = way if way[0] >= 0.0 else -way
    angle = float(np.arctan2(way[1], way[0]))
    up = np.array([-np.sin(angle), np.cos(angle)])
    half = 0.5 * lettering_width(text, FIGURE) * np.array([np.cos(angle), np.sin(angle)])
    return words(start + above * up - half, text, FIGURE, angle=angle)
