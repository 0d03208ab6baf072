"""Where beads lie on a blank: their middle and both feet, with their sizes."""

from collections.abc import Sequence

from buckwright.drawings.laying import Layer, words_along
from buckwright.geometry.polyline import arc_lengths
from buckwright.model.drawings import Label, Stroke
from buckwright.model.treatments import Bead

__all__ = ["bead_marks"]

ABOVE = 4.0


def bead_marks(layer: Layer, beads: Sequence[Bead]) -> tuple[list[Stroke], list[Label]]:
    """Strokes along each bead on the panel, and its words above the longest stretch of it.

    A bead is pressed after the panel is formed; the marks say where it will lie.
    """
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for bead in beads:
        runs = list(layer.lay(bead.axis, closed=bead.closed))
        strokes += [Stroke(ink="centre", points=run, name=bead.name) for run in runs]
        across = len(bead.vertices) // len(bead.axis)
        rows = bead.vertices.reshape(len(bead.axis), across, 3)
        for foot in (rows[:, 0], rows[:, -1]):
            strokes += [
                Stroke(ink="mark", points=run, name=bead.name)
                for run in layer.lay(foot, closed=bead.closed)
            ]
        if runs:
            longest = max(runs, key=lambda run: arc_lengths(run)[-1])
            above = 0.5 * bead.spec.width + ABOVE
            labels.append(words_along(longest, _words(bead), above=above))
    return strokes, labels


def _words(bead: Bead) -> str:
    spec = bead.spec
    what = "swage" if spec.flat else "bead"
    return f"{what} {bead.name}: {spec.width:g} wide, {spec.depth:g} {spec.way}, R {spec.radius:g}"
