"""Which bars to buy and how to cut them.

First the bars are filled by subset sums, which is nearly always the best plan already where
lengths differ; then the bound is sharpened and better plans are sought, by patterns where
lengths repeat and by CP-SAT from the plan at hand. The bound is always told.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, gcd

from ortools.sat.python import cp_model

from buckwright.buck.fill import Bars, fill_bars
from buckwright.buck.patterns import generate_patterns, plan_from_patterns
from buckwright.errors import JobError
from buckwright.model.buck import BarCut, CuttingPlan, Piece
from buckwright.model.finding import Finding

__all__ = ["plan_cuts"]

UNIT = 0.1
"""mm: lengths are rounded up, bars down, to tenths."""
FEW_FILLS, MANY_FILLS = 5, 300
"""Fillings tried where lengths repeat (patterns then do better), and where they do not."""
PATTERNS_MOST = 120
"""Different lengths beyond which no patterns are sought."""
SEARCH_EFFORT = 2.0
"""Deterministic time of the last search."""
SEARCH_MOST = 5000
"""Pieces times bars beyond which CP-SAT is not asked."""
SHORT_END = 300.0
"""mm: no spliced piece ends in a shorter part."""


@dataclass(frozen=True, slots=True)
class _Question:
    """Whole numbers, a saw cut added to every piece and to every bar."""

    sizes: tuple[int, ...]
    capacities: tuple[int, ...]
    costs: tuple[int, ...]

    def cost(self, bars: Bars) -> int:
        return sum(self.costs[bar] for bar, _ in bars)

    def rounded(self, bound: float) -> int:
        """The least cost that whole bars can have above a bound."""
        step = gcd(*self.costs)
        return step * ceil(bound / step - 1e-9)


def plan_cuts(
    pieces: Sequence[Piece], *, bar_lengths: Sequence[float], kerf: float, stock: str
) -> CuttingPlan:
    """The least stock, bought in whole bars, that gives all pieces.

    Parameters: pieces in mm; bar lengths, each in unlimited supply; `kerf` (mm) is lost between
    two pieces. A piece longer than every bar is cut in parts, with a finding. With one bar
    length `bars_bound` is the least number of bars; with several the least length bought is
    sought and `length_bound` bounds it. Same input, same plan. Raises JobError for a piece
    without length or no bar length.
    """
    _refuse_nonsense(pieces, bar_lengths, kerf)
    parts, findings = _spliced(pieces, max(bar_lengths))
    cut = ceil(kerf / UNIT - 1e-6)
    costs = sorted({floor(length / UNIT + 1e-6) for length in bar_lengths}, reverse=True)
    question = _Question(
        sizes=tuple(ceil(part.length / UNIT - 1e-6) + cut for part in parts),
        capacities=tuple(cost + cut for cost in costs),
        costs=tuple(costs),
    )
    bars, bound = _solve(question)
    bars_bound = ceil(sum(question.sizes) / question.capacities[0])
    if len(costs) == 1:
        bars_bound = bound // costs[0]
    return CuttingPlan(
        stock=stock,
        bars=tuple(_bar_cut(stock, costs[bar] * UNIT, held, parts, kerf) for bar, held in bars),
        bars_bound=bars_bound,
        kerf=kerf,
        proven=question.cost(bars) == bound,
        length_bound=bound * UNIT,
        findings=findings,
    )


def _refuse_nonsense(pieces: Sequence[Piece], bar_lengths: Sequence[float], kerf: float) -> None:
    if not bar_lengths or min(bar_lengths) <= 0.0:
        raise JobError("There is no bar to cut from.", "Name at least one bar length above 0 mm.")
    if kerf < 0.0:
        raise JobError(f"A saw cut of {kerf:g} mm cannot be.", "Give the width of the saw blade.")
    for piece in pieces:
        if not piece.length > 0.0:
            raise JobError(f"The piece '{piece.name}' has no length.", "Take it off the list.")


def _spliced(pieces: Sequence[Piece], longest: float) -> tuple[list[Piece], tuple[Finding, ...]]:
    """The pieces with those longer than a bar in parts: whole bars, then what is left."""
    parts, findings = [], []
    for piece in pieces:
        if piece.length <= longest:
            parts.append(piece)
            continue
        whole = int(piece.length // longest)
        lengths = [longest] * whole
        rest = piece.length - whole * longest
        short = min(SHORT_END, 0.25 * longest)
        if 0.0 < rest < short:
            lengths[-1], rest = longest - (short - rest), short
        lengths += [rest] if rest > 0.0 else []
        parts += [
            Piece(name=f"{piece.name} part {k}", length=length)
            for k, length in enumerate(lengths, 1)
        ]
        joints = ", ".join(f"{sum(lengths[:k]):.0f}" for k in range(1, len(lengths)))
        findings.append(
            Finding(
                code="spliced",
                where=piece.name,
                message=f"It needs {piece.length:.0f} mm and the longest bar has {longest:.0f} mm, "
                f"so it is butt-welded from {len(lengths)} parts, joined at {joints} mm.",
                remedy="Dress the weld flush and keep the joint out of the tightest bend, or buy "
                "longer bars.",
            )
        )
    return parts, tuple(findings)


def _bar_cut(
    stock: str, length: float, held: Sequence[int], parts: Sequence[Piece], kerf: float
) -> BarCut:
    cut = sorted((parts[k] for k in held), key=lambda part: -part.length)
    used = sum(part.length for part in cut) + kerf * len(cut)
    return BarCut(
        stock=stock, bar_length=length, pieces=tuple(cut), remnant=max(length - used, 0.0)
    )


def _solve(question: _Question) -> tuple[Bars, int]:
    """The best bars found, and the least cost that any plan could have."""
    if not question.sizes:
        return [], 0
    price = min(k / c for k, c in zip(question.costs, question.capacities, strict=True))
    bound = question.rounded(sum(question.sizes) * price)
    best: Bars = []
    different = len(set(question.sizes))
    for variant in range(FEW_FILLS if different < 0.8 * len(question.sizes) else MANY_FILLS):
        tried = fill_bars(question.sizes, question.capacities, question.costs, variant=variant)
        if not best or question.cost(tried) < question.cost(best):
            best = tried
        if question.cost(best) == bound:
            return best, bound
    if different <= PATTERNS_MOST:
        best, bound = _by_patterns(question, best, bound)
    if question.cost(best) > bound and len(question.sizes) * len(best) <= SEARCH_MOST:
        best, bound = _by_search(question, best, bound)
    return best, bound


def _by_patterns(question: _Question, best: Bars, bound: int) -> tuple[Bars, int]:
    counted = Counter(question.sizes)
    sizes, demands = list(counted), list(counted.values())
    number = {size: k for k, size in enumerate(sizes)}
    start = []
    for bar, held in best:
        pattern = [0] * len(sizes)
        for k in held:
            pattern[number[question.sizes[k]]] += 1
        start.append((bar, pattern))
    pool = generate_patterns(sizes, demands, question.capacities, question.costs, start)
    bound = max(bound, question.rounded(pool.bound - 1e-6))
    if question.cost(best) == bound:
        return best, bound
    times = plan_from_patterns(pool, demands, question.costs)
    if times is None:
        return best, bound
    waiting = {size: [k for k, s in enumerate(question.sizes) if s == size] for size in sizes}
    bars: Bars = []
    for pattern, bar, count in zip(pool.patterns, pool.bars, times, strict=True):
        for _ in range(int(count)):
            held = [
                waiting[size].pop()
                for size, wanted in zip(sizes, pattern, strict=True)
                for _ in range(min(int(wanted), len(waiting[size])))
            ]
            if held:
                bars.append((int(bar), held))
    return (bars if question.cost(bars) < question.cost(best) else best), bound


def _by_search(question: _Question, best: Bars, bound: int) -> tuple[Bars, int]:
    """CP-SAT on which piece lies in which bar, starting from the best plan so far."""
    model = cp_model.CpModel()
    bars, kinds = range(len(best)), range(len(question.costs))
    inside = [[model.new_bool_var("") for _ in bars] for _ in question.sizes]
    kind = [[model.new_bool_var("") for _ in kinds] for _ in bars]
    for row in inside:
        model.add_exactly_one(row)
    cost = [sum(question.costs[t] * kind[b][t] for t in kinds) for b in bars]
    for b in bars:
        model.add_at_most_one(kind[b])
        held = sum(size * inside[k][b] for k, size in enumerate(question.sizes))
        model.add(held <= sum(question.capacities[t] * kind[b][t] for t in kinds))
        if b:
            model.add(cost[b - 1] >= cost[b])
    model.minimize(sum(cost))
    model.add(sum(cost) >= bound)
    ordered = sorted(best, key=lambda found: -question.costs[found[0]])
    for b, (bar, held_pieces) in enumerate(ordered):
        for t in kinds:
            model.add_hint(kind[b][t], t == bar)
        for k in range(len(question.sizes)):
            model.add_hint(inside[k][b], k in held_pieces)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = SEARCH_EFFORT
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return best, bound
    bound = max(bound, question.rounded(solver.best_objective_bound))
    found = [
        (
            next(t for t in kinds if solver.value(kind[b][t])),
            [k for k in range(len(question.sizes)) if solver.value(inside[k][b])],
        )
        for b in bars
        if any(solver.value(kind[b][t]) for t in kinds)
    ]
    found = [(bar, held) for bar, held in found if held]
    return (found if question.cost(found) < question.cost(best) else best), bound
