"""The cheapest way to cut pieces from bars, in whole numbers, with a bound on what it must cost.

First the rack and the bars are filled by subset sums, which is nearly always the best plan already
where lengths differ; then the bound is sharpened and better plans are sought, by patterns where
lengths repeat and by CP-SAT from the plan at hand.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, islice, product
from math import ceil, gcd

from buckwright.buck.cut_search import search_plan
from buckwright.buck.fill import Bars, fill_bars, fill_rack
from buckwright.buck.patterns import BarKind, generate_patterns, plan_from_patterns
from buckwright.buck.refill import refill_row

__all__ = ["CutQuestion", "cut_bars"]

FEW_FILLS, MANY_FILLS = 5, 300
"""Fillings tried where lengths repeat (patterns then do better), and where they do not."""
ALIKE, ROWS, MOVES = 4, 30, 3000
"""Choices of bars that just hold everything: of one cost, in all, and how often some bars of each
are filled anew."""
ROW_MOST = 100
"""Bars beyond which rows are not tried; so many repeat lengths, and patterns are better."""
MOVES_IN_ALL, EACH = 100_000, 2500
"""How often in all, where there are few such choices; and at most, for each bar."""
COMBINATIONS = 20_000
PATTERNS_MOST = 120
"""Different lengths beyond which no patterns are sought."""
SEARCH_MOST = 2500
"""Pieces times bars beyond which CP-SAT is not asked."""


@dataclass(frozen=True, slots=True)
class CutQuestion:
    """Whole numbers, a saw cut added to every piece and to every bar.

    `kinds`: bars to buy, which cost their length, and bars in the rack, which cost nothing.
    """

    sizes: tuple[int, ...]
    kinds: tuple[BarKind, ...]

    @property
    def bought(self) -> list[int]:
        """Numbers of the kinds that are bought, longest first."""
        found = [b for b, kind in enumerate(self.kinds) if kind.supply is None]
        return sorted(found, key=lambda b: -self.kinds[b].capacity)

    @property
    def rack(self) -> list[int]:
        """Number of the kind of every single bar in the rack, shortest first."""
        few = [b for b, kind in enumerate(self.kinds) if kind.supply]
        few.sort(key=lambda b: self.kinds[b].capacity)
        return [b for b in few for _ in range(self.kinds[b].supply or 0)]

    def cost(self, bars: Bars) -> int:
        """What the bars cost."""
        return sum(self.kinds[bar].cost for bar, _ in bars)

    def rounded(self, bound: float) -> int:
        """The least cost of whole bars that is not below a bound."""
        costs = [self.kinds[b].cost for b in self.bought]
        step = gcd(*costs)
        least = max(ceil(bound / step - 1e-9), 0)
        parts = sorted({cost // step for cost in costs})
        top = least + parts[-1]
        if top > COMBINATIONS:
            return step * least
        reach = 1
        for part in parts:
            lots = part
            while lots <= top:
                reach |= reach << lots
                lots *= 2
        reach >>= least
        return step * (least + (reach & -reach).bit_length() - 1)


def cut_bars(question: CutQuestion) -> tuple[Bars, int]:
    """The best plan found, and the least cost that any plan could have.

    Same question, same answer. Raises ValueError if a piece fits no bar that is bought.
    """
    if not question.sizes:
        return [], 0
    rows = _rows(question)
    bound = rows[0][0] if rows else question.rounded(_material(question))
    different = len(set(question.sizes))
    fills = FEW_FILLS if different < 0.8 * len(question.sizes) else MANY_FILLS
    best = min((_filling(question, v) for v in range(FEW_FILLS)), key=question.cost)
    if question.cost(best) > bound and len(best) <= ROW_MOST:
        cheaper = [row for row in _few_of_each_cost(rows) if row[0] < question.cost(best)]
        best = _first_row_that_holds(question, cheaper[:ROWS]) or best
    for variant in range(FEW_FILLS, fills):
        if question.cost(best) > bound:
            best = min(best, _filling(question, variant), key=question.cost)
    if question.cost(best) == bound:
        return best, bound
    if different <= PATTERNS_MOST:
        settled = bound if fills > FEW_FILLS else 0
        best, bound = _by_patterns(question, best, bound, settled)
    if question.cost(best) > bound and len(question.sizes) * len(best) <= SEARCH_MOST:
        found, proved = search_plan(question.sizes, question.kinds, best, bound)
        bound = max(bound, question.rounded(proved - 1e-6))
        best = min(best, found, key=question.cost)
    return best, bound


def _need(question: CutQuestion) -> int:
    """What is left to buy if every bar in the rack could be filled to the brim."""
    least = min(question.sizes)
    free = [question.kinds[b].capacity for b in question.rack]
    return sum(question.sizes) - sum(capacity for capacity in free if capacity >= least)


def _material(question: CutQuestion) -> float:
    kinds = [question.kinds[b] for b in question.bought]
    return max(_need(question), 0) * min(kind.cost / kind.capacity for kind in kinds)


def _rows(question: CutQuestion) -> list[tuple[int, tuple[int, ...]]]:
    """(cost, how many bars of each bought kind) that just hold what must be bought, cheapest first.

    None at all if there are too many kinds to go through.
    """
    kinds = [question.kinds[b] for b in question.bought]
    need = max(_need(question), 0)
    most = [ceil(need / kind.capacity) for kind in kinds[:-1]]
    ways = 1
    for count in most:
        ways *= count + 1
    if ways > COMBINATIONS:
        return []
    found = []
    for counts in product(*(range(count + 1) for count in most)):
        held = sum(n * kind.capacity for n, kind in zip(counts, kinds, strict=False))
        last = max(ceil((need - held) / kinds[-1].capacity), 0)
        row = (*counts, last)
        found.append((sum(n * kind.cost for n, kind in zip(row, kinds, strict=True)), row))
    # Of rows with the same cost the one with fewer, longer bars is easier to fill.
    return sorted(found, key=lambda row: (row[0], sum(row[1])))


def _few_of_each_cost(
    rows: Sequence[tuple[int, tuple[int, ...]]],
) -> list[tuple[int, tuple[int, ...]]]:
    same = groupby(rows, key=lambda row: row[0])
    return [row for _, group in same for row in islice(group, ALIKE)]


def _filling(question: CutQuestion, variant: int) -> Bars:
    """A plan: the rack as full as it can be, then bars one by one."""
    everything = range(len(question.sizes))
    held, left = _from_rack(question, variant) if question.rack else (list[list[int]](), everything)
    return _joined(question, held, _from_bars(question, left, variant))


def _from_rack(question: CutQuestion, variant: int) -> tuple[list[list[int]], Sequence[int]]:
    row = [question.kinds[b].capacity for b in question.rack]
    return fill_rack(question.sizes, row, variant=variant)


def _from_bars(question: CutQuestion, left: Sequence[int], variant: int) -> Bars:
    kinds = [question.kinds[b] for b in question.bought]
    filled = fill_bars(
        question.sizes,
        left,
        [kind.capacity for kind in kinds],
        [kind.cost for kind in kinds],
        variant=variant,
    )
    return [(question.bought[bar], pieces) for bar, pieces in filled]


def _first_row_that_holds(
    question: CutQuestion, rows: Sequence[tuple[int, tuple[int, ...]]]
) -> Bars:
    """The rack and the cheapest row of bars in which everything found its place; empty if none."""
    moves = max(MOVES, MOVES_IN_ALL // max(len(rows), 1))
    for _, row in rows:
        bought = [b for b, count in zip(question.bought, row, strict=True) for _ in range(count)]
        bars = [*question.rack, *bought]
        capacities = [question.kinds[b].capacity for b in bars]
        held, left = refill_row(question.sizes, capacities, moves=min(moves, EACH * len(bars)))
        if not left:
            return [(b, pieces) for b, pieces in zip(bars, held, strict=True) if pieces]
    return []


def _joined(question: CutQuestion, held: Sequence[list[int]], bars: Bars) -> Bars:
    return [*((b, pieces) for b, pieces in zip(question.rack, held, strict=True) if pieces), *bars]


def _by_patterns(question: CutQuestion, best: Bars, bound: int, settled: int) -> tuple[Bars, int]:
    counted = Counter(question.sizes)
    sizes, demands = list(counted), list(counted.values())
    number = {size: k for k, size in enumerate(sizes)}
    start = []
    for bar, held in best:
        pattern = [0] * len(sizes)
        for k in held:
            pattern[number[question.sizes[k]]] += 1
        start.append((bar, pattern))
    pool = generate_patterns(sizes, demands, question.kinds, start, settled=settled)
    bound = max(bound, question.rounded(pool.bound - 1e-6))
    if question.cost(best) == bound or (settled and len(question.kinds) > 1):
        # Where neither lengths nor bars repeat, patterns take long and are no better than fillings.
        return best, bound
    times = plan_from_patterns(pool, demands, question.kinds)
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
    return min(best, bars, key=question.cost), bound
