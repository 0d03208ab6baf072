"""Cutting patterns by column generation: a sharp bound, and good plans where lengths repeat.

The linear programme chooses how often each pattern of cuts is used; its prices ask for a better
pattern, which a knapsack finds. Bars in the rack are few: they have a price of their own.
Reference: Gilmore and Gomory, 'A linear programming approach to the cutting-stock problem',
Operations Research 9 (1961), doi:10.1287/opre.9.6.849; the bound at every round: Farley, 'A note
on bounding a class of linear programming problems', Operations Research 38 (1990),
doi:10.1287/opre.38.5.922.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

__all__ = ["BarKind", "PatternPool", "generate_patterns", "plan_from_patterns"]

Array = NDArray[np.float64]

ROUNDS, EASY = 250, 100
"""Rounds of pricing; for more different lengths than EASY a quarter of them, for each is dear."""
NODES = 2000


@dataclass(frozen=True, slots=True)
class BarKind:
    """A bar that can be had: what it holds, what it costs, and how many there are, if few."""

    capacity: int
    cost: int
    supply: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class PatternPool:
    """(p, k) pieces of each size in each pattern, (p,) its bar, and a bound on the cost."""

    patterns: NDArray[np.int64]
    bars: NDArray[np.int64]
    bound: float


def _best_pattern(
    sizes: Sequence[int], demands: Sequence[int], prices: Array, capacity: int
) -> tuple[Array, list[NDArray[np.bool_]], list[tuple[int, int]]]:
    """Knapsack over all capacities: values, and for each lot of pieces where it was taken."""
    value = np.zeros(capacity + 1)
    taken, lots = [], []
    for k, (size, demand, price) in enumerate(zip(sizes, demands, prices, strict=True)):
        if price <= 1e-12:
            continue
        left, lot = min(demand, capacity // size), 1
        while left > 0:
            count = min(lot, left)
            weight = count * size
            with_it = value[: capacity + 1 - weight] + count * price
            better = np.zeros(capacity + 1, dtype=bool)
            better[weight:] = with_it > value[weight:] + 1e-12
            value[weight:] = np.maximum(value[weight:], with_it)
            taken.append(better)
            lots.append((k, count))
            left -= count
            lot *= 2
    return value, taken, lots


def _read_pattern(
    sizes: Sequence[int],
    taken: Sequence[NDArray[np.bool_]],
    lots: Sequence[tuple[int, int]],
    capacity: int,
) -> NDArray[np.int64]:
    pattern = np.zeros(len(sizes), dtype=np.int64)
    for better, (k, count) in zip(reversed(taken), reversed(lots), strict=True):
        if better[capacity]:
            pattern[k] += count
            capacity -= count * sizes[k]
    return pattern


def _supply_rows(bars: Sequence[int], kinds: Sequence[BarKind]) -> tuple[Array, Array]:
    """(r, p) which patterns draw on each kind that is few, and (r,) how many there are."""
    few = [b for b, kind in enumerate(kinds) if kind.supply is not None]
    rows = np.array([[float(bar == b) for bar in bars] for b in few]).reshape(len(few), len(bars))
    return rows, np.array([float(kinds[b].supply or 0) for b in few])


def _bound(demands: Array, kinds: Sequence[BarKind], prices: Array, worth: Array) -> float:
    """Cost below which no plan can be, from prices and the best pattern's worth of each kind.

    Prices are lowered until no bar in unlimited supply is worth more than it costs; what the few
    ones are worth beyond their cost is given away once for each.
    """
    scale = max([1.0, *(w / k.cost for w, k in zip(worth, kinds, strict=True) if k.supply is None)])
    given = [
        k.supply * max(w / scale - k.cost, 0.0)
        for w, k in zip(worth, kinds, strict=True)
        if k.supply is not None
    ]
    return float(prices @ demands / scale - sum(given))


def generate_patterns(
    sizes: Sequence[int],
    demands: Sequence[int],
    kinds: Sequence[BarKind],
    start: Sequence[tuple[int, Sequence[int]]],
    *,
    settled: float = 0.0,
) -> PatternPool:
    """Patterns that the linear programme likes, from those of a start plan.

    Parameters: distinct sizes and how many of each; bars by kind; `start` holds (bar, pieces of
    each size) and is a plan: it covers the demand and keeps the supply. Once the programme costs
    no more than `settled`, a bound that is known already, its own can be no sharper, and it ends.
    """
    pool = [np.array(pattern, dtype=np.int64) for _, pattern in start]
    bars = [bar for bar, _ in start]
    wanted, bound = np.array(demands, dtype=np.float64), 0.0
    largest = max(kind.capacity for kind in kinds)
    dearest = max(kind.cost for kind in kinds)
    few = [b for b, kind in enumerate(kinds) if kind.supply is not None]
    for _ in range(ROUNDS if len(sizes) <= EASY else ROUNDS // 4):
        rows, supply = _supply_rows(bars, kinds)
        solved = linprog(
            np.array([kinds[b].cost for b in bars], dtype=np.float64),
            A_ub=np.vstack([-np.array(pool, dtype=np.float64).T, rows]),
            b_ub=np.concatenate([-wanted, supply]),
            method="highs",
        )
        if solved.fun <= settled:
            break
        marginal = np.maximum(-np.asarray(solved.ineqlin.marginals), 0.0)
        prices, rents = marginal[: len(sizes)], dict(zip(few, marginal[len(sizes) :], strict=True))
        value, taken, lots = _best_pattern(sizes, demands, prices, largest)
        worth = np.array([value[kind.capacity] for kind in kinds])
        bound = max(bound, _bound(wanted, kinds, prices, worth))
        found = [
            b
            for b, kind in enumerate(kinds)
            if worth[b] > kind.cost + rents.get(b, 0.0) + 1e-7 * dearest
        ]
        if not found:
            break
        for b in found:
            pool.append(_read_pattern(sizes, taken, lots, kinds[b].capacity))
            bars.append(b)
    return PatternPool(np.array(pool), np.array(bars, dtype=np.int64), bound)


def plan_from_patterns(
    pool: PatternPool, demands: Sequence[int], kinds: Sequence[BarKind]
) -> NDArray[np.int64] | None:
    """(p,) how often to cut each pattern for the least cost; None if nothing was found.

    Branch and bound over the pool's patterns only, up to a fixed number of nodes.
    """
    held = pool.patterns.T.astype(np.float64)
    rows, supply = _supply_rows([int(b) for b in pool.bars], kinds)
    limits = [LinearConstraint(held, np.array(demands, dtype=np.float64), np.inf)]
    if len(rows):
        limits.append(LinearConstraint(rows, -np.inf, supply))
    solved = milp(
        np.array([kinds[b].cost for b in pool.bars], dtype=np.float64),
        constraints=limits,
        integrality=np.ones(held.shape[1]),
        bounds=Bounds(0.0, np.inf),
        options={"node_limit": NODES},
    )
    return None if solved.x is None else np.rint(solved.x).astype(np.int64)
