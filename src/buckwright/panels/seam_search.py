"""Looking for seams: the best few ways to divide, divided further, piece by piece."""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from typing import Any

from buckwright.panels.seam_parts import Measure, Part, measure_mesh
from buckwright.panels.seam_states import Bounds, State, cost, is_better_than, worst_part
from buckwright.panels.seam_ways import (
    SHARES,
    Division,
    line_divisions,
    straight_divisions,
    worth_trying,
)

__all__ = ["Found", "Watch", "search_states"]

_BEAM = 3
"""Ways to divide that are divided further at each number of pieces."""
_OTHERS = 2
"""Ways beside them that follow lines only, and ways that do without the best one's first seam:
something to weigh it against."""
_EASY = 0.5
"""Share of what the metal takes below which no further piece is asked for."""
_LEAST = 4
"""Pieces that are looked at in any case, so that there is something to weigh."""


@dataclass(frozen=True, slots=True)
class Watch:
    """Where the work is done, whom it tells the share done, and whether to stop."""

    executor: Executor
    progress: Callable[[float], None] = lambda share: None
    stopped: Callable[[], bool] = lambda: False

    def each(self, work: Callable[..., Any], items: Sequence[tuple[Any, ...]]) -> Iterator[Any]:
        """The work on each item, in order; ends early when stopped."""
        waiting = [self.executor.submit(work, *item) for item in items]
        for place, future in enumerate(waiting):
            if self.stopped():
                for late in waiting[place:]:
                    late.cancel()
                return
            yield future.result()


@dataclass(frozen=True, eq=False, slots=True)
class Found:
    """Ways to divide worth showing, fewest pieces first; the first is the single panel.

    Attributes: states; tried, parts laid flat; complete, False where the search was stopped.
    """

    states: tuple[State, ...]
    tried: int
    complete: bool


def search_states(whole: Part, bounds: Bounds, limit: float, most: int, watch: Watch) -> Found:
    """The best ways to divide a region into up to `most` parts.

    `limit` is the effective strain that the metal takes. Each round divides the worst part of
    the best few ways found so far in every way worth trying. The answer is the same for any
    number of workers. Stopped, it is what was found until then.
    """
    measure = measure_mesh((whole.vertices, whole.triangles))
    single = State((whole,), (measure,))
    beam, kept, tried = [single], [single], 1
    known: dict[int, list[tuple[Division, tuple[Measure, Measure]]]] = {}
    for count in range(2, most + 1):
        targets = [(state, worst_part(state, measure, bounds)) for state in beam]
        fresh = {id(s.parts[k]): s.parts[k] for s, k in targets if id(s.parts[k]) not in known}
        for part in fresh.values():
            known[id(part)] = _divided(part, watch)
            tried += 2 * len(known[id(part)])
        if watch.stopped():
            kept += _worth_showing(_next(targets, known), kept, measure, bounds)
            return Found(tuple(kept), tried, complete=False)
        states = sorted(_next(targets, known), key=lambda s: cost(s, measure, bounds))
        if not states:
            break
        beam = _beam(_different(states))
        kept += _worth_showing(states, kept, measure, bounds)
        watch.progress((count - 1) / most)
        if count >= _LEAST and _is_easy(beam[0], bounds, limit):
            break
    return Found(tuple(kept), tried, complete=True)


def _divided(part: Part, watch: Watch) -> list[tuple[Division, tuple[Measure, Measure]]]:
    """Every division of the part that is worth trying, with what both halves need."""
    along = [d for found in watch.each(line_divisions, [(part,)]) for d in found]
    shares = [(part, share) for share in range(SHARES)]
    straight = [d for found in watch.each(straight_divisions, shares) for d in found]
    worth = worth_trying(part, tuple(along), tuple(straight))
    meshes = [((half.vertices, half.triangles),) for d in worth for half in d.parts]
    measures = list(watch.each(measure_mesh, meshes))
    pairs = zip(measures[::2], measures[1::2], strict=False)
    return [(division, pair) for division, pair in zip(worth, pairs, strict=False)]


def _next(
    targets: list[tuple[State, int]],
    known: dict[int, list[tuple[Division, tuple[Measure, Measure]]]],
) -> list[State]:
    return [
        state.divided(index, division, measures)
        for state, index in targets
        for division, measures in known.get(id(state.parts[index]), [])
    ]


def _different(states: list[State]) -> list[State]:
    """The states without those that came about a second time by another order of seams."""
    seen, found = set(), []
    for state in states:
        key = (round(state.peak, 6), round(state.weld, 1))
        if key not in seen:
            seen.add(key)
            found.append(state)
    return found


def _beam(states: list[State]) -> list[State]:
    """The cheapest few, a few along lines only, and a few without the cheapest's first seam."""
    found = states[:_BEAM]
    for kind in (
        [s for s in states if _on_lines(s)],
        [s for s in states if _is_unlike(s, states[0])],
    ):
        found += [s for s in kind[:_OTHERS] if not any(s is other for other in found)]
    return found


def _on_lines(state: State) -> bool:
    return all(step.division.line is not None for step in state.steps)


def _is_unlike(state: State, best: State) -> bool:
    """Whether it has neither the seam that the best begins with nor another along its line."""
    first = best.steps[0].division
    return not any(
        step.division is first or (first.line is not None and step.division.line == first.line)
        for step in state.steps
    )


def _worth_showing(
    states: list[State], kept: list[State], whole: Measure, bounds: Bounds
) -> list[State]:
    """The cheapest, the best along lines only, the one with the least peak, and one unlike them."""
    if not states:
        return []
    ranked = sorted(states, key=lambda s: cost(s, whole, bounds))
    on_lines = [s for s in ranked if _on_lines(s)]
    least = min(ranked[: 4 * _BEAM], key=lambda s: s.peak)
    unlike = [s for s in ranked if _is_unlike(s, ranked[0])]
    chosen: list[State] = []
    for state in [ranked[0], *on_lines[:1], least, *unlike[:1]]:
        if is_better_than(state, [*kept, *chosen], bounds) or not chosen:
            chosen.append(state)
    return chosen


def _is_easy(state: State, bounds: Bounds, limit: float) -> bool:
    """Whether all parts fit and the metal takes them without trouble."""
    fits = all(
        m.long <= min(bounds.reach[0], bounds.sheet[0])
        and m.short <= min(bounds.reach[1], bounds.sheet[1])
        for m in state.measures
    )
    return fits and max(m.effective for m in state.measures) <= _EASY * limit
