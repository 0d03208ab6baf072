"""How many people lift a thing.

A person's best lift, close to the body, is 25 kg for men and 20 kg for women of 20 to 45 years
(ISO 11228-1, reference masses, from memory; 23 kg is the load constant of the revised NIOSH
equation of 1991). Two lift two thirds of what they could one by one, three and more half of it
(HSE guidance L23 on manual handling, from memory). A local code counts before either.
"""

from buckwright.errors import JobError
from buckwright.model.frame import Lift

__all__ = ["MOST_PEOPLE", "people_to_lift", "team_limit"]

MOST_PEOPLE = 6
"""People beyond whom nobody lifts in step."""


def team_limit(people: int, reference: float) -> float:
    """Mass, kg, that so many people may lift together, each `reference` kg alone."""
    if people < 1:
        message = "a team has one person at least"
        raise ValueError(message)
    share = {1: 1.0, 2: 2.0 / 3.0}.get(people, 0.5)
    return people * reference * share


def people_to_lift(what: str, mass: float, *, reference: float) -> Lift:
    """The least number of people who may lift `mass` kg; 0 people: by hoist."""
    if reference <= 0.0:
        raise JobError(
            f"Nobody lifts {reference:g} kg.", "Say how many kg one of the crew may lift at best."
        )
    rule = (
        f"{reference:g} kg for each person at best, after ISO 11228-1; two lift two thirds of "
        "that each, more of them half (HSE L23; shares from memory); a local code goes before"
    )
    for people in range(1, MOST_PEOPLE + 1):
        limit = team_limit(people, reference)
        if mass <= limit:
            return Lift(what=what, mass=mass, people=people, limit=limit, rule=rule)
    most = team_limit(MOST_PEOPLE, reference)
    return Lift(what=what, mass=mass, people=0, limit=most, rule=rule)
