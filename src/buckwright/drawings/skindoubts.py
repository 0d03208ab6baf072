"""Where the skin is in doubt: the places in side elevation and plan, each with what to do.

The one sheet that is not at full size: it is read, not laid on metal.
"""

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import BIG, FIGURE, NAME, cross, ring, words
from buckwright.drawings.cautions import cautions_for
from buckwright.drawings.elevations import ELEVATIONS, Elevation, fine_points
from buckwright.drawings.listing import lines_below
from buckwright.model.drawings import Label, Sheet, Stroke
from buckwright.model.finding import PlacedFinding, doubts_of
from buckwright.model.job import Job
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin

__all__ = ["skin_doubt_sheets"]

Array = NDArray[np.float64]

SCALE = 0.2
"""The views are pictures of one in five: nothing is measured from them."""
RING = 12.0
"""mm on paper of the ring's radius."""
APART = 60.0
"""mm on paper between the views, and between them and the list."""
WIDTH = 500.0
"""mm on paper of the list at least."""


def skin_doubt_sheets(job: Job, skin: Skin | None, network: LineNetwork) -> tuple[Sheet, ...]:
    """One sheet with every doubt of the skin that has a place, numbered; none without any."""
    places = () if skin is None else _placed(skin)
    if not places:
        return ()
    datum = {spec.name for spec in job.lines if spec.use == "datum"}
    points = [(one, SCALE * fine_points(one)) for one in network.lines if one.name not in datum]
    side, plan = ELEVATIONS[:2]
    every = np.vstack([p for _, p in points])
    low = float(every[:, side.up].min())
    drop = float(every[:, plan.up].max()) - low + APART
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for view, down in ((side, 0.0), (plan, drop)):
        shift = np.array([0.0, -down])
        strokes += [
            Stroke(ink="thin", points=view.flat(p) + shift, closed=one.closed, name=one.name)
            for one, p in points
        ]
        for number, found in enumerate(places, 1):
            marks, label = _mark(view, shift, number, found)
            strokes += marks
            labels.append(label)
    left = float(every[:, 0].min())
    foot = float(every[:, plan.up].min()) - drop - APART
    wide = max(float(np.ptp(every[:, 0])), WIDTH)
    told = [(f"{n}: {f.where}. {f.message} {f.remedy}", FIGURE) for n, f in enumerate(places, 1)]
    head = ("Where the skin is in doubt", BIG)
    labels += lines_below((left, foot), [head, *told], width=wide)
    return (
        Sheet(
            name="skin-doubts",
            title=f"{job.name}, revision {job.revision}: where the skin is in doubt",
            strokes=tuple(strokes),
            labels=tuple(labels),
            notes=(
                "One in five: nothing is measured from it. Side elevation from the left, plan "
                "below it. A ring stands round the place that a number below tells of; it may lie "
                "on either side of the body.",
                *cautions_for("elevation"),
            ),
        ),
    )


def _placed(skin: Skin) -> tuple[PlacedFinding, ...]:
    every = [*(f for region in skin.regions for f in region.findings), *skin.findings]
    once = {(f.code, f.where, f.message): f for f in doubts_of(every)}
    return tuple(f for f in once.values() if isinstance(f, PlacedFinding))


def _mark(
    view: Elevation, shift: Array, number: int, found: PlacedFinding
) -> tuple[list[Stroke], Label]:
    (at,) = view.flat(SCALE * np.array([found.place])) + shift
    marks = [ring("mark", at, RING, f"doubt {number}"), *cross(at, 3.0)]
    above = (at[0], at[1] + RING + 0.4 * NAME)
    return marks, words(above, str(number), NAME, centred=True)
