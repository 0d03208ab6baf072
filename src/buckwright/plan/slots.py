"""Sessions as one row of quarter hours, and tasks as pieces of work that fill them."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

from buckwright.model.plan import CrewMember, Session, Task

__all__ = ["SLOTS_PER_HOUR", "Bench", "Work", "lay_out_bench", "works_of_tasks"]

SLOTS_PER_HOUR = 4
WORK_SLOTS = 8
"""A task that may be put down is planned in pieces of two hours at most; one that may not, in goes
of half the longest session at most, none of which runs over the end of a session."""


@dataclass(frozen=True, slots=True)
class Bench:
    """The sessions one after another: (first slot, slot after the last) of each, who is there."""

    sessions: tuple[tuple[int, int], ...]
    crew: tuple[CrewMember, ...]
    away: tuple[tuple[int, ...], ...]
    """For each person the sessions that they miss."""

    @property
    def end(self) -> int:
        """Number of slots."""
        return self.sessions[-1][1] if self.sessions else 0

    def person_slots(self) -> int:
        """Slots of all people who are there."""
        every = sum(last - first for first, last in self.sessions) * len(self.crew)
        missed = sum(self.sessions[s][1] - self.sessions[s][0] for away in self.away for s in away)
        return every - missed


@dataclass(frozen=True, slots=True)
class Work:
    """A piece of a task: done in one go by the same people."""

    task: int
    slots: int
    people: int
    leaders: tuple[int, ...]
    """Persons who may lead it."""
    helpers: tuple[int, ...]
    """Everyone who may take part, leaders included."""
    whole: bool
    """Whether it must lie within one session."""
    after: tuple[int, ...]
    """Works that must be done before."""


def lay_out_bench(crew: Sequence[CrewMember], sessions: Sequence[Session]) -> Bench:
    """Sessions in order of their day, in whole quarter hours."""
    ordered = sorted(sessions, key=lambda s: s.day)
    edges, at = [], 0
    for session in ordered:
        slots = floor(session.hours * SLOTS_PER_HOUR + 1e-6)
        edges.append((at, at + slots))
        at += slots
    away = tuple(
        tuple(s for s, session in enumerate(ordered) if person.name not in session.present)
        for person in crew
    )
    return Bench(tuple(edges), tuple(crew), away)


def works_of_tasks(
    tasks: Sequence[Task], bench: Bench, *, unsplit: frozenset[str]
) -> tuple[Work, ...]:
    """The tasks (in an order that respects their needs) in pieces of work.

    Hours are expected hours, rounded up to a quarter. Operations in `unsplit` are not put down.
    """
    crew = bench.crew
    half = max((last - first for first, last in bench.sessions), default=0) // 2
    works: list[Work] = []
    last_of: dict[str, int] = {}
    for number, task in enumerate(tasks):
        total = max(ceil(task.expected * SLOTS_PER_HOUR - 1e-6), 1)
        whole = task.operation in unsplit
        count = ceil(total / max(half, 1) if whole else total / WORK_SLOTS)
        leaders = tuple(
            p for p, person in enumerate(crew) if person.skills.get(task.operation, 0) >= task.skill
        )
        helpers = leaders if task.people == 1 else tuple(range(len(crew)))
        after = tuple(last_of[need] for need in task.needs)
        for k in range(count):
            slots = (total * (k + 1)) // count - (total * k) // count
            works.append(Work(number, slots, task.people, leaders, helpers, whole, after))
            after = (len(works) - 1,)
        last_of[task.name] = len(works) - 1
    return tuple(works)
