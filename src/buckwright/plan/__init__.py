"""The plan step: the tasks that follow from the job, and who does them when.

make           `make_plan`, the whole step
tasks          tasks from buck, gauges, panels and checks; `OPERATIONS`: what skills are given for
cautions       what each sheet must say before someone starts
critical_path  order of needs, earliest and latest times, the chain that sets the pace
schedule       `schedule_tasks`: over the sessions, by CP-SAT
slots          sessions and tasks in quarter hours
list_plan      the first schedule, which the search starts from
"""

from buckwright.plan.critical_path import chance_by, critical_path, network_times
from buckwright.plan.make import make_plan
from buckwright.plan.schedule import schedule_tasks
from buckwright.plan.tasks import OPERATIONS

__all__ = [
    "OPERATIONS",
    "chance_by",
    "critical_path",
    "make_plan",
    "network_times",
    "schedule_tasks",
]
