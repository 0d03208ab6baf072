"""What the lines bound, for the page: a row for each field, and its picture in space and flat."""

from functools import lru_cache
from hashlib import sha256
from typing import Any

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.flow.fields import found_fields
from buckwright.model.fields import FieldChoice, FieldPicture, FoundFields, FoundRegion
from buckwright.model.job import Job, Products
from buckwright.model.lines import LineNetwork
from buckwright.skin import picture_field
from buckwright.web.frames import pack_frame

__all__ = ["field_rows", "fields_frame", "fields_of"]


class _Question:
    """Lines, what is known of them and what was corrected, alike if their content is."""

    def __init__(self, job: Job, network: LineNetwork) -> None:
        self.job, self.network = job, network
        asked = {"lines", "fields", "regions"}
        digest = sha256(job.model_dump_json(include=asked).encode())
        for line in network.lines:
            digest.update(line.name.encode() + line.control.tobytes())
        for crossing in network.crossings:
            digest.update("/".join(crossing.lines).encode() + crossing.point.tobytes())
        self.key = digest.digest()

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Question) and self.key == other.key

    def __hash__(self) -> int:
        return hash(self.key)


@lru_cache(maxsize=8)
def _answered(question: _Question) -> FoundFields:
    return found_fields(question.job, question.network)


def fields_of(job: Job, network: LineNetwork) -> FoundFields:
    """What the lines bound, kept for as long as lines and corrections stay what they are."""
    return _answered(_Question(job, network))


def field_rows(job: Job, products: Products) -> dict[str, Any] | None:
    """Fields, doubts with their places, corrections, lines; None while there are no fair lines."""
    if products.lines is None or not products.lines.network.lines:
        return None
    network = products.lines.network
    try:
        found = fields_of(job, network)
    except JobError as error:
        return {
            "rows": [],
            "doubts": [],
            "choices": _choices(job),
            "lines": [],
            "taken": False,
            "trouble": str(error),
        }
    out = {choice.lines[0] for choice in job.fields if choice.what == "leave out"}
    datum = {spec.name for spec in job.lines if spec.use == "datum"}
    return {
        "rows": [_row(field, job) for field in found.regions],
        "doubts": [
            {"where": d.where, "message": d.message, "remedy": d.remedy, "place": d.place}
            for d in found.findings
        ],
        "choices": _choices(job),
        "lines": [line.name for line in network.lines if line.name not in out | datum],
        "taken": _taken(job, found),
        "trouble": None,
    }


def _row(field: FoundRegion, job: Job) -> dict[str, Any]:
    spec = field.spec
    soft = {one.region: one.tolerance for one in job.softened}
    return {
        "name": spec.name,
        "softened": soft.get(spec.name, 0.0),
        "spanned": spec.name in {region.name for region in job.regions},
        "metal": field.metal,
        "side": spec.side,
        "corners": field.corners,
        "boundary": list(spec.boundary),
        "inner": list(spec.inner),
        "holes": list(spec.holes),
        "why": field.why,
        "at": field.at,
        "out": spec.outward,
        "beside": list(dict.fromkeys(beyond for _, _, beyond in field.shared)),
    }


def _choices(job: Job) -> list[str]:
    return [_in_words(choice) for choice in job.fields]


def _in_words(choice: FieldChoice) -> str:
    lines = ", ".join(choice.lines)
    return {
        "part": f"divided along '{lines}'",
        "join": f"joined across a piece of '{lines}'",
        "leave out": f"'{lines}' left out",
        "open": f"open between {lines}",
        "metal": f"metal between {lines}",
        "name": f"'{choice.name}' between {lines}",
    }[choice.what]


def _taken(job: Job, found: FoundFields) -> bool:
    """Whether the job's regions are those that were found."""

    def about(spec: Any) -> tuple[Any, ...]:
        names = (sorted(spec.boundary), sorted(spec.inner), sorted(spec.holes))
        return spec.name, *names, spec.side

    return sorted(map(about, job.regions)) == sorted(map(about, found.metal()))


@lru_cache(maxsize=2)
def _pictured(question: _Question) -> tuple[FieldPicture | None, ...]:
    return tuple(_picture(question.network, field) for field in _answered(question).regions)


def _picture(network: LineNetwork, field: FoundRegion) -> FieldPicture | None:
    try:
        return picture_field(network, field.spec)
    except JobError:
        return None


def fields_frame(job: Job, products: Products) -> bytes | None:
    """Per field vertices v<i> (n, 3), triangles t<i> (m, 3) and flat places f<i> (n, 2).

    Those that cannot be laid flat are empty. None without fair lines.
    """
    if products.lines is None:
        return None
    question = _Question(job, products.lines.network)
    try:
        found, pictures = _answered(question), _pictured(question)
    except JobError:
        return None
    arrays: dict[str, NDArray[Any]] = {}
    for k, picture in enumerate(pictures):
        arrays[f"v{k}"] = np.zeros((0, 3)) if picture is None else picture.vertices
        arrays[f"t{k}"] = np.zeros((0, 3), np.int64) if picture is None else picture.triangles
        arrays[f"f{k}"] = np.zeros((0, 2)) if picture is None else picture.flat
    about = [{"name": field.spec.name, "metal": field.metal} for field in found.regions]
    return pack_frame(about, arrays)
