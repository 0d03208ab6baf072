"""Schedules held to their rules, worked out anew from the assignments."""

from collections.abc import Sequence
from datetime import date
from itertools import pairwise

import pytest

from buckwright.model.plan import Assignment, CrewMember, Session, Task
from buckwright.plan import schedule_tasks
from buckwright.plan.schedule import Schedule

WELDING = frozenset({"welding"})


def _task(name: str, hours: float, needs: str = "", **more: object) -> Task:
    choices: dict[str, object] = {"operation": "forming", "skill": 1} | more
    return Task(  # type: ignore[arg-type]
        name=name, hours=(hours, hours, hours), needs=tuple(needs.split()), **choices
    )


CREW = (
    CrewMember(name="Maud", skills={"forming": 2, "welding": 3}),
    CrewMember(name="Jonas", skills={"forming": 1}),
    CrewMember(name="Tilda", skills={"forming": 3, "welding": 1}),
)
SESSIONS = (
    Session(name="first", day=date(2027, 1, 9), hours=3.0, present=("Maud", "Jonas", "Tilda")),
    Session(name="second", day=date(2027, 1, 16), hours=3.0, present=("Maud", "Jonas")),
    Session(name="third", day=date(2027, 1, 23), hours=2.0, present=("Jonas", "Tilda")),
)
TASKS = (
    _task("a", 1.0),
    _task("b", 2.0, "a"),
    _task("weld", 1.5, "a", operation="welding", skill=2, people=2),
    _task("c", 3.5, "b", skill=3),
    _task("d", 1.0, "weld"),
    _task("e", 4.0),
    _task("f", 1.0, "c d"),
)


DAYS = {session.name: k for k, session in enumerate(SESSIONS)}


def _broken_by(a: Assignment, task: Task) -> list[str]:
    session = SESSIONS[DAYS[a.session]]
    skills = {person.name: person.skills for person in CREW}
    broken = []
    if a.start < 0.0 or a.start + a.hours > session.hours + 1e-9:
        broken.append(f"{a.task} runs over {a.session}")
    if len(set(a.people)) != task.people or not set(a.people) <= set(session.present):
        broken.append(f"{a.task} has the wrong people in {a.session}")
    if max(skills[p].get(task.operation, 0) for p in a.people) < task.skill:
        broken.append(f"nobody can lead {a.task}")
    return broken


def _in_two_places(assignments: Sequence[Assignment]) -> list[str]:
    busy: dict[tuple[str, str], list[tuple[float, float]]] = {}
    for a in assignments:
        for person in a.people:
            busy.setdefault((person, a.session), []).append((a.start, a.start + a.hours))
    return [
        f"{who} is in two places"
        for who, times in busy.items()
        for earlier, later in pairwise(sorted(times))
        if later[0] < earlier[1] - 1e-9
    ]


def _out_of_order(schedule: Schedule, tasks: Sequence[Task]) -> list[str]:
    spans: dict[str, list[tuple[float, float]]] = {}
    for a in schedule.assignments:
        spans.setdefault(a.task, []).append((100 * DAYS[a.session] + a.start, a.hours))
    broken = []
    for task in (t for t in tasks if t.name in spans):
        done = sum(hours for _, hours in spans[task.name])
        if task.name not in schedule.left_over and done < task.expected - 1e-9:
            broken.append(f"{task.name} is not finished")
        begun = min(start for start, _ in spans[task.name])
        for need in task.needs:
            last = max((start + hours for start, hours in spans.get(need, ())), default=1e9)
            if need in schedule.left_over or begun < last - 1e-9:
                broken.append(f"{task.name} starts before {need} is done")
    return broken


def _broken_rules(schedule: Schedule, tasks: Sequence[Task]) -> list[str]:
    named = {task.name: task for task in tasks}
    alone = [rule for a in schedule.assignments for rule in _broken_by(a, named[a.task])]
    return alone + _in_two_places(schedule.assignments) + _out_of_order(schedule, tasks)


