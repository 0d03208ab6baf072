"""The longest chain of tasks that wait for each other, and the doubt about its length.

References: Kelley and Walker, 'Critical-path planning and scheduling', Proc. Eastern Joint
Computer Conference 1959; Malcolm, Roseboom, Clark and Fazar, 'Application of a technique for
research and development program evaluation', Operations Research 7 (1959),
doi:10.1287/opre.7.5.646.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from scipy.stats import norm

from buckwright.model.plan import Task

__all__ = ["TaskTimes", "chance_by", "critical_path", "in_order", "network_times"]


@dataclass(frozen=True, slots=True)
class TaskTimes:
    """Hours from the beginning: earliest and latest start and finish."""

    earliest_start: float
    earliest_finish: float
    latest_start: float
    latest_finish: float

    @property
    def slack(self) -> float:
        """Hours that the task can wait without delaying the end."""
        return self.latest_start - self.earliest_start


def in_order(tasks: Sequence[Task]) -> tuple[Task, ...]:
    """The tasks, each after those it needs, otherwise in the given order.

    Raises ValueError for a need that is no task, a name used twice, or needs in a circle.
    """
    named = {task.name: task for task in tasks}
    if len(named) != len(tasks):
        message = "two tasks have one name"
        raise ValueError(message)
    for task in tasks:
        for need in task.needs:
            if need not in named:
                message = f"the task '{task.name}' needs '{need}', which is no task"
                raise ValueError(message)
    placed: dict[str, Task] = {}
    while len(placed) < len(tasks):
        ready = [
            t for t in tasks if t.name not in placed and all(need in placed for need in t.needs)
        ]
        if not ready:
            message = "the needs of the tasks run in a circle"
            raise ValueError(message)
        placed[ready[0].name] = ready[0]
    return tuple(placed.values())


def network_times(tasks: Sequence[Task]) -> dict[str, TaskTimes]:
    """Earliest and latest times of each task by its expected hours, people without limit."""
    ordered = in_order(tasks)
    early: dict[str, float] = {}
    for task in ordered:
        early[task.name] = max((early[need] for need in task.needs), default=0.0) + task.expected
    end = max(early.values(), default=0.0)
    late = dict.fromkeys(early, end)
    for task in reversed(ordered):
        for need in task.needs:
            late[need] = min(late[need], late[task.name] - task.expected)
    return {
        t.name: TaskTimes(
            early[t.name] - t.expected, early[t.name], late[t.name] - t.expected, late[t.name]
        )
        for t in ordered
    }


def critical_path(tasks: Sequence[Task]) -> tuple[Task, ...]:
    """The longest chain, first task first; of equal chains that of the earlier tasks."""
    ordered = in_order(tasks)
    times = network_times(tasks)
    if not ordered:
        return ()
    named = {task.name: task for task in ordered}
    here = max(ordered, key=lambda t: times[t.name].earliest_finish)
    path = [here]
    while here.needs:
        here = max((named[n] for n in here.needs), key=lambda t: times[t.name].earliest_finish)
        path.append(here)
    return tuple(reversed(path))


def chance_by(path: Sequence[Task], hours: float) -> float:
    """Probability that a chain is done within `hours`, its length taken as normal."""
    sigma = sqrt(sum(task.variance for task in path))
    spare = hours - sum(task.expected for task in path)
    if sigma == 0.0:
        return float(spare >= 0.0)
    return float(norm.cdf(spare / sigma))
