"""Lines that miss each other where they are to cross: which of them is to blame, and by how much.

A line that misses all others while these meet each other is in doubt; the others are not. Squares
of the gaps are shared out as sums of two doubts squared, none of which is negative: a small
problem of least squares. Then each crossing lies where its lines' doubts say, all of it on a line
that is in none.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import nnls

from buckwright.model.finding import PlacedFinding, told_place
from buckwright.model.lines import Crossing, LineNetwork
from buckwright.model.skin import RegionSpec
from buckwright.skin.meeting import line_named, near_misses, partners_of
from buckwright.skin.ruler import Ruler

__all__ = ["blamed_lines", "judged_network"]

Array = NDArray[np.float64]

SLIGHT = 0.1
"""mm of gap that nobody can see or measure, beside what the lines' own doubts explain."""
EVEN = 1e-3
"""Pull towards no doubt at all: where nothing else tells, two lines bear the blame alike."""
STEP = 30.0
"""mm between samples for which lines are measured."""


def judged_network(network: LineNetwork, regions: Sequence[RegionSpec]) -> LineNetwork:
    """The network with its near misses as crossings, and lines that miss others in more doubt.

    Networks whose lines meet come back as they are. Raises JobError for a line that is missing.
    """
    partners = partners_of(regions)
    rulers = {name: Ruler(line_named(network, name), STEP) for name in sorted(partners)}
    listed = [c for c in network.crossings if c.lines[1] in partners.get(c.lines[0], ())]
    added = near_misses(partners, listed, rulers)
    every = [*listed, *added]
    if not every:
        return network
    ends = np.array([_ends(crossing, rulers) for crossing in every])
    gaps = np.linalg.norm(ends[:, 0] - ends[:, 1], axis=1)
    if gaps.max() <= SLIGHT:
        return network
    doubts = _blamed(every, gaps, {name: rulers[name].line.doubt for name in rulers})
    lines = tuple(
        line.model_copy(update={"fair_sigma": doubts[line.name]})
        if doubts.get(line.name, 0.0) > line.doubt
        else line
        for line in network.lines
    )
    moved = {id(c): _between(c, pair, doubts) for c, pair in zip(every, ends, strict=True)}
    crossings = tuple(moved.get(id(c), c) for c in (*network.crossings, *added))
    return network.model_copy(update={"lines": lines, "crossings": crossings})


def blamed_lines(
    network: LineNetwork, judged: LineNetwork, spec: RegionSpec
) -> tuple[PlacedFinding, ...]:
    """A doubt for each line of the region that the judged network holds in more doubt."""
    found = []
    for name in dict.fromkeys((*spec.inner, *spec.holes)):
        doubt = judged.line(name).doubt
        if doubt <= network.line(name).doubt:
            continue
        point = next(c.point for c in judged.crossings if name in c.lines)
        found.append(
            PlacedFinding(
                code="line-misses",
                where=name,
                message=f"'{name}' misses lines that it is to cross by about {doubt:.1f} mm: "
                "the skin keeps to those that agree.",
                remedy="Check that line in the pictures.",
                place=told_place(point),
            )
        )
    return tuple(found)


def _ends(crossing: Crossing, rulers: dict[str, Ruler]) -> tuple[Array, Array]:
    """Where each of the two lines passes."""
    first, second = (
        np.asarray(rulers[name].line.curve()(at))
        for name, at in zip(crossing.lines, crossing.parameters, strict=True)
    )
    return first, second


def _blamed(
    crossings: Sequence[Crossing], gaps: Array, known: dict[str, float]
) -> dict[str, float]:
    """Each line's doubt, mm: the greater of what is known of it and what its gaps say."""
    names = sorted({name for crossing in crossings for name in crossing.lines})
    place = {name: k for k, name in enumerate(names)}
    rows = np.zeros((len(crossings) + len(names), len(names)))
    for row, crossing in zip(rows, crossings, strict=False):
        for name in crossing.lines:
            row[place[name]] += 1.0
    rows[len(crossings) :] = EVEN * np.eye(len(names))
    squares, _ = nnls(rows, np.concatenate([gaps**2, np.zeros(len(names))]))
    told = np.where(squares > SLIGHT**2, np.sqrt(squares), 0.0)
    return {name: max(known[name], float(told[k])) for name, k in place.items()}


def _between(crossing: Crossing, ends: Array, doubts: dict[str, float]) -> Crossing:
    """The crossing between its lines, nearer to the surer one."""
    square = np.array([doubts[name] ** 2 for name in crossing.lines])
    share = 0.5 if square.sum() == 0.0 else square[0] / square.sum()
    return crossing.model_copy(update={"point": ends[0] + share * (ends[1] - ends[0])})
