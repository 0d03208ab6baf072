"""Ways to divide a region as far as they were thought through, weighed against each other."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.geometry.polyline import polyline_length, resample_polyline
from buckwright.model.seams import ShopReach
from buckwright.panels.seam_parts import Measure, Part
from buckwright.panels.seam_ways import Division

__all__ = ["Bounds", "State", "Step", "cost", "excess", "is_better_than", "lopsided", "worst_part"]

Array = NDArray[np.float64]

_WORK, _WELD, _STRAIGHT, _EXCESS = 0.25, 0.04, 0.03, 2.0
"""What counts beside the peak strain over that of the single panel: the work over its work; the
weld over the root of the area; each seam that follows no line; sizes beyond reach and sheet."""
_LOPSIDED = 0.25
"""Each seam of a region on both sides that has no mirror image among the seams counts this."""
_ALIKE = 40.0
"""mm, mean distance within which a seam is the mirror image of another, or of itself."""
_ACROSS = np.array([1.0, -1.0, 1.0])
_LINE = 0.8
"""A metre of weld along a line counts as this much: it is held by a wire, and seen as a line."""


@dataclass(frozen=True, slots=True)
class Bounds:
    """Long and short side (mm) that a flat part may have, for the shop's reach and the sheet."""

    reach: tuple[float, float]
    sheet: tuple[float, float]
    both_sides: bool = False
    """Whether the region spans both sides of the body, so that its seams ought to be alike."""

    @classmethod
    def of(
        cls,
        reach: ShopReach,
        sheet: tuple[float, float],
        allowance: float,
        *,
        both_sides: bool = False,
    ) -> "Bounds":
        """What is left of both when metal is added all round."""
        off = 2.0 * allowance
        return cls(
            (reach.longest - off, 2.0 * reach.throat - off),
            (max(sheet) - off, min(sheet) - off),
            both_sides,
        )


@dataclass(frozen=True, eq=False, slots=True)
class Step:
    """A part divided: what it needed before, how it was divided, what both halves need."""

    part: Part
    before: Measure
    division: Division
    after: tuple[Measure, Measure]


@dataclass(frozen=True, eq=False, slots=True)
class State:
    """Parts of a region with their measures, and the steps that made them, in order."""

    parts: tuple[Part, ...]
    measures: tuple[Measure, ...]
    steps: tuple[Step, ...] = ()

    def divided(self, index: int, division: Division, measures: tuple[Measure, Measure]) -> "State":
        """The state with one part divided."""
        step = Step(self.parts[index], self.measures[index], division, measures)
        return State(
            (*self.parts[:index], *division.parts, *self.parts[index + 1 :]),
            (*self.measures[:index], *measures, *self.measures[index + 1 :]),
            (*self.steps, step),
        )

    @property
    def peak(self) -> float:
        """Greatest strain of all parts."""
        return max(measure.peak for measure in self.measures)

    @property
    def weld(self) -> float:
        """Length of all seams, mm."""
        return sum(polyline_length(step.division.points) for step in self.steps)


def excess(measure: Measure, bounds: tuple[float, float]) -> float:
    """By how much a flat part is too large, as a share; 0 if it is not."""
    long, short = bounds
    return max(0.0, measure.long / long - 1.0) + max(0.0, measure.short / short - 1.0)


def _too_large(measure: Measure, bounds: Bounds) -> float:
    return max(excess(measure, bounds.reach), excess(measure, bounds.sheet))


def worst_part(state: State, whole: Measure, bounds: Bounds) -> int:
    """Index of the part to divide next: too large, or worked hardest."""
    hurts = [
        m.peak / max(whole.peak, 1e-9) + _EXCESS * _too_large(m, bounds) for m in state.measures
    ]
    return int(np.argmax(hurts))


def cost(state: State, whole: Measure, bounds: Bounds) -> float:
    """What a way to divide costs, 1.25 for the single panel that fits reach and sheet."""
    seams = [step.division for step in state.steps]
    weld = sum(polyline_length(d.points) * (1.0 if d.line is None else _LINE) for d in seams)
    return (
        min(state.peak / max(whole.peak, 1e-9), 10.0)
        + _WORK * sum(m.work for m in state.measures) / max(whole.work, 1e-9)
        + _WELD * weld / float(np.sqrt(whole.area))
        + _STRAIGHT * sum(d.line is None for d in seams)
        + _EXCESS * sum(_too_large(m, bounds) for m in state.measures)
        + (_LOPSIDED * lopsided([d.points for d in seams]) if bounds.both_sides else 0.0)
    )


def lopsided(seams: Sequence[Array]) -> int:
    """How many of the polylines (k, 3) have no mirror image among them in the plane y = 0."""
    trees = [cKDTree(resample_polyline(points, 60)) for points in seams]
    return sum(
        not any(
            max(tree.query(own * _ACROSS)[0].mean(), cKDTree(own * _ACROSS).query(other)[0].mean())
            < _ALIKE
            for tree, other in zip(trees, others, strict=True)
        )
        for others in [[np.asarray(tree.data) for tree in trees]]
        for own in others
    )


def is_better_than(state: State, others: Iterable[State], bounds: Bounds) -> bool:
    """Whether no other is as good in pieces, peak, weld and sizes at once."""
    large = max(_too_large(m, bounds) for m in state.measures)
    return not any(
        len(other.parts) <= len(state.parts)
        and other.peak <= 1.02 * state.peak
        and other.weld <= 1.02 * state.weld
        and max(_too_large(m, bounds) for m in other.measures) <= 1.02 * large
        for other in others
    )
