"""A better cutting plan by CP-SAT, from the plan at hand: which piece lies in which bar."""

from collections.abc import Sequence
from typing import Any

from ortools.sat.python import cp_model

from buckwright.buck.fill import Bars
from buckwright.buck.patterns import BarKind

__all__ = ["search_plan"]

EFFORT = 2.0
"""Deterministic time of the search: the same answer on every machine."""
MORE = 2


def search_plan(
    sizes: Sequence[int], kinds: Sequence[BarKind], best: Bars, bound: int
) -> tuple[Bars, float]:
    """The best plan found (`best` if none is better), and a bound on the cost of any.

    Bars in the rack may all be used; of bars to buy two more than the plan at hand has. The bound
    stays where it was if a cheaper plan might have still more bars, shorter ones.
    """
    few = [b for b, kind in enumerate(kinds) if kind.supply is not None]
    rack = [b for b in few for _ in range(kinds[b].supply or 0)]
    to_buy = sorted((f for f in best if f[0] not in few), key=lambda f: -kinds[f[0]].cost)
    shortest = min(kind.cost for kind in kinds if kind.supply is None)
    most = (sum(kinds[bar].cost for bar, _ in to_buy) - 1) // shortest
    slots = [*to_buy, *[(-1, list[int]())] * max(min(most - len(to_buy), MORE), 0)]
    hints = _in_rack(rack, [f for f in best if f[0] in few]) + [held for _, held in slots]
    model = cp_model.CpModel()
    inside = [[model.new_bool_var("") for _ in hints] for _ in sizes]
    for row in inside:
        model.add_exactly_one(row)
    loads = [sum(s * inside[k][b] for k, s in enumerate(sizes)) for b in range(len(hints))]
    for load, bar in zip(loads, rack, strict=False):
        model.add(load <= kinds[bar].capacity)
    chosen = _choose_kinds(model, kinds, loads[len(rack) :], [bar for bar, _ in slots])
    total = sum(kinds[b].cost * var for row in chosen for b, var in row.items())
    model.minimize(total)
    model.add(total >= bound)
    for b, held in enumerate(hints):
        for k in range(len(sizes)):
            model.add_hint(inside[k][b], k in held)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = EFFORT
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return best, float(bound)
    bars = [*rack, *(next((b for b, v in row.items() if solver.value(v)), -1) for row in chosen)]
    found = [
        (bar, [k for k in range(len(sizes)) if solver.value(inside[k][b])])
        for b, bar in enumerate(bars)
    ]
    proved = float(solver.best_objective_bound) if len(slots) >= most else float(bound)
    return [(bar, held) for bar, held in found if held], proved


def _in_rack(rack: Sequence[int], used: Bars) -> list[list[int]]:
    """What the plan at hand cuts from each bar of the rack."""
    waiting = list(used)
    found = []
    for bar in rack:
        place = next((k for k, (b, _) in enumerate(waiting) if b == bar), None)
        found.append([] if place is None else waiting.pop(place)[1])
    return found


def _choose_kinds(
    model: cp_model.CpModel, kinds: Sequence[BarKind], loads: Sequence[Any], hints: Sequence[int]
) -> list[dict[int, cp_model.IntVar]]:
    """For each bar to buy, of which kind it is, or none; the dearest first."""
    unlimited = [b for b, kind in enumerate(kinds) if kind.supply is None]
    chosen: list[dict[int, cp_model.IntVar]] = []
    costs: list[Any] = []
    for load, hint in zip(loads, hints, strict=True):
        row = {b: model.new_bool_var("") for b in unlimited}
        model.add_at_most_one(list(row.values()))
        model.add(load <= sum(kinds[b].capacity * var for b, var in row.items()))
        cost = sum(kinds[b].cost * var for b, var in row.items())
        if costs:
            model.add(costs[-1] >= cost)
        for b, var in row.items():
            model.add_hint(var, b == hint)
        chosen.append(row)
        costs.append(cost)
    return chosen
