"""Where beads lie on a blank: their middle and both feet, with their sizes."""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import FIGURE, words
from buckwright.geometry.mesh import MeshLocator
from buckwright.geometry.polyline import arc_lengths
from buckwright.model.drawings import Label, Stroke
from buckwright.model.panels import Blank, Panel
from buckwright.model.treatments import Bead

__all__ = ["bead_marks"]

Array = NDArray[np.float64]

NEAR = 2.0
"""mm off the panel within which a bead's line lies on it: meshes cut their curve short."""
SHORTEST = 10.0
ABOVE = 4.0


def bead_marks(
    panel: Panel, blank: Blank, beads: Sequence[Bead]
) -> tuple[list[Stroke], list[Label]]:
    """Strokes along each bead on the panel, and its words above the longest stretch of it.

    A bead is pressed after the panel is formed; the marks say where it will lie.
    """
    strokes: list[Stroke] = []
    labels: list[Label] = []
    locator = MeshLocator(panel.vertices, panel.triangles)
    for bead in beads:
        runs = list(_laid(bead.axis, bead.closed, locator, panel, blank))
        strokes += [Stroke(ink="centre", points=run, name=bead.name) for run in runs]
        across = len(bead.vertices) // len(bead.axis)
        rows = bead.vertices.reshape(len(bead.axis), across, 3)
        for foot in (rows[:, 0], rows[:, -1]):
            strokes += [
                Stroke(ink="mark", points=run, name=bead.name)
                for run in _laid(foot, bead.closed, locator, panel, blank)
            ]
        if runs:
            labels.append(_words(bead, max(runs, key=lambda run: arc_lengths(run)[-1])))
    return strokes, labels


def _laid(
    points: Array, closed: bool, locator: MeshLocator, panel: Panel, blank: Blank
) -> Iterator[Array]:
    """The stretches (k, 2) of a line on the skin that lie on the panel, on its blank."""
    looped = np.vstack([points, points[:1]]) if closed else np.asarray(points)
    off, _, triangle, weights = locator.closest(looped)
    flat = np.einsum("ki,kid->kd", weights, blank.flat[panel.triangles[triangle]])
    on = np.abs(off) <= NEAR
    for run in np.split(np.arange(len(on)), np.flatnonzero(np.diff(on.astype(np.int64))) + 1):
        if on[run[0]] and len(run) > 1 and arc_lengths(flat[run])[-1] > SHORTEST:
            yield flat[run]


def _words(bead: Bead, run: Array) -> Label:
    spec = bead.spec
    what = "swage" if spec.flat else "bead"
    text = f"{what} {bead.name}: {spec.width:g} wide, {spec.depth:g} {spec.way}, R {spec.radius:g}"
    start, end = run[len(run) // 2], run[min(len(run) // 2 + 1, len(run) - 1)]
    way = end - start if np.any(end != start) else run[-1] - run[0]
    way = way if way[0] >= 0.0 else -way
    angle = float(np.arctan2(way[1], way[0]))
    up = np.array([-np.sin(angle), np.cos(angle)])
    return words(start + (0.5 * spec.width + ABOVE) * up, text, FIGURE, angle=angle)
