"""A region's lines at one sampling, with local numbers, and how firmly they hold the skin.

Boundaries, lines without doubt, and pieces of line that regions share hold it hard. Other lines
draw it: a line that draws with stiffness k per mm of its length lets the skin smooth those of
its waves that are shorter than 2 pi / k^(1/5), for there bending costs more than the pull. Each
line starts limber and is made firmer until the skin keeps within the line's own doubt.
"""

from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.fairness import Hold
from buckwright.geometry.mesh import vertex_normals
from buckwright.model.creases import CreaseSpec
from buckwright.model.lines import LineNetwork
from buckwright.skin.region_lines import RegionLines
from buckwright.skin.sampling import Samples

__all__ = ["LineDoubt", "RegionFrame", "first_stiffness", "line_doubts", "wave_stiffness"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

LIMBER = 12.0
"""To begin with, waves along a line shorter than this many edge lengths are smoothed."""
FIRM = 1.2
"""No line is firmer than lets waves of this many steps of its samples be smoothed."""
SHARE, MOST = 1.0, 4.0
"""Times a line's own doubt that the skin may lie off it: rms, and at most."""


@dataclass(frozen=True, slots=True)
class LineDoubt:
    """How far a line may be off, mm."""

    points: float
    """Standard error of the points that it was faired through."""
    line: float
    """That of the line itself."""
    alike: float
    """mm along it over which its error is much the same; 0 where that is not known."""


def line_doubts(network: LineNetwork) -> dict[str, LineDoubt]:
    """Of every line, by name."""
    return {line.name: LineDoubt(line.sigma, line.doubt, line.alike) for line in network.lines}


def wave_stiffness(wave: float) -> float:
    """Stiffness of a line, 1/mm^5, that lets waves along it shorter than so many mm be smoothed."""
    return float((2.0 * np.pi / wave) ** 5)


def first_stiffness(doubts: dict[str, LineDoubt], edge_length: float) -> dict[str, float]:
    """Stiffness of each line that is in doubt, 1/mm^5; lines without doubt are left out."""
    limber = wave_stiffness(LIMBER * edge_length)
    return {name: limber for name, doubt in doubts.items() if doubt.line > 0.0}


class RegionFrame:
    """Vertices on a region's lines: `used` are their sample numbers, all else is local."""

    def __init__(
        self,
        samples: Samples,
        lines: RegionLines,
        shared: frozenset[tuple[str, int]],
        doubts: dict[str, LineDoubt],
        creases: Sequence[CreaseSpec] = (),
    ) -> None:
        self.samples, self.lines, self.doubts = samples, lines, doubts
        self.used = np.unique(np.concatenate([samples.along(run) for run in lines.runs()]))
        self.points = samples.points[self.used]
        self.loop = self.local(lines.loop(samples))
        self.sides = self.local(lines.sides(samples))
        self._shared = shared
        self._rim = {(run.line, k) for run in lines.boundary for k in run.numbers}
        inner = {(run.line, k) for run in lines.inner for k in run.numbers} - self._rim
        sharp = {(crease.line, k) for crease in creases for k in samples.within(crease)}
        self.creases = tuple(sorted(sharp & inner))
        self.walls = self.pairs(self.creases)

    def local(self, vertices: Index) -> Index:
        """Local numbers of sample vertices."""
        return np.asarray(np.searchsorted(self.used, vertices), dtype=np.int64)

    def arcs(self) -> list[tuple[str, int]]:
        """Every arc of the region, once."""
        runs = self.lines.runs()
        return list(dict.fromkeys((run.line, k) for run in runs for k in run.numbers))

    def keeps(self, line: str, number: int, stiffness: Container[str]) -> bool:
        """Whether an arc holds the skin hard."""
        arc = (line, number)
        held = arc in self._shared or arc in self._rim or arc in self.creases
        return held or line not in stiffness

    def pairs(self, arcs: Iterable[tuple[str, int]]) -> Index:
        """(w, 2) local vertices next to each other along arcs."""
        found: list[Index] = [np.zeros((0, 2), dtype=np.int64)]
        for line, number in arcs:
            vertices = self.local(self.samples.arcs[line][number].vertices)
            found.append(np.column_stack([vertices[:-1], vertices[1:]]))
        return np.vstack(found)

    def hold(self, stiffness: dict[str, float]) -> Hold:
        """What holds the skin."""
        fixed = np.zeros(len(self.used), dtype=bool)
        fixed[self.loop] = True
        pull = np.zeros(len(self.used))
        for line, number in self.arcs():
            vertices = self.local(self.samples.arcs[line][number].vertices)
            if self.keeps(line, number, stiffness):
                fixed[vertices] = True
                continue
            points = self.points[vertices]
            half = 0.5 * np.linalg.norm(np.diff(points, axis=0), axis=1)
            np.add.at(pull, vertices[:-1], half * stiffness[line])
            np.add.at(pull, vertices[1:], half * stiffness[line])
        hard, soft = np.flatnonzero(fixed), np.flatnonzero(~fixed)
        return Hold(hard, self.points[hard], soft, self.points[soft], pull[soft])

    def firmer(
        self,
        stiffness: dict[str, float],
        vertices: Array,
        triangles: Index,
        step: float,
    ) -> dict[str, float]:
        """Stiffness raised for lines from which the skin strays beyond their doubt."""
        count = len(self.used)
        normals = vertex_normals(vertices, triangles)[:count]
        off = np.abs(np.einsum("ij,ij->i", vertices[:count] - self.points, normals))
        most = wave_stiffness(FIRM * step)
        raised = dict(stiffness)
        for name in stiffness:
            on = [self.local(self.samples.along(r)) for r in self.lines.runs() if r.line == name]
            if not on:
                continue
            strayed = off[np.concatenate(on)]
            rms = float(np.sqrt(np.mean(strayed**2)))
            excess = max(rms / SHARE, float(strayed.max()) / MOST) / self.doubts[name].line
            if excess > 1.0:
                raised[name] = min(stiffness[name] * min(1.3 * excess, 30.0) ** 1.5, most)
        return raised
