"""Which layer each wire lies in, so that crossing wires pass one inside the other.

Of all ways without a clash the one is taken that keeps the most rod against the metal: the least
sum of length times layer, a line counting three times a section, and wires that meet
more than one layer apart (which would need a spacer) counting like two metres of rod.
A layer named by the user is the least that his wire may have. Wires that only end on another
stay in its layer and are cut back to butt against it.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from buckwright.buck.meeting import Verdict, near_pairs, verdict_of_pair
from buckwright.buck.rods import Rod

__all__ = ["LayerPlan", "assign_layers"]

MOST_LAYERS = 6
ROUNDS = 12
SPACER_WEIGHT = 200
"""cm of rod that a crossing two layers apart is worth."""

Lay = Callable[[int, int], Rod]
"""The rod of a wire (by number) in a layer."""
Barred = dict[tuple[int, int], set[tuple[int, int]]]
"""Pairs of layers that two wires, by number, cannot have together."""


@dataclass(frozen=True, slots=True)
class LayerPlan:
    """Layer of each wire, and pairs of wires by number."""

    layers: tuple[int, ...]
    crossing: tuple[tuple[int, int], ...]
    """They pass each other and cannot lie in one layer."""
    ending: tuple[tuple[int, int], ...]
    """One ends on the other."""
    clashing: tuple[tuple[int, int], ...]
    """They clash in every layer that was tried."""


def assign_layers(
    lay: Lay, least: Sequence[int], weights: Sequence[int], twins: Sequence[int], *, diameter: float
) -> LayerPlan:
    """Layers for wires 0 .. n - 1.

    Parameters: the least layer of each, its weight (cm of rod), and the wire of which it is the
    mirror image (its own number if none): twins share their layer. Clashes are found on the
    real rods, layer by layer, until none is left.
    """
    pairs = near_pairs(
        [lay(i, least[i]) for i in range(len(least))], reach=(MOST_LAYERS + 2) * diameter
    )
    barred: Barred = {}
    seen: dict[tuple[int, int, int, int], Verdict] = {}
    ending: dict[tuple[int, int], None] = {}
    layers = list(least)
    clashing: list[tuple[int, int]] = []
    for _ in range(ROUNDS):
        clashing = []
        for i, j in pairs:
            key = (i, layers[i], j, layers[j])
            if key not in seen:
                first, second = lay(i, layers[i]), lay(j, layers[j])
                seen[key] = verdict_of_pair(first, second, diameter=diameter)
            if seen[key] == "crossing":
                clashing.append((i, j))
                _bar(barred, i, j, layers[i], layers[j])
            elif seen[key] != "clear":
                ending[i, j] = None
        found = _solve(least, weights, twins, barred, tuple(ending)) if clashing else None
        if found is None:
            break
        layers = found
    return LayerPlan(tuple(layers), tuple(barred), tuple(ending), tuple(clashing))


def _bar(barred: Barred, i: int, j: int, layer_i: int, layer_j: int) -> None:
    found = barred.setdefault((i, j), set())
    if layer_i == layer_j:
        found |= {(k, k) for k in range(MOST_LAYERS + 1)}
    else:
        found.add((layer_i, layer_j))


def _solve(
    least: Sequence[int],
    weights: Sequence[int],
    twins: Sequence[int],
    barred: Barred,
    ending: Sequence[tuple[int, int]],
) -> list[int] | None:
    model = cp_model.CpModel()
    layer = [
        model.new_int_var(low, max(MOST_LAYERS, low), f"layer {i}") for i, low in enumerate(least)
    ]
    for i, twin in enumerate(twins):
        if twin != i:
            model.add(layer[i] == layer[twin])
    cost = [weight * layer[i] for i, weight in enumerate(weights)]
    for (i, j), layers in sorted(barred.items()):
        model.add_forbidden_assignments([layer[i], layer[j]], sorted(layers))
    for i, j in dict.fromkeys([*sorted(barred), *ending]):
        spacers = model.new_int_var(0, 2 * MOST_LAYERS, f"spacers {i} {j}")
        model.add(spacers >= layer[i] - layer[j] - 1)
        model.add(spacers >= layer[j] - layer[i] - 1)
        cost.append(SPACER_WEIGHT * spacers)
    model.minimize(sum(cost))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = 0.5
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return [int(solver.value(v)) for v in layer]
