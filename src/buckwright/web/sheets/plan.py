"""Who does what next?"""

from typing import Any

from buckwright.model.job import Job, Products
from buckwright.web.words import Words, counted, figure

__all__ = ["answer", "detail"]


def answer(job: Job, products: Products) -> Words | None:
    """How much work there is, and how much of it the sessions hold."""
    plan = products.plan
    if plan is None:
        return None
    sessions = len(job.plan.sessions) if job.plan is not None else 0
    placed = len(plan.tasks) - len(plan.left_over)
    return [
        counted(len(plan.tasks), "task"),
        ", ",
        figure(f"{plan.expected_hours:.0f} hours"),
        " give or take ",
        figure(f"{plan.sigma_hours:.0f}"),
        "; ",
        "there is room for ",
        figure(f"{placed}"),
        " of them in ",
        counted(sessions, "session"),
        ", and ",
        figure(f"{len(plan.left_over)}") if plan.left_over else "none",
        " must wait for more.",
    ]


def detail(job: Job, products: Products) -> dict[str, Any]:
    """Tasks, sessions and who is put to what."""
    spec, plan = job.plan, products.plan
    sessions = [] if spec is None else [s.model_dump(mode="json") for s in spec.sessions]
    if plan is None:
        return {"tasks": [], "sessions": sessions}
    return {
        "tasks": [
            {**task.model_dump(mode="json"), "expected": task.expected} for task in plan.tasks
        ],
        "sessions": sessions,
        "assignments": [a.model_dump(mode="json") for a in plan.assignments],
        "left_over": plan.left_over,
        "crew": [] if spec is None else [member.name for member in spec.crew],
    }
