"""The whole plan: tasks from the products, over the shop's sessions."""

from collections.abc import Sequence
from math import sqrt

from buckwright.errors import JobError
from buckwright.model.buck import Buck
from buckwright.model.checking import CheckResult
from buckwright.model.finding import Finding
from buckwright.model.gauges import Gauges
from buckwright.model.panels import Panels
from buckwright.model.plan import Plan, PlanSpec, Task, WorkRates
from buckwright.plan.critical_path import critical_path, in_order
from buckwright.plan.schedule import schedule_tasks
from buckwright.plan.tasks import WELDING, buck_tasks, gauge_tasks, mending_tasks, panel_tasks

__all__ = ["make_plan"]


def make_plan(
    spec: PlanSpec,
    *,
    buck: Buck | None,
    panels: Panels | None,
    gauges: Gauges | None,
    checks: tuple[CheckResult, ...],
) -> Plan:
    """Tasks, who does them when, what is left over, and the chain that sets the pace.

    Hours are the shop's own rates times what the products measure; none are shipped. Same
    input, same plan. Raises JobError for rates out of order, a session with someone who is not in
    the crew, or a name used twice.
    """
    _refuse_nonsense(spec)
    rates = spec.rates
    tasks: list[Task] = []
    tasks += mending_tasks(checks, rates)
    tasks += buck_tasks(buck, rates) if buck is not None else []
    tasks += gauge_tasks(gauges, rates) if gauges is not None else []
    tasks += panel_tasks(panels, rates, buck, tasks) if panels is not None else []
    ordered = in_order(tasks)
    schedule = schedule_tasks(ordered, spec.crew, spec.sessions, unsplit=WELDING)
    path = critical_path(ordered)
    return Plan(
        tasks=ordered,
        assignments=schedule.assignments,
        left_over=schedule.left_over,
        expected_hours=sum(task.people * task.expected for task in ordered),
        sigma_hours=sqrt(sum(task.people**2 * task.variance for task in ordered)),
        critical=tuple(task.name for task in path),
        critical_hours=sum(task.expected for task in path),
        critical_sigma=sqrt(sum(task.variance for task in path)),
        findings=(_own_hours(), *_never_done(spec, ordered)),
    )


def _refuse_nonsense(spec: PlanSpec) -> None:
    _refuse_rates(spec.rates)
    names = [person.name for person in spec.crew]
    for kind, every in (("people", names), ("sessions", [s.name for s in spec.sessions])):
        for name in every:
            if every.count(name) > 1:
                raise JobError(f"Two {kind} are called '{name}'.", "Give each a name of its own.")
    for session in spec.sessions:
        if session.hours < 0.0:
            raise JobError(f"The session '{session.name}' has no hours.", "Give its length.")
        for name in session.present:
            if name not in names:
                raise JobError(
                    f"'{name}' is present at '{session.name}' but not in the crew.",
                    "Put them in the crew with their skills, or take them off the session.",
                )


def _refuse_rates(rates: WorkRates) -> None:
    for field in WorkRates.model_fields:
        hours = getattr(rates, field)
        if hours is not None and not 0.0 <= hours[0] <= hours[1] <= hours[2]:
            what = field.replace("_per_m2", " per square metre").replace("_per_m", " per metre")
            raise JobError(
                f"The hours for '{what.replace('_', ' ')}' are not shortest, likely, longest.",
                "Give three numbers, none below 0, each at least as large as the one before.",
            )


def _own_hours() -> Finding:
    return Finding(
        code="own-hours",
        kind="note",
        where="plan",
        message="All hours come from the rates this shop typed in: no handbook gives hours for "
        "hand-formed work.",
        remedy="Write down what each task really took, and correct the rates.",
    )


def _never_done(spec: PlanSpec, tasks: Sequence[Task]) -> list[Finding]:
    """Operations that nobody may lead in any session, and tasks for more people than ever meet."""
    there = [
        [person for person in spec.crew if person.name in session.present]
        for session in spec.sessions
    ]
    found = []
    for operation, skill in sorted({(task.operation, task.skill) for task in tasks}):
        able = any(p.skills.get(operation, 0) >= skill for present in there for p in present)
        if there and not able:
            found.append(
                Finding(
                    code="nobody-able",
                    where=operation,
                    message=f"Nobody present in any session has level {skill} in '{operation}', so "
                    "these tasks are left over.",
                    remedy="Bring someone who has, or let someone learn it first.",
                )
            )
    most = max((len(present) for present in there), default=0)
    for people in sorted({task.people for task in tasks if task.people > most}):
        if there:
            found.append(
                Finding(
                    code="too-few-people",
                    where="sessions",
                    message=f"Some tasks take {people} people and no session has more than {most}.",
                    remedy="Plan a session with more people.",
                )
            )
    return found
