"""What do we hold against it?"""

from typing import Any

from buckwright.geometry.polyline import polyline_length
from buckwright.model.gauges import Gauge, Gauges, GaugeSet, GaugeSpec, Stand, SweepSet
from buckwright.model.job import Job, Products
from buckwright.web.words import Words, counted, fine, rounded, run

__all__ = ["answer", "detail"]


def answer(job: Job, products: Products) -> Words | None:
    """How many cards there are, how true they are between them, how long an edge they cover."""
    gauges = products.gauges
    if gauges is None or not (gauges.gauges or gauges.sweeps):
        return None
    left = [card for card in gauges.gauges if card.hand == "left"]
    covered = sum(polyline_length(card.profile) for card in left)
    regions = list(dict.fromkeys(spec.region for spec in job.gauges))
    words: Words = [
        counted(len(gauges.gauges), "card"),
        ", ",
        counted(len(left), "shape"),
        f" cut once for the left and once mirrored for the right, over the {_and(regions)}; "
        "they touch along ",
        run(covered),
        " a side.",
    ]
    if gauges.sets:
        worst = max(gauges.sets, key=lambda one: one.error / one.tolerance)
        words += [f" Between the cards the {worst.region} is true within ", fine(worst.error)]
        words += [", ", fine(worst.tolerance), " asked for."]
    return words


def _and(names: list[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def detail(job: Job, products: Products) -> dict[str, Any]:
    """What is asked for and may be; the cards as they are cut and stand; stands and sweeps."""
    gauges = products.gauges or Gauges(gauges=())
    return {
        "asked": [_asked(spec) for spec in job.gauges],
        "regions": [region.name for region in job.regions],
        "lines": [line.name for line in job.lines if line.use == "body"],
        "gauges": [_card(card) for card in gauges.gauges],
        "sets": [_set(one) for one in gauges.sets],
        "stands": [_stand(one) for one in gauges.stands],
        "sweeps": [_sweeps(one) for one in gauges.sweeps],
    }


def _asked(spec: GaugeSpec) -> dict[str, Any]:
    return spec.model_dump(mode="json", exclude={"planes"}) | {
        "planes": [plane.name for plane in spec.planes]
    }


def _card(card: Gauge) -> dict[str, Any]:
    low, high = card.outline.min(axis=0), card.outline.max(axis=0)
    return {
        "name": card.name,
        "hand": card.hand,
        "face": card.face,
        "region": card.region,
        "plane": card.plane,
        "oblique": card.oblique,
        "size": (high - low).round(1).tolist(),
        "length": polyline_length(card.profile),
        "outline": rounded(card.outline, 2),
        "profile": rounded(card.profile, 2),
        "marks": rounded(card.marks, 2),
        "mark_names": card.mark_names,
        "origin": rounded(card.origin, 2),
        "axes": rounded(card.axes, 6),
        "squareness": card.squareness_deg,
        "thickness": card.thickness,
        "edge_off": card.edge_off,
        "labels": card.labels,
    }


def _set(chosen: GaugeSet) -> dict[str, Any]:
    return {
        "region": chosen.region,
        "face": chosen.face,
        "normal": rounded(chosen.normal, 6),
        "at": rounded(chosen.at, 2),
        "tolerance": chosen.tolerance,
        "error": chosen.error,
        "error_at": rounded(chosen.error_at, 1),
        "law": chosen.law,
    }


def _stand(stand: Stand) -> dict[str, Any]:
    return {
        "name": stand.name,
        "hand": stand.hand,
        "region": stand.region,
        "face": stand.face,
        "cards": stand.cards,
        "thickness": stand.thickness,
        "clearance": stand.clearance,
        "play": stand.play,
        "boards": [
            {
                "name": board.name,
                "outline": rounded(board.outline, 2),
                "origin": rounded(board.origin, 2),
                "axes": rounded(board.axes, 6),
                "slots": rounded(board.slots, 2),
                "slot_names": board.slot_names,
            }
            for board in stand.boards
        ],
    }


def _sweeps(chosen: SweepSet) -> dict[str, Any]:
    return {
        "region": chosen.region,
        "side": chosen.side,
        "chord": chosen.chord,
        "tolerance": chosen.tolerance,
        "gap": chosen.gap,
        "sweeps": [
            {
                "name": sweep.name,
                "radius": sweep.radius,
                "bends": sweep.bends,
                "area": sum(area.area for area in chosen.areas if area.sweep == sweep.name),
            }
            for sweep in chosen.sweeps
        ],
        "areas": [
            {
                "sweep": area.sweep,
                "way": area.way,
                "area": area.area,
                "centre": rounded(area.centre, 1),
                "direction": rounded(area.direction, 4),
            }
            for area in chosen.areas
        ],
    }
