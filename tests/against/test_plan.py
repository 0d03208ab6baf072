"""The plan step against published networks and benchmark schedules."""

from datetime import date
from math import sqrt

import pytest

from buckwright.model.plan import CrewMember, Session, Task
from buckwright.plan import chance_by, critical_path, network_times, schedule_tasks

Hours = tuple[float, float, float]


def _task(name: str, hours: Hours, needs: str = "", operation: str = "work") -> Task:
    return Task(name=name, operation=operation, hours=hours, skill=1, needs=tuple(needs.split()))


# Taylor, 'Introduction to Management Science', PERT example (as printed at flylib.com 3.287.1.117):
# critical path 1-3-5-7, 24 weeks, variance 5, P(<= 28) = 0.9633 from z rounded to 1.79.
TAYLOR = {
    "1": (5, 8, 17),
    "2": (7, 10, 13),
    "3": (3, 5, 7),
    "4": (1, 3, 5),
    "5": (4, 6, 8),
    "6": (3, 3, 3),
    "7": (3, 4, 5),
}


def test_a_published_pert_path_has_its_mean_variance_and_chance() -> None:
    path = [_task(name, TAYLOR[name]) for name in "1357"]
    assert [_task(name, hours).expected for name, hours in TAYLOR.items()] == pytest.approx(
        [9, 10, 5, 3, 6, 3, 4]
    )
    assert sum(task.expected for task in path) == pytest.approx(24.0)
    assert sum(task.variance for task in path) == pytest.approx(5.0)
    assert chance_by(path, 28.0) == pytest.approx(0.9633, abs=2e-4)
    assert chance_by(path, 24.0) == pytest.approx(0.5)


# 14 activities, expected times and four slacks as published (wizedu.com 717873).
FOURTEEN = {
    "A": ((5, 5, 7), ""),
    "B": ((1, 2, 5), ""),
    "C": ((5, 5, 5), "A"),
    "D": ((4, 8, 13), "A"),
    "E": ((1, 10, 17), "B C"),
    "F": ((1, 5, 7), "D"),
    "G": ((2, 6, 9), "D"),
    "H": ((4, 4, 6), "E F"),
    "I": ((2, 7, 10), "G H"),
    "J": ((2, 4, 7), "I"),
    "K": ((6, 10, 13), "I"),
    "L": ((2, 6, 6), "J"),
    "M": ((2, 2, 3), "K"),
    "N": ((7, 7, 12), "L M"),
}
EXPECTED = [5.33, 2.33, 5, 8.17, 9.67, 4.67, 5.83, 4.33, 6.67, 4.17, 9.83, 5.33, 2.17, 7.83]


def test_a_published_network_of_fourteen_has_its_times_and_slacks() -> None:
    tasks = [_task(name, hours, needs) for name, (hours, needs) in FOURTEEN.items()]
    assert [task.expected for task in tasks] == pytest.approx(EXPECTED, abs=0.005)
    times = network_times(tasks)
    slacks = {name: times[name].slack for name in "ABDF"}
    assert slacks == pytest.approx({"A": 0.0, "B": 8.0, "D": 1.83, "F": 1.83}, abs=0.005)
    path = critical_path(tasks)
    assert "".join(task.name for task in path) == "ACEHIKMN"
    assert times["N"].earliest_finish == pytest.approx(50.83, abs=0.005)


# Taylor, chapter 8 solutions (as printed at scribd 47113515): activities by event numbers,
# earliest start and finish, latest start and finish, slack.
ARROWS = {
    "1-2": (7, "", (0, 7, 2, 9, 2)),
    "1-3": (10, "", (0, 10, 0, 10, 0)),
    "2-4": (6, "1-2", (7, 13, 9, 15, 2)),
    "3-4": (5, "1-3", (10, 15, 10, 15, 0)),
    "3-5": (4, "1-3", (10, 14, 14, 18, 4)),
    "4-5": (3, "2-4 3-4", (15, 18, 15, 18, 0)),
    "5-6": (2, "3-5 4-5", (18, 20, 18, 20, 0)),
}


def test_a_published_critical_path_table_is_reproduced_entirely() -> None:
    tasks = [_task(name, (d, d, d), needs) for name, (d, needs, _) in ARROWS.items()]
    times = network_times(tasks)
    for name, (_, _, printed) in ARROWS.items():
        t = times[name]
        found = (t.earliest_start, t.earliest_finish, t.latest_start, t.latest_finish, t.slack)
        assert found == pytest.approx(printed)
    assert [task.name for task in critical_path(tasks)] == ["1-3", "3-4", "4-5", "5-6"]


def test_milwaukee_paper_ends_in_fifteen_weeks() -> None:
    """Heizer and Render, 'Operations Management' (from memory): 15 weeks, variance 3.11."""
    table = {
        "A": ((1, 2, 3), ""),
        "B": ((2, 3, 4), ""),
        "C": ((1, 2, 3), "A"),
        "D": ((2, 4, 6), "A B"),
        "E": ((1, 4, 7), "C"),
        "F": ((1, 2, 9), "C"),
        "G": ((3, 4, 11), "D E"),
        "H": ((1, 2, 3), "F G"),
    }
    path = critical_path([_task(n, h, needs) for n, (h, needs) in table.items()])
    assert "".join(task.name for task in path) == "ACEGH"
    assert sum(task.expected for task in path) == pytest.approx(15.0)
    assert sqrt(sum(task.variance for task in path)) == pytest.approx(sqrt(3.11), abs=0.002)
    assert chance_by(path, 16.0) == pytest.approx(0.7146, abs=2e-4)


# Fisher and Thompson's 6 x 6 job shop (Muth and Thompson, 'Industrial Scheduling', 1963): machine
# and time of each operation, job by job. Its shortest makespan is 55.
FT06 = """
2 1 0 3 1 6 3 7 5 3 4 6
1 8 2 5 4 10 5 10 0 10 3 4
2 5 3 4 5 8 0 9 1 1 4 7
1 5 0 5 2 5 3 3 4 8 5 9
2 9 1 3 4 5 5 4 0 3 3 1
1 3 3 3 5 9 0 10 4 4 2 1
"""


def _job_shop(text: str) -> tuple[list[Task], list[CrewMember], frozenset[str]]:
    """Each machine a person who alone can do its operation, each job a chain of tasks."""
    tasks, machines = [], set()
    for job, row in enumerate(text.split("\n")[1:-1]):
        numbers = [int(n) for n in row.split()]
        for k, (machine, hours) in enumerate(zip(numbers[::2], numbers[1::2], strict=True)):
            needs = f"{job}.{k - 1}" if k else ""
            operation = f"machine {machine}"
            tasks.append(_task(f"{job}.{k}", (hours, hours, hours), needs, operation))
            machines.add(operation)
    crew = [CrewMember(name=m, skills={m: 1}) for m in sorted(machines)]
    return tasks, crew, frozenset(machines)


def test_the_six_by_six_job_shop_fits_its_known_optimum_and_nothing_less() -> None:
    tasks, crew, machines = _job_shop(FT06)
    present = tuple(person.name for person in crew)
    for hours, fits in ((55.0, True), (54.0, False)):
        session = Session(name="run", day=date(2026, 1, 5), hours=hours, present=present)
        schedule = schedule_tasks(tasks, crew, [session], unsplit=machines)
        assert (schedule.left_over == ()) == fits
