"""What was photographed and what is missing: groups, refusals, advice, the mat and its bars."""

from typing import Any

from buckwright.capture.groups import group_pictures
from buckwright.capture.shoot import advise_shoot, shoot_so_far
from buckwright.model.intake import Refusal
from buckwright.model.job import Job, Products
from buckwright.model.mats import MAT_KINDS, between_cards, mat_kind, printed_bars
from buckwright.model.pictures import Mat

__all__ = ["shoot_rows"]

_MOST_BARS = 40


def shoot_rows(job: Job, products: Products) -> dict[str, Any]:
    """Everything that the page tells of a shoot before its lines."""
    solved = products.calibration
    advice = advise_shoot(()) if solved is None else shoot_so_far(solved)
    groups, odd, _ = group_pictures(job.pictures)
    refused = list(odd)
    if solved is not None:
        refused += [
            Refusal(picture=f.where, problem=f.message, remedy=f.remedy)
            for f in solved.findings
            if f.code == "picture-refused" and f.where not in {r.picture for r in odd}
        ]
    return {
        "groups": [group.model_dump(mode="json") for group in groups],
        "refused": [refusal.model_dump(mode="json") for refusal in refused],
        "stands": [
            {"picture": s.picture, "azimuth": s.azimuth, "height": s.height} for s in advice.stands
        ],
        "wanted": [
            {"azimuth": w.azimuth, "height": w.height, "words": w.words} for w in advice.wanted
        ],
        "say": advice.say,
        "kinds": [
            {"name": name, "words": kind.words, "several": kind.several}
            for name, kind in MAT_KINDS.items()
        ],
        "kind": None if job.mat is None else mat_kind(job.mat),
        "cards": 0 if job.mat is None else job.mat.cards,
        "bars": [] if job.mat is None else _bars(job.mat),
        "between": [] if job.mat is None else _between(job.mat),
        "board": None if job.mat is None else job.mat.squares,
        "scale": None if solved is None else solved.scale,
    }


def _between(mat: Mat) -> list[dict[str, Any]]:
    return [
        {
            "first": [bar.start_card + 1, *bar.start],
            "second": [bar.end_card + 1, *bar.end],
            "mm": bar.mm,
            "sigma": bar.sigma,
        }
        for bar in between_cards(mat)
    ]


def _bars(mat: Mat) -> list[dict[str, Any]]:
    typed = {(b.start_card, b.start, b.end_card, b.end): b.mm for b in mat.bars}
    return [
        {
            "name": bar.name,
            "drawn": bar.drawn,
            "typed": typed.get((bar.card, bar.start, bar.card, bar.end)),
        }
        for bar in printed_bars(mat)[:_MOST_BARS]
    ]