def test_a_schedule_keeps_every_rule() -> None:
    schedule = schedule_tasks(TASKS, CREW, SESSIONS, unsplit=WELDING)
    assert _broken_rules(schedule, TASKS) == []
    assert len(schedule.assignments) >= len(TASKS) - len(schedule.left_over)


def test_the_rules_see_a_broken_schedule() -> None:
    schedule = schedule_tasks(TASKS, CREW, SESSIONS, unsplit=WELDING)
    first = schedule.assignments[0]
    late = first.model_copy(update={"start": 2.9})
    assert _broken_rules(Schedule((late, *schedule.assignments[1:]), ()), TASKS)
    alone = first.model_copy(update={"people": ("Jonas", "Maud")})
    assert _broken_rules(Schedule((alone, *schedule.assignments[1:]), ()), TASKS)


def test_the_same_question_has_the_same_schedule() -> None:
    first, second = (schedule_tasks(TASKS, CREW, SESSIONS, unsplit=WELDING) for _ in range(2))
    assert [a.model_dump() for a in first.assignments] == [
        a.model_dump() for a in second.assignments
    ]
    assert first.left_over == second.left_over


def test_all_that_fits_is_done_and_the_rest_is_left_over_in_order() -> None:
    one = (Session(name="only", day=date(2027, 1, 9), hours=3.0, present=("Jonas",)),)
    tasks = [_task("a", 2.0), _task("b", 3.0, "a"), _task("c", 1.0), _task("d", 0.25, "b")]
    schedule = schedule_tasks(tasks, CREW[1:2], one, unsplit=WELDING)
    assert schedule.left_over in (("b", "d"), ("b", "c", "d"))
    assert sum(a.hours for a in schedule.assignments) == pytest.approx(3.0)


def test_work_goes_on_in_the_next_session_but_welding_ends_with_its_own() -> None:
    two = tuple(
        Session(name=n, day=date(2027, 1, d), hours=2.0, present=("Maud",))
        for n, d in (("one", 9), ("two", 16))
    )
    formed = schedule_tasks([_task("a", 1.5), _task("b", 2.0, "a")], CREW[:1], two, unsplit=WELDING)
    assert [(a.task, a.session) for a in formed.assignments] == [
        ("a", "one"),
        ("b", "one"),
        ("b", "two"),
    ]
    tasks = [_task("a", 1.5), _task("w", 1.0, "a", operation="welding", skill=2)]
    welded = schedule_tasks(tasks, CREW[:1], two, unsplit=WELDING)
    assert [(a.task, a.session, a.start) for a in welded.assignments] == [
        ("a", "one", 0.0),
        ("w", "two", 0.0),
    ]


def test_sessions_are_taken_in_order_of_their_day() -> None:
    late, early = (
        Session(name=n, day=date(2027, 1, d), hours=1.0, present=("Maud",))
        for n, d in (("late", 20), ("early", 10))
    )
    schedule = schedule_tasks([_task("a", 1.0)], CREW[:1], (late, early), unsplit=WELDING)
    assert schedule.assignments[0].session == "early"


def test_without_sessions_or_people_everything_is_left_over() -> None:
    left_over = schedule_tasks(TASKS, CREW, (), unsplit=WELDING).left_over
    assert set(left_over) == {task.name for task in TASKS}
    assert schedule_tasks(TASKS[:2], (), SESSIONS[:0], unsplit=WELDING).assignments == ()


@pytest.mark.parametrize(
    ("tasks", "said"),
    [
        ([_task("a", 1.0, "z")], "no task"),
        ([_task("a", 1.0, "b"), _task("b", 1.0, "a")], "circle"),
        ([_task("a", 1.0), _task("a", 2.0)], "one name"),
    ],
)
def test_tasks_that_make_no_network_are_the_callers_fault(tasks: list[Task], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        schedule_tasks(tasks, CREW, SESSIONS, unsplit=WELDING)
