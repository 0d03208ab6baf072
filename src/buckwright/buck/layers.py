"""Which layer each wire lies in, so that crossing wires pass one inside the other.

Of all ways without a clash the one is taken that keeps the most rod against the metal: the least
sum of length times layer, a line counting three times a section, and wires that meet
more than one layer apart (which would need a spacer) counting like two metres of rod.
A layer named by the user is the least that his wire may have; a wire that stands keeps the layer
it was built in. Wires that only end on another, and those that are to be cut where they cross it,
stay in its layer and butt against it. Stages are laid out one after the other: what comes later
gives way, so that it never asks for a change of what stands.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from buckwright.buck.meeting import Verdict, near_pairs, verdict_of_pair
from buckwright.buck.rods import Rod

__all__ = ["LayerPlan", "Wanted", "assign_layers"]

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


@dataclass(frozen=True, slots=True)
class Wanted:
    """What each wire asks for, by number 0 .. n - 1.

    `least` layer; `weights`, cm of rod; `twins`, the wire of which it is the mirror image (its
    own number if none): twins share their layer; `stages`; `fixed` layers of those that stand;
    `cuts` (cut, through): the first is cut where it would run through the second.
    """

    least: Sequence[int]
    weights: Sequence[int]
    twins: Sequence[int]
    stages: Sequence[int]
    fixed: Mapping[int, int]
    cuts: frozenset[tuple[int, int]]


def assign_layers(lay: Lay, wanted: Wanted, *, diameter: float) -> LayerPlan:
    """Layers for all wires.

    Clashes are found on the real rods, layer by layer, until none is left.
    """
    count = len(wanted.least)
    rods = [lay(i, wanted.least[i]) for i in range(count)]
    pairs = near_pairs(rods, reach=(MOST_LAYERS + 2) * diameter)
    search = _Search(lay, wanted, diameter)
    layers = [wanted.fixed.get(i, low) for i, low in enumerate(wanted.least)]
    fixed = dict(wanted.fixed)
    clashing: list[tuple[int, int]] = []
    for stage in sorted(set(wanted.stages)):
        here = [pair for pair in pairs if max(wanted.stages[k] for k in pair) == stage]
        layers, left = search.settled(layers, here, fixed)
        clashing += left
        fixed |= {i: layers[i] for i in range(count) if wanted.stages[i] <= stage}
    return LayerPlan(tuple(layers), tuple(search.barred), tuple(search.ending), tuple(clashing))


class _Search:
    """Rounds of looking for clashes and solving for layers without those that are known."""

    def __init__(self, lay: Lay, wanted: Wanted, diameter: float) -> None:
        self._lay, self._wanted, self._diameter = lay, wanted, diameter
        self._seen: dict[tuple[int, int, int, int], Verdict] = {}
        self.barred: Barred = {}
        self.ending: dict[tuple[int, int], None] = {}

    def settled(
        self, layers: list[int], pairs: Sequence[tuple[int, int]], fixed: Mapping[int, int]
    ) -> tuple[list[int], list[tuple[int, int]]]:
        """Layers in which the pairs are clear, and those pairs that never are."""
        clashing: list[tuple[int, int]] = []
        for _ in range(ROUNDS):
            clashing = self._clashes(layers, pairs)
            found = (
                _solve(self._wanted, fixed, self.barred, tuple(self.ending)) if clashing else None
            )
            if found is None:
                break
            layers = found
        return layers, clashing

    def _clashes(
        self, layers: Sequence[int], pairs: Sequence[tuple[int, int]]
    ) -> list[tuple[int, int]]:
        clashing = []
        for i, j in pairs:
            verdict = self._verdict(i, j, layers[i], layers[j])
            cut = (i, j) in self._wanted.cuts or (j, i) in self._wanted.cuts
            if verdict == "crossing" and not cut:
                clashing.append((i, j))
                _bar(self.barred, i, j, layers[i], layers[j])
            elif verdict != "clear":
                self.ending[i, j] = None
        return clashing

    def _verdict(self, i: int, j: int, layer_i: int, layer_j: int) -> Verdict:
        key = (i, layer_i, j, layer_j)
        if key not in self._seen:
            first, second = self._lay(i, layer_i), self._lay(j, layer_j)
            self._seen[key] = verdict_of_pair(first, second, diameter=self._diameter)
        return self._seen[key]


def _bar(barred: Barred, i: int, j: int, layer_i: int, layer_j: int) -> None:
    found = barred.setdefault((i, j), set())
    if layer_i == layer_j:
        found |= {(k, k) for k in range(MOST_LAYERS + 1)}
    else:
        found.add((layer_i, layer_j))


def _solve(
    wanted: Wanted, fixed: Mapping[int, int], barred: Barred, ending: Sequence[tuple[int, int]]
) -> list[int] | None:
    model = cp_model.CpModel()
    lowest = [fixed.get(i, low) for i, low in enumerate(wanted.least)]
    highest = [fixed.get(i, max(MOST_LAYERS, low)) for i, low in enumerate(lowest)]
    layer = [
        model.new_int_var(low, high, f"layer {i}")
        for i, (low, high) in enumerate(zip(lowest, highest, strict=True))
    ]
    for i, twin in enumerate(wanted.twins):
        # Of twins that stand in different layers each keeps its own.
        if twin != i and not (i in fixed and twin in fixed):
            model.add(layer[i] == layer[twin])
    cost = [weight * layer[i] for i, weight in enumerate(wanted.weights)]
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
