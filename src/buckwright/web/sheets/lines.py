"""Are the lines fair, and do the views agree?"""

from typing import Any

import numpy as np

from buckwright.geometry.polyline import polyline_length
from buckwright.model.job import Job, Products, Reference
from buckwright.web.sheets.agreement import offset_rows, view_rows
from buckwright.web.sheets.departed import departure_rows
from buckwright.web.sheets.holds import drawn_holds, hold_rows
from buckwright.web.sheets.overlay import solved_pictures
from buckwright.web.sheets.pins import batten_names, pin_rows
from buckwright.web.sheets.sides import point_rows, side_rows
from buckwright.web.sheets.underlay import silhouettes
from buckwright.web.table_answers import table_rows
from buckwright.web.tape_edits import tape_rows
from buckwright.web.words import Words, counted, fine, length, rounded

__all__ = ["answer", "detail"]

DRAWN_POINTS = 121


def answer(job: Job, products: Products) -> Words | None:
    """How many lines are fair, how far the worst was moved, and the wheelbase that results."""
    reference = products.lines
    if reference is None or not reference.network.lines:
        return None
    lines = reference.network.lines
    # What the hand moved is told apart from what fairing did.
    fair = (reference.unpulled or reference.network).lines
    worst = max(fair, key=lambda line: line.moved_most)
    pulled = len({pin.line for pin in job.pins})
    by_hand: Words = [counted(pulled, "line"), " moved by hand. "] if pulled else []
    doubt, points = (
        float(np.median(of)) for of in zip(*((ln.doubt, ln.sigma) for ln in lines), strict=True)
    )
    gap = max((crossing.gap for crossing in reference.network.crossings), default=0.0)
    crossings = counted(len(reference.network.crossings), "crossing")
    return [
        counted(len(lines), "line"),
        " are fair, each good to about ",
        fine(doubt),
        " and its points to ",
        fine(points),
        "; fairing moved none more than ",
        fine(worst.moved_most),
        ". The views agree at ",
        crossings,
        " that missed by ",
        fine(gap),
        " at most. ",
        *by_hand,
        *_wheelbase(reference),
    ]


def _wheelbase(reference: Reference) -> Words:
    """Nothing where only tables gave the lines and none said it."""
    if reference.wheelbase <= 0.0:
        return []
    return ["The wheelbase is now ", length(reference.wheelbase), "."]


def detail(job: Job, products: Products) -> dict[str, Any]:
    """Lines before and after departures, crossings, departures, and the table of offsets."""
    departures = [departure.model_dump() for departure in job.departures]
    reference = products.lines
    if reference is None:
        came = {"tables": table_rows(job), "tapes": tape_rows(job, None)}
        return {"lines": [], "departures": departures, **came}
    return {
        "lines": _lines(job, reference),
        "departures": departures,
        "crossings": [
            {
                "lines": c.lines,
                "point": rounded(c.point, 1),
                "gap": c.gap,
                "shares": c.parameters,
            }
            for c in reference.network.crossings
        ],
        "wheelbase": [reference.placement.wheelbase, reference.wheelbase]
        if reference.wheelbase > 0.0
        else None,
        "scale": reference.placement.scale,
        "asymmetry": reference.placement.asymmetry_rms,
        "sides": side_rows(reference.placement),
        "points": point_rows(reference.placement),
        "tables": table_rows(job),
        "tapes": tape_rows(job, reference),
        "offsets": offset_rows(job, reference),
        "views": view_rows(job, reference),
        "pullable": _pullable(job, products),
        "pins": pin_rows(job, reference),
        "pictures": solved_pictures(job, products),
        "silhouettes": silhouettes(job),
        "battens": batten_names(job),
        "holds": hold_rows(job),
        "zones": [
            zone.model_dump(include={"axis", "start", "end", "by"})
            for zone in reference.zones_in_force(job.departures)
        ],
        **departure_rows(job, reference),
    }


def _pullable(job: Job, products: Products) -> bool:
    """Whether there is something to lay lines from again: pictures worked out, or tables."""
    seen = products.calibration is not None and bool(products.measured)
    return bool(job.tables) or (job.datum is not None and seen)


def _lines(job: Job, reference: Reference) -> list[dict[str, Any]]:
    specs = {spec.name: spec for spec in job.lines}
    fair = reference.unpulled or reference.reference
    before = {line.name: line for line in fair.lines}
    told = []
    for line in reference.network.lines:
        spec = specs.get(line.name)
        faired = before.get(line.name, line)
        told.append(
            {
                "name": line.name,
                "use": "body" if spec is None else spec.use,
                "mark": "" if spec is None else spec.mark,
                "closed": line.closed,
                "points": rounded(line.points(DRAWN_POINTS), 1),
                "before": rounded(before[line.name].points(DRAWN_POINTS), 1)
                if line.name in before
                else None,
                "length": polyline_length(line.points(4 * DRAWN_POINTS)),
                "sigma": line.sigma,
                "doubt": line.doubt,
                "moved": [faired.moved_rms, faired.moved_most],
                "extrema": line.curvature_extrema,
                **drawn_holds(line),
            }
        )
    return told
