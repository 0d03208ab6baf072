"""People: whether those who will sit in it fit, and all that stands around them.

fit_people       needed and given widths at shoulders and elbows      fitting.py
choose_person    a body of the survey by sex and percentile           sizes.py
complete_fit     the layout of people and package, with its doubts    package.py

Body sizes come from what was measured, then from the survey (sizes.py). People are seated
(seating.py), the steering placed (steering.py) and everything made a plain body to draw
(shapes.py). Widths are found in inner_width.py and summed in budget.py, room for heads and legs in
rooms.py, the view in sights.py, the door's glass in door.py, wheels on their lock in swept.py and
metal.py. What is lacking becomes proposed stretch zones (stretches.py) and findings (doubts.py);
cautions.py says what none of this shows.
"""

from buckwright.people.fitting import fit_people
from buckwright.people.package import Around, complete_fit, lay_out_package
from buckwright.people.sizes import BODY_SIZES, choose_person
from buckwright.people.spec import SPEC_LIMITS, check_spec

__all__ = [
    "BODY_SIZES",
    "SPEC_LIMITS",
    "Around",
    "check_spec",
    "choose_person",
    "complete_fit",
    "fit_people",
    "lay_out_package",
]
