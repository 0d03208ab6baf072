"""Who does what when: as much work as the sessions hold, then as early as it can be.

OR-Tools CP-SAT with one worker and a limit in its own deterministic time, started from a list
schedule, so that the same question has the same answer on every machine.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from buckwright.model.plan import Assignment, CrewMember, Session, Task
from buckwright.plan.critical_path import in_order
from buckwright.plan.list_plan import Placed, list_plan
from buckwright.plan.slots import SLOTS_PER_HOUR, Bench, Work, lay_out_bench, works_of_tasks

__all__ = ["Schedule", "schedule_tasks"]

EFFORT = 0.3
"""Deterministic time of the search."""
AHEAD = 2.0
"""Work is looked at for this many times what the sessions hold; what follows is left over."""


@dataclass(frozen=True, slots=True)
class Schedule:
    """Assignments in order of time, and tasks that are not finished, in order of work."""

    assignments: tuple[Assignment, ...]
    left_over: tuple[str, ...]


def schedule_tasks(
    tasks: Sequence[Task],
    crew: Sequence[CrewMember],
    sessions: Sequence[Session],
    *,
    unsplit: frozenset[str],
) -> Schedule:
    """The tasks over the sessions.

    A task starts when those it needs are finished, has as many people as it asks for all the
    while, one of whom has its skill level, and goes on in the next session where this one ends;
    where its operation is in `unsplit` it is done in goes that end within a session. Hours are
    rounded up to quarters. A task that is begun and not finished is assigned as far as it goes,
    and left over.
    """
    ordered = in_order(tasks)
    bench = lay_out_bench(crew, sessions)
    works = works_of_tasks(ordered, bench, unsplit=unsplit)
    count = _looked_at(works, bench)
    started = list_plan(works[:count], bench)
    placed = _search(works[:count], bench, started)
    done = {
        task.name
        for number, task in enumerate(ordered)
        if all(w in placed for w, work in enumerate(works) if work.task == number)
    }
    return Schedule(
        _assignments(ordered, works, bench, sessions, placed),
        tuple(task.name for task in ordered if task.name not in done),
    )


def _looked_at(works: Sequence[Work], bench: Bench) -> int:
    room, total = AHEAD * bench.person_slots(), 0
    for count, work in enumerate(works):
        total += work.slots * work.people
        if total > room:
            return count + 1
    return len(works)


class _Model:
    """The constraint model of one question."""

    def __init__(self, works: Sequence[Work], bench: Bench) -> None:
        self.works, self.bench = works, bench
        self.model = cp_model.CpModel()
        self.busy: list[list[cp_model.IntervalVar]] = [[] for _ in bench.crew]
        self.start: list[cp_model.IntVar] = []
        self.done: list[cp_model.IntVar] = []
        self.takes: list[dict[int, cp_model.IntVar]] = []
        for number, work in enumerate(works):
            self._add_work(number, work)
        for person, away in enumerate(bench.away):
            for session in away:
                first, last = bench.sessions[session]
                if last > first:
                    gone = self.model.new_fixed_size_interval_var(first, last - first, "away")
                    self.busy[person].append(gone)
            self.model.add_no_overlap(self.busy[person])
        self._set_aim()

    def _add_work(self, number: int, work: Work) -> None:
        model, places = self.model, self._places(work)
        done = model.new_bool_var(f"done {number}")
        domain = cp_model.Domain.from_intervals(places or [[0, 0]])
        start = model.new_int_var_from_domain(domain, f"start {number}")
        if not places or len(work.helpers) < work.people or not work.leaders:
            model.add(done == 0)
        takes = {p: model.new_bool_var(f"{number} by {p}") for p in work.helpers}
        for person, takes_part in takes.items():
            self.busy[person].append(
                model.new_optional_fixed_size_interval_var(
                    start, work.slots, takes_part, f"{number} by {person}"
                )
            )
        model.add(sum(takes.values()) == work.people * done)
        model.add(sum(takes[p] for p in work.leaders) >= done)
        for need in work.after:
            model.add_implication(done, self.done[need])
            model.add(start >= self.start[need] + self.works[need].slots).only_enforce_if(done)
        self.start.append(start)
        self.done.append(done)
        self.takes.append(takes)

    def _places(self, work: Work) -> list[list[int]]:
        spans = self.bench.sessions if work.whole else ((0, self.bench.end),)
        return [[a, b - work.slots] for a, b in spans if b - a >= work.slots]

    def _set_aim(self) -> None:
        """Most work first, then earlier tasks, then early starts."""
        count, horizon = len(self.works), max(self.bench.end, 1)
        much = count * (horizon + count)
        worth = [
            done * (work.slots * work.people * much + (count - number))
            for number, (work, done) in enumerate(zip(self.works, self.done, strict=True))
        ]
        self.model.maximize(sum(worth) - sum(self.start))

    def hint(self, placed: dict[int, Placed]) -> None:
        for number in range(len(self.works)):
            start, people = placed.get(number, (None, ()))
            self.model.add_hint(self.done[number], number in placed)
            for person, takes_part in self.takes[number].items():
                self.model.add_hint(takes_part, person in people)
            if start is not None:
                self.model.add_hint(self.start[number], start)


def _search(works: Sequence[Work], bench: Bench, started: dict[int, Placed]) -> dict[int, Placed]:
    if not works or bench.end == 0:
        return {}
    asked = _Model(works, bench)
    asked.hint(started)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = EFFORT
    status = solver.solve(asked.model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return started
    return {
        number: (
            int(solver.value(asked.start[number])),
            tuple(p for p, takes_part in asked.takes[number].items() if solver.value(takes_part)),
        )
        for number in range(len(works))
        if solver.value(asked.done[number])
    }


def _assignments(
    tasks: Sequence[Task],
    works: Sequence[Work],
    bench: Bench,
    sessions: Sequence[Session],
    placed: dict[int, Placed],
) -> tuple[Assignment, ...]:
    """One assignment for each task, session and set of people, pieces that follow on joined."""
    ordered = sorted(sessions, key=lambda s: s.day)
    found: list[tuple[int, int, int, int, tuple[int, ...]]] = []
    for number, (start, people) in sorted(placed.items(), key=lambda p: (works[p[0]].task, p[1])):
        work = works[number]
        for s, (first, last) in enumerate(bench.sessions):
            begin, end = max(start, first), min(start + work.slots, last)
            if begin >= end:
                continue
            previous = found[-1] if found else None
            if (
                previous is not None
                and previous[:2] == (work.task, s)
                and (
                    previous[3],
                    previous[4],
                )
                == (begin, people)
            ):
                found[-1] = (*previous[:3], end, people)
            else:
                found.append((work.task, s, begin, end, people))
    found.sort(key=lambda f: (f[2], f[0]))
    return tuple(
        Assignment(
            task=tasks[task].name,
            session=ordered[s].name,
            start=(begin - bench.sessions[s][0]) / SLOTS_PER_HOUR,
            hours=(end - begin) / SLOTS_PER_HOUR,
            people=tuple(bench.crew[p].name for p in people),
        )
        for task, s, begin, end, people in found
    )
