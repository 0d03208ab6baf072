"""Will they fit?"""

from typing import Any

import numpy as np

from buckwright.geometry.mesh import section_mesh
from buckwright.model.job import Job, Products
from buckwright.model.skin import Skin
from buckwright.web.words import Words, figure, fine, length, rounded

__all__ = ["answer", "detail"]


def answer(job: Job, products: Products) -> Words | None:
    """Whether they fit, with the room that is left where it is least."""
    fit = products.people
    if fit is None or not fit.heights:
        return None
    tight = min(fit.heights, key=lambda height: height.spare)
    doubt: Words = [", give or take ", fine(tight.sigma), "."]
    share: Words = [
        " The shoulders of ",
        figure(f"{100 * fit.random_pair:.1f} %"),
        " of random pairs would fit.",
    ]
    if fit.fits:
        room: Words = ["They fit, with ", length(tight.spare), f" to spare at the {tight.name}"]
        return room + doubt + share
    narrow: Words = [f"They do not fit: at the {tight.name} ", length(-tight.spare), " is missing"]
    return [*narrow, *doubt, " Widen the body by ", length(fit.widen_by), ".", *share]


def detail(job: Job, products: Products) -> dict[str, Any]:
    """The people, the widths at their heights, and the body's section at their shoulders."""
    question = job.people
    fit = products.people
    return {
        "people": [] if question is None else [p.model_dump() for p in question.people],
        "seat": None if question is None else [question.seat_x, question.seat_z],
        "allowances": None
        if question is None
        else question.model_dump(include={"clothing", "between", "door_thickness"}),
        "heights": [] if fit is None else [height.model_dump() for height in fit.heights],
        "section": _section(products.skin, None if question is None else question.seat_x),
    }


def _section(skin: Skin | None, station: float | None) -> list[Any]:
    """Polylines (y, z) where the plane of the shoulders cuts the skin."""
    if skin is None or station is None:
        return []
    origin, normal = np.array([station, 0.0, 0.0]), np.array([1.0, 0.0, 0.0])
    found = []
    for region in skin.regions:
        for points, _ in section_mesh(
            region.vertices, region.triangles, origin=origin, normal=normal
        ):
            found.append(rounded(points[:, 1:], 1))
    return found
