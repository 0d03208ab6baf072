"""Treatments of the skin for the page: rows, what may be chosen, and their shapes in space."""

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.flow.treatment_rows import faces_of, treatment_rows
from buckwright.model.fact import Fact
from buckwright.model.job import Job, Products
from buckwright.model.louvres import LouvreField
from buckwright.model.skin import Skin
from buckwright.model.treatments import Bead, EdgeStrip
from buckwright.skin.edge_strips import edge_names
from buckwright.skin.offsets import offset_folds, offset_skin
from buckwright.web.frames import pack_frame
from buckwright.web.skin_arrays import region_arrays

__all__ = ["SKIN_FRAMES", "treatment_part"]


def treatment_part(job: Job, products: Products) -> dict[str, Any]:
    """Rows, the job's own lists to take back from, and what may be chosen in the forms."""
    skin = products.skin
    if skin is None:
        return {}
    lines = () if products.lines is None else products.lines.network.lines
    return {
        "faces": faces_of(job),
        "treatments": [
            {**row.model_dump(mode="json", exclude={"line"})} for row in treatment_rows(job, skin)
        ],
        "asked_treatments": _asked(job),
        "treatable": [
            {
                "region": region.name,
                "edges": list(edge_names(region)),
                "inner": list(dict.fromkeys(t.line for t in region.inner)),
            }
            for region in skin.regions
            if region.side != "right"
        ],
        "trim_lines": [line.name for line in lines],
        "meetings": [meeting.name for meeting in skin.meetings],
    }


def _asked(job: Job) -> list[dict[str, Any]]:
    """What is asked for, in the job's own lists, with its sizes to be changed."""
    found: list[tuple[str, int, str, Fact]] = []
    found += [("trims", k, f"trim '{t.name}'", t) for k, t in enumerate(job.trims)]
    found += [
        ("edge_treatments", k, f"{t.edge.treatment} along '{t.edge.along}' on '{t.region}'", t)
        for k, t in enumerate(job.edge_treatments)
    ]
    found += [("beads", k, f"bead '{b.name}'", b) for k, b in enumerate(job.beads)]
    found += [("louvres", k, f"louvres '{one.name}'", one) for k, one in enumerate(job.louvres)]
    return [
        {"field": field, "place": place, "words": words, "spec": spec.model_dump(mode="json")}
        for field, place, words, spec in found
    ]


def _skin(job: Job, skin: Skin, at: str) -> bytes:
    """Every region's arrays, with names and sides."""
    about = [{"name": region.name, "side": region.side} for region in skin.regions]
    return pack_frame(about, region_arrays(skin.regions))


def _treated(job: Job, skin: Skin, at: str) -> bytes:
    """Vertices v<k>, triangles t<k> of strips, beads and louvres; pairs of points `lines`.

    About: their names.
    """
    parts: list[EdgeStrip | Bead | LouvreField] = [*skin.strips, *skin.beads, *skin.louvres]
    arrays: dict[str, NDArray[Any]] = {}
    for place, part in enumerate(parts):
        arrays[f"v{place}"], arrays[f"t{place}"] = part.vertices, part.triangles
    runs = [(m.points, m.closed) for m in skin.meetings]
    runs += [(t.points, t.closed) for t in skin.trims]
    runs += [(cut, False) for field in skin.louvres for cut in field.cuts]
    runs += [(bead.axis, bead.closed) for bead in skin.beads]
    pairs = []
    for points, closed in runs:
        looped = np.vstack([points, points[:1]]) if closed else np.asarray(points)
        pairs.append(np.hstack([looped[:-1], looped[1:]]))
    arrays["lines"] = np.vstack(pairs) if pairs else np.zeros((0, 6))
    return pack_frame([part.name for part in parts], arrays)


def _face(job: Job, skin: Skin, at: str) -> bytes | None:
    """The skin set off to a face, as `_skin`; about: with a sentence where it folds.

    None for a face that the job does not know.
    """
    by = faces_of(job).get(at)
    if by is None:
        return None
    try:
        moved = offset_skin(skin, by)
    except JobError:
        return None
    folds = {doubt.where: f"{doubt.message} {doubt.remedy}" for doubt in offset_folds(moved)}
    about = [
        {"name": region.name, "side": region.side, "folds": folds.get(region.name, "")}
        for region in moved.regions
    ]
    return pack_frame(about, region_arrays(moved.regions))


SKIN_FRAMES: dict[str, Callable[[Job, Skin, str], bytes | None]] = {
    "skin": _skin,
    "treated": _treated,
    "face": _face,
}
"""Frames of the skin by name; the last argument is what was asked besides."""
