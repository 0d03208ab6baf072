"""What do we hold against it?"""

from typing import Any

from buckwright.geometry.polyline import polyline_length
from buckwright.model.gauges import Gauge
from buckwright.model.job import Job, Products
from buckwright.web.words import Words, counted, rounded, run

__all__ = ["answer", "detail"]


def answer(job: Job, products: Products) -> Words | None:
    """How many cards there are, and how long an edge they cover."""
    gauges = products.gauges
    if gauges is None or not gauges.gauges:
        return None
    left = [card for card in gauges.gauges if card.hand == "left"]
    covered = sum(polyline_length(card.profile) for card in left)
    regions = sorted({spec.region for spec in job.gauges})
    return [
        counted(len(gauges.gauges), "card"),
        ", ",
        counted(len(left), "shape"),
        f" cut once for the left and once mirrored for the right, over the {_and(regions)}; "
        "they touch along ",
        run(covered),
        " a side.",
    ]


def _and(names: list[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def detail(job: Job, products: Products) -> dict[str, Any]:
    """The cards as they are cut."""
    gauges = products.gauges
    return {"gauges": [] if gauges is None else [_card(card) for card in gauges.gauges]}


def _card(card: Gauge) -> dict[str, Any]:
    low, high = card.outline.min(axis=0), card.outline.max(axis=0)
    return {
        "name": card.name,
        "hand": card.hand,
        "plane": card.plane,
        "size": (high - low).round(1).tolist(),
        "length": polyline_length(card.profile),
        "outline": rounded(card.outline, 1),
        "profile": rounded(card.profile, 1),
        "marks": rounded(card.marks, 1),
        "mark_names": card.mark_names,
    }
