"""Cutting patterns by column generation: a sharp bound, and good plans where lengths repeat.

The linear programme chooses how often each pattern of cuts is used; its prices ask for a better
pattern, which a knapsack finds. Reference: Gilmore and Gomory, 'A linear programming approach
to the cutting-stock problem', Operations Research 9 (1961), doi:10.1287/opre.9.6.849; the bound
at every round: Farley, 'A note on bounding a class of linear programming problems', Operations
Research 38 (1990), doi:10.1287/opre.38.5.922.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

__all__ = ["PatternPool", "generate_patterns", "plan_from_patterns"]

ROUNDS = 250
NODES = 2000


@dataclass(frozen=True, slots=True, eq=False)
class PatternPool:
    """(p, k) pieces of each size in each pattern, (p,) its bar, and a bound on the cost."""

    patterns: NDArray[np.int64]
    bars: NDArray[np.int64]
    bound: float


def _best_pattern(
    sizes: Sequence[int], demands: Sequence[int], prices: NDArray[np.float64], capacity: int
) -> tuple[NDArray[np.float64], list[NDArray[np.bool_]], list[tuple[int, int]]]:
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


def generate_patterns(
    sizes: Sequence[int],
    demands: Sequence[int],
    capacities: Sequence[int],
    costs: Sequence[int],
    start: Sequence[tuple[int, Sequence[int]]],
) -> PatternPool:
    """Patterns that the linear programme likes, from those of a start plan.

    Parameters: distinct sizes and how many of each; bars by capacity and cost; `start` holds
    (bar, pieces of each size) and covers the demand. Every bar is in unlimited supply.
    """
    pool = [np.array(pattern, dtype=np.int64) for _, pattern in start]
    bars = [bar for bar, _ in start]
    bound = 0.0
    for _ in range(ROUNDS):
        solved = linprog(
            np.array([costs[b] for b in bars], dtype=np.float64),
            A_ub=-np.array(pool, dtype=np.float64).T,
            b_ub=-np.array(demands, dtype=np.float64),
            method="highs",
        )
        prices = np.maximum(-np.asarray(solved.ineqlin.marginals), 0.0)
        value, taken, lots = _best_pattern(sizes, demands, prices, max(capacities))
        worth = [value[capacity] / cost for capacity, cost in zip(capacities, costs, strict=True)]
        bound = max(bound, float(prices @ np.array(demands)) / max(max(worth), 1.0))
        found = [b for b, w in enumerate(worth) if w > 1.0 + 1e-9]
        if not found:
            break
        for b in found:
            pool.append(_read_pattern(sizes, taken, lots, capacities[b]))
            bars.append(b)
    return PatternPool(np.array(pool), np.array(bars, dtype=np.int64), bound)


def plan_from_patterns(
    pool: PatternPool, demands: Sequence[int], costs: Sequence[int]
) -> NDArray[np.int64] | None:
    """(p,) how often to cut each pattern for the least cost; None if nothing was found.

    Branch and bound over the pool's patterns only, up to a fixed number of nodes.
    """
    held = pool.patterns.T.astype(np.float64)
    solved = milp(
        np.array([costs[b] for b in pool.bars], dtype=np.float64),
        constraints=LinearConstraint(held, np.array(demands, dtype=np.float64), np.inf),
        integrality=np.ones(held.shape[1]),
        bounds=Bounds(0.0, np.inf),
        options={"node_limit": NODES},
    )
    return None if solved.x is None else np.rint(solved.x).astype(np.int64)
