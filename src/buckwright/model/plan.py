"""Tasks, crew, sessions and the schedule."""

from datetime import date

from buckwright.model.fact import Fact
from buckwright.model.finding import Finding

__all__ = ["Assignment", "CrewMember", "Plan", "PlanSpec", "Session", "Task", "WorkRates"]


class CrewMember(Fact):
    """A person and their level (0 none, 1 learning, 2 able, 3 teaches) in each operation."""

    name: str
    skills: dict[str, int]


class Session(Fact):
    """One working period."""

    name: str
    day: date
    hours: float
    present: tuple[str, ...]


class WorkRates(Fact):
    """Hours typed in by the shop: (shortest, likely, longest) for each kind of operation.

    No handbook gives hours for hand-formed work, so the program ships none: these are the
    user's own, and the plan says so.
    """

    bend_wire_per_m: tuple[float, float, float]
    tack: tuple[float, float, float]
    frame_member: tuple[float, float, float]
    form_panel_per_m2: tuple[float, float, float]
    weld_seam_per_m: tuple[float, float, float]
    cut_gauge: tuple[float, float, float]
    check_panel: tuple[float, float, float]
    cut_blank: tuple[float, float, float] | None = None
    """For one blank, marked out, cut and deburred; None where it is counted in the forming."""


class PlanSpec(Fact):
    """Who is there when, and the shop's own work rates."""

    crew: tuple[CrewMember, ...]
    sessions: tuple[Session, ...]
    rates: WorkRates


class Task(Fact):
    """A piece of work that follows from the job."""

    name: str
    operation: str
    hours: tuple[float, float, float]
    skill: int
    """Level that the leading person needs."""
    people: int = 1
    needs: tuple[str, ...] = ()
    caution: str = ""

    @property
    def expected(self) -> float:
        """Hours, (a + 4 m + b) / 6."""
        shortest, likely, longest = self.hours
        return (shortest + 4.0 * likely + longest) / 6.0

    @property
    def variance(self) -> float:
        """Hours^2, ((b - a) / 6)^2."""
        return ((self.hours[2] - self.hours[0]) / 6.0) ** 2


class Assignment(Fact):
    """Who does what in which session, from what hour of it."""

    task: str
    session: str
    start: float
    """Hours into the session."""
    hours: float
    people: tuple[str, ...]


class Plan(Fact):
    """Tasks and the schedule of as many as the sessions hold."""

    tasks: tuple[Task, ...]
    assignments: tuple[Assignment, ...]
    left_over: tuple[str, ...]
    """Tasks that need more sessions, in order."""
    expected_hours: float
    """Hours of work in all tasks, each person counted."""
    sigma_hours: float
    critical: tuple[str, ...] = ()
    """The longest chain of tasks that wait for each other."""
    critical_hours: float = 0.0
    """Hours that it takes at least, however many people help."""
    critical_sigma: float = 0.0
    findings: tuple[Finding, ...] = ()
