"""How softening moved the lines, kept so that a draft can move them likewise in a moment."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.model.lines import Crossing, Line, LineNetwork
from buckwright.model.skin import LineMove

__all__ = ["LEFT", "line_moves", "moved_network"]

Array = NDArray[np.float64]

LEFT = 0.1
"""Of its doubt is left to the skin to iron out when a line was moved together with the others."""
SAME = 1e-9
"""mm: control points that move less have not moved."""


def line_moves(before: LineNetwork, after: LineNetwork) -> tuple[LineMove, ...]:
    """What moves each line of the first network to where it is in the second."""
    found = []
    for line in after.lines:
        control = line.control - before.line(line.name).control
        if np.abs(control).max() > SAME:
            found.append(LineMove(line=line.name, control=control))
    return tuple(found)


def moved_network(
    network: LineNetwork, moves: Sequence[LineMove], longest: dict[str, float]
) -> LineNetwork:
    """The network with lines moved as known, none by more than its `longest`, mm.

    Lines that `longest` does not name stay. A line that has other control points by now is moved
    by what the old ones near them were.
    """
    known = {move.line: move.control for move in moves if move.line in longest}
    lines = {
        line.name: _moved(line, known[line.name], longest[line.name])
        for line in network.lines
        if line.name in known
    }
    if not lines:
        return network
    return network.model_copy(
        update={
            "lines": tuple(lines.get(line.name, line) for line in network.lines),
            "crossings": tuple(_met(network, lines, one) for one in network.crossings),
        }
    )


def _moved(line: Line, move: Array, longest: float) -> Line:
    old, new = (np.linspace(0.0, 1.0, len(points)) for points in (move, line.control))
    spread = np.column_stack([np.interp(new, old, move[:, k]) for k in range(3)])
    size = np.linalg.norm(spread, axis=1, keepdims=True)
    return line.model_copy(
        update={
            "control": line.control + spread * np.minimum(1.0, longest / np.maximum(size, SAME)),
            "fair_sigma": LEFT * line.doubt,
        }
    )


def _met(network: LineNetwork, lines: dict[str, Line], crossing: Crossing) -> Crossing:
    """The crossing where its lines are now."""
    if not lines.keys() & set(crossing.lines):
        return crossing
    first, second = (
        np.asarray((lines.get(name) or network.line(name)).curve()(at))
        for name, at in zip(crossing.lines, crossing.parameters, strict=True)
    )
    gap = float(np.linalg.norm(first - second))
    return crossing.model_copy(update={"point": 0.5 * (first + second), "gap": gap})
