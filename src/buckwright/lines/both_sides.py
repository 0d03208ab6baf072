"""From the lines that are faired once to the lines of both sides, and their crossings."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from buckwright.lines.crossings import Node
from buckwright.lines.drafting import Draft
from buckwright.lines.keeping import DEGREE
from buckwright.lines.sides import MIRROR, SidedLine
from buckwright.model.lines import Crossing, Line

__all__ = ["both_sides", "crossings_of", "evened"]

Array = NDArray[np.float64]


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


def crossings_of(
    node: Node, point: Array, drafts: Mapping[int, Draft], sided: tuple[SidedLine, ...]
) -> list[Crossing]:
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
    found = []
    for which, members in enumerate(sides):
        at = point if which == 0 else point * MIRROR
        for i, (name, t, k) in enumerate(members):
            for other, u, m in members[i + 1 :]:
                gap = gaps.get(frozenset((k, m)), 0.0)
                found.append(Crossing(lines=(name, other), parameters=(t, u), point=at, gap=gap))
    return found


def _parameter(draft: Draft, at: float) -> float:
    """From millimetres along the batten to the line's 0 to 1."""
    return float(np.clip((at - draft.start) / (draft.end - draft.start), 0.0, 1.0))
