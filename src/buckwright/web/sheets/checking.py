"""How far off are we?"""

from typing import Any

import numpy as np

from buckwright.model.checking import CheckResult
from buckwright.model.job import Job, Products
from buckwright.model.skin import Skin
from buckwright.web.frames import pack_frame
from buckwright.web.words import Words, counted, fine

__all__ = ["answer", "check_frame", "detail"]


def answer(job: Job, products: Products) -> Words | None:
    """How many spots stand out, the worst of them, and how the rest lies."""
    spots = [(check, spot) for check in products.checks for spot in check.spots]
    if not products.checks:
        return None
    rest = float(np.sqrt(np.mean([check.rms**2 for check in products.checks])))
    if not spots:
        within: Words = ["Nothing stands out by more than ", fine(products.checks[0].tolerance)]
        return [*within, "; the metal lies within ", fine(rest), " rms of the skin."]
    check, worst = max(spots, key=lambda pair: abs(pair[1].height))
    where = "high" if worst.kind == "high" else "low"
    return [
        counted(len(spots), "spot"),
        " beyond ",
        fine(check.tolerance),
        "; the worst is ",
        fine(abs(worst.height)),
        f" {where}, on {check.survey}. The rest lies within ",
        fine(rest),
        " rms, the seating itself good to ",
        fine(check.seating_sigma),
        ".",
    ]


def detail(job: Job, products: Products) -> dict[str, Any]:
    """Each survey with its spots; seated points come as a frame for each."""
    return {
        "tolerance": job.check_tolerance,
        "surveys": [survey.name for survey in job.surveys],
        "checks": [
            {
                "survey": check.survey,
                "region": check.region,
                "points": len(check.distance),
                "rms": check.rms,
                "sigma": check.seating_sigma,
                "tolerance": check.tolerance,
                "spots": [
                    {**s.model_dump(exclude={"centre"}), "centre": s.centre.round(1).tolist()}
                    for s in check.spots
                ],
            }
            for check in products.checks
        ],
    }


def check_frame(check: CheckResult, skin: Skin, side: str | None) -> bytes:
    """Seated points (n x 3), their distances (n), and the region's mesh."""
    region = skin.region(check.region, side)
    return pack_frame(
        {"name": region.name, "side": region.side},
        {
            "points": check.seated,
            "distance": check.distance,
            "vertices": region.vertices,
            "triangles": region.triangles,
        },
    )
