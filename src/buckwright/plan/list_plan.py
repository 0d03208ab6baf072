"""A first schedule: each piece of work in turn as early as its people are free."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.plan.slots import Bench, Work

__all__ = ["Placed", "list_plan"]

Placed = tuple[int, tuple[int, ...]]
"""First slot and people of a piece of work."""


def list_plan(works: Sequence[Work], bench: Bench) -> dict[int, Placed]:
    """Works that fit, by number. A work that needs one left out is left out too."""
    free = np.ones((len(bench.crew), bench.end), dtype=bool)
    for person, away in enumerate(bench.away):
        for session in away:
            free[person, slice(*bench.sessions[session])] = False
    placed: dict[int, Placed] = {}
    for number, work in enumerate(works):
        if any(need not in placed for need in work.after):
            continue
        ready = max((placed[n][0] + works[n].slots for n in work.after), default=0)
        found = _earliest(work, bench, free, ready)
        if found is not None:
            placed[number] = found
            start, people = found
            free[list(people), start : start + work.slots] = False
    return placed


def _earliest(work: Work, bench: Bench, free: NDArray[np.bool_], ready: int) -> Placed | None:
    for start in range(ready, bench.end - work.slots + 1):
        if work.whole and not _within_session(start, work.slots, bench):
            continue
        able = np.asarray(free[:, start : start + work.slots].all(axis=1))
        leaders = [p for p in work.leaders if able[p]]
        # The best are kept for work that only they can lead.
        helpers = sorted((p for p in work.helpers if able[p]), key=lambda p: _value(bench, p))
        if leaders and len(helpers) >= work.people:
            leader = min(leaders, key=lambda p: _value(bench, p))
            others = [p for p in helpers if p != leader][: work.people - 1]
            return start, tuple(sorted([leader, *others]))
    return None


def _value(bench: Bench, person: int) -> tuple[int, int]:
    return sum(bench.crew[person].skills.values()), person


def _within_session(start: int, slots: int, bench: Bench) -> bool:
    return any(first <= start and start + slots <= last for first, last in bench.sessions)
