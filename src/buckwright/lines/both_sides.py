"""From the lines that are faired once to the lines of both sides, and their crossings."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.lines.crossings import Node
from buckwright.lines.drafting import Draft
from buckwright.lines.keeping import DEGREE
from buckwright.lines.sides import MIRROR, SidedLine
from buckwright.model.lines import Line

__all__ = ["Meeting", "both_sides", "evened", "meetings_of"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class Meeting:
    """A crossing but for its point, which is that of its node."""

    node: int
    mirrored: bool
    """Whether it lies on the other side of the centre plane than the node."""
    lines: tuple[str, str]
    parameters: tuple[float, float]
    gap: float
    said: tuple[Array, Array]
    """(3,) twice: where each of the lines, faired alone, passes."""


def evened(control: Array, sided: SidedLine, *, closed: bool) -> Array:
    """(m, 3) free control points, exactly symmetric or in the plane where the line is meant to be.

    Lines over the whole width: each point averaged with the mirror image of its opposite number.
    """
    if sided.kind == "centre":
        return np.asarray(control * [1.0, 0.0, 1.0])
    if sided.kind != "self":
        return control
    if not closed:
        return np.asarray(0.5 * (control + control[::-1] * MIRROR))
    # Free point j has its middle (degree + 1) / 2 knots back: its opposite is 2 - j for cubics.
    opposite = np.mod(DEGREE - 1 - np.arange(len(control)), len(control))
    return np.asarray(0.5 * (control + control[opposite] * MIRROR))


def both_sides(fair: Line, sided: SidedLine) -> dict[str, Line]:
    """The line, joined by its mirror image if it is one of a pair."""
    if sided.partner is None:
        return {fair.name: fair}
    mirrored = {"name": sided.partner, "control": np.asarray(fair.control) * MIRROR}
    if fair.beyond_at is not None:
        x, y, z = fair.beyond_at
        mirrored["beyond_at"] = (x, -y, z)
    return {fair.name: fair, sided.partner: fair.model_copy(update=mirrored)}


def meetings_of(
    number: int, node: Node, drafts: Mapping[int, Draft], sided: tuple[SidedLine, ...]
) -> list[Meeting]:
    """Every two lines of a node, and their mirror images."""
    gaps = {frozenset(touch.lines): touch.gap for touch in node.touches}
    place = {k: _parameter(drafts[k], at) for k, at in node.at.items()}
    left = sorted((sided[k].placed.name, place[k], k) for k in node.at)
    sides = [left]
    if not node.on_plane:
        right = [
            (sided[k].partner or name, 1.0 - t if sided[k].kind == "self" else t, k)
            for name, t, k in left
            if sided[k].kind in ("self", "pair")
        ]
        sides.append(right)
    said = {k: (point, _frozen(point * MIRROR)) for k, point in node.said.items()}
    return [
        Meeting(
            node=number,
            mirrored=which == 1,
            lines=(name, other),
            parameters=(t, u),
            gap=gaps.get(frozenset((k, m)), 0.0),
            said=(said[k][which], said[m][which]),
        )
        for which, members in enumerate(sides)
        for i, (name, t, k) in enumerate(members)
        for other, u, m in members[i + 1 :]
    ]


def _frozen(point: Array) -> Array:
    point.setflags(write=False)
    return point


def _parameter(draft: Draft, at: float) -> float:
    """From millimetres along the batten to the line's 0 to 1."""
    return min(max((at - draft.start) / (draft.end - draft.start), 0.0), 1.0)
