"""Marks on a blank: the seam's points that two panels share, datum lines, the centre line."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.mesh import boundary_loops, section_mesh
from buckwright.geometry.polyline import arc_lengths
from buckwright.model.marks import BlankMark
from buckwright.model.panels import Blank, Panel

__all__ = ["centre_lines", "datum_marks", "match_marks", "with_match_marks"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_APART = 120.0
"""mm along a seam from one match mark to the next, at most."""
_SLANT = 0.5
"""A datum line that the edge follows more than it crosses is not marked."""
_SAME = 1e-6
"""mm between vertices that two panels share."""


def centre_lines(panel: Panel, flat: Array) -> tuple[Array, ...]:
    """Where the panel crosses the plane y = 0, as polylines (k, 2) on the blank."""
    y = panel.vertices[:, 1]
    if not (y.min() < -_SAME and y.max() > _SAME):
        return ()
    cut = section_mesh(
        np.column_stack([flat, y]), panel.triangles, origin=np.zeros(3), normal=np.eye(3)[2]
    )
    return tuple(
        np.vstack([line, line[:1]])[:, :2] if closed else line[:, :2] for line, closed in cut
    )


def datum_marks(panel: Panel, flat: Array, *, step: float = 100.0) -> tuple[BlankMark, ...]:
    """Where station, buttock and level lines, `step` mm apart, cross the panel's edges.

    The line of y = 0 is marked `centre line`.
    """
    found: list[BlankMark] = []
    for loop in boundary_loops(panel.triangles):
        outward = _outward(flat[loop])
        here, there = panel.vertices[loop], panel.vertices[np.roll(loop, -1)]
        length = np.linalg.norm(there - here, axis=1)
        for axis, name in enumerate("xyz"):
            low, high = here[:, axis] / step, there[:, axis] / step
            steep = np.abs(there[:, axis] - here[:, axis]) > _SLANT * length
            crossed = np.flatnonzero(steep & (np.floor(low) != np.floor(high)))
            for k in crossed:
                value = max(np.floor(low[k]), np.floor(high[k]))
                share = (value - low[k]) / (high[k] - low[k])
                centre = name == "y" and value == 0.0
                text = "centre line" if centre else f"{name} {value * step + 0.0:.0f}"
                at = flat[loop[k]] + share * (flat[np.roll(loop, -1)[k]] - flat[loop[k]])
                found.append(
                    BlankMark(
                        kind="centre" if centre else "datum",
                        text=text,
                        at=_pair(at),
                        outward=_pair(outward[k]),
                    )
                )
    return tuple(found)


def match_marks(
    panels: Sequence[Panel], blanks: Sequence[Blank]
) -> tuple[tuple[BlankMark, ...], ...]:
    """For each blank the marks of the seams it shares with others, at equal lengths along them.

    Seams are lettered in the order of the panels; a mark bears the same name on both blanks, for
    it is one point of the seam. Neighbours share the vertices of their seam.
    """
    found: list[list[BlankMark]] = [[] for _ in panels]
    rims = [_rim_edges(panel) for panel in panels]
    count = 0
    for i in range(len(panels)):
        for j in range(i + 1, len(panels)):
            for chain in _seams(rims[i], rims[j]):
                letter = _letter(count)
                count += 1
                here = _marks_of(letter, chain[:, 0], panels[i], blanks[i], panels[j].name)
                there = _marks_of(letter, chain[:, 1], panels[j], blanks[j], panels[i].name)
                found[i] += here
                found[j] += there
    return tuple(tuple(marks) for marks in found)


def with_match_marks(panels: Sequence[Panel], blanks: Sequence[Blank]) -> tuple[Blank, ...]:
    """The blanks, their match marks put before what marks they have."""
    return tuple(
        blank.model_copy(update={"marks": (*marks, *blank.marks)})
        for blank, marks in zip(blanks, match_marks(panels, blanks), strict=True)
    )


def _pair(point: Array) -> tuple[float, float]:
    return float(point[0]), float(point[1])


def _outward(ring: Array) -> Array:
    """(k, 2) unit vectors away from the metal, of the sides of a ring that has it on its left."""
    side = np.roll(ring, -1, axis=0) - ring
    side = side / np.maximum(np.linalg.norm(side, axis=1, keepdims=True), 1e-12)
    return np.column_stack([side[:, 1], -side[:, 0]])


Key = tuple[int, int, int]


def _rim_edges(panel: Panel) -> dict[tuple[Key, Key], tuple[int, int]]:
    """The directed sides of the panel's edges by where their ends lie."""
    found = {}
    for loop in boundary_loops(panel.triangles):
        keys = [_key(point) for point in panel.vertices[loop]]
        for k in range(len(loop)):
            after = (k + 1) % len(loop)
            found[keys[k], keys[after]] = (int(loop[k]), int(loop[after]))
    return found


def _key(point: Array) -> Key:
    x, y, z = (round(float(value) / _SAME) for value in point)
    return x, y, z


def _seams(
    here: dict[tuple[Key, Key], tuple[int, int]], there: dict[tuple[Key, Key], tuple[int, int]]
) -> list[Index]:
    """Chains (k, 2) of vertices that two panels share, in the first one's order."""
    following: dict[tuple[int, int], tuple[int, int]] = {}
    for (start, end), (a, b) in here.items():
        if (end, start) in there:
            d, c = there[end, start]
            following[a, c] = (b, d)
    chains = []
    starts = sorted(set(following) - set(following.values())) or sorted(following)[:1]
    while starts:
        node = starts.pop(0)
        chain = [node]
        while node in following:
            node = following.pop(node)
            chain.append(node)
        chains.append(np.array(chain, dtype=np.int64))
        if not starts and following:
            starts = sorted(following)[:1]
    return chains


def _marks_of(
    letter: str, chain: Index, panel: Panel, blank: Blank, neighbour: str
) -> list[BlankMark]:
    along = arc_lengths(panel.vertices[chain])
    parts = max(2, int(np.ceil(along[-1] / _APART)))
    found = []
    ring_side = _chain_outward(chain, panel, blank)
    for number, length in enumerate(along[-1] * np.arange(1, parts) / parts, start=1):
        k = min(int(np.searchsorted(along, length, side="right")) - 1, len(chain) - 2)
        share = (length - along[k]) / (along[k + 1] - along[k])
        at = blank.flat[chain[k]] + share * (blank.flat[chain[k + 1]] - blank.flat[chain[k]])
        found.append(
            BlankMark(
                kind="match",
                text=f"{letter}{number}",
                at=_pair(at),
                outward=_pair(ring_side[k]),
                neighbour=neighbour,
            )
        )
    return found


def _chain_outward(chain: Index, panel: Panel, blank: Blank) -> Array:
    """(k - 1, 2) unit vectors away from the metal along a chain that runs either way round."""
    side = np.diff(blank.flat[chain], axis=0)
    side = side / np.linalg.norm(side, axis=1, keepdims=True)
    for loop in boundary_loops(panel.triangles):
        at = np.flatnonzero(loop == chain[0])
        if len(at):
            forward = loop[(at[0] + 1) % len(loop)] == chain[1]
            return (1.0 if forward else -1.0) * np.column_stack([side[:, 1], -side[:, 0]])
    message = "the chain does not lie on an edge of the panel"
    raise ValueError(message)


def _letter(count: int) -> str:
    """A, B, ... Z, AA, AB, ..."""
    word = ""
    count += 1
    while count:
        count, place = divmod(count - 1, 26)
        word = chr(ord("A") + place) + word
    return word
