"""One panel made two by a seam, two made one by dropping it: seams drawn by hand."""

from itertools import takewhile

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.mesh import MeshLocator, triangle_areas
from buckwright.model.finding import told_place
from buckwright.model.job import Job
from buckwright.model.panels import Panel, PanelSpec, SeamSpec
from buckwright.model.skin import Skin
from buckwright.panels.cutting import plane_name
from buckwright.panels.seams import cut_panels, find_region

__all__ = ["divide_panel", "drop_seam", "seam_names"]

Array = NDArray[np.float64]

_OFF = 2.0
"""mm beside a panel beyond which a place is not on it."""
_WHOLE = 0.99
"""Share of the panel that its two parts must cover."""
_SIDES = (("front", "rear"), ("left", "right"), ("lower", "upper"))


def seam_names(spec: PanelSpec) -> tuple[str, ...]:
    """The seams, lines and planes that a panel ends at."""
    return (*spec.seams, *(plane_name(plane) for plane in (*spec.above, *spec.below)))


def divide_panel(job: Job, skin: Skin, panel: str, seam: SeamSpec) -> Job:
    """The job with the seam, and two panels on its sides in place of the one.

    A seam along a line of the region needs no drawing and is not kept beside it. Raises JobError
    where there is no such panel, a seam of that name exists, or the panel is not parted in two.
    """
    spec = next((one for one in job.panels if one.name == panel), None)
    if spec is None:
        raise JobError(f"There is no panel '{panel}'.", "Reload the page and try again.")
    if seam.name in {one.name for one in job.seams}:
        raise JobError(f"There is a seam '{seam.name}' already.", "Give this one another name.")
    seams = (*job.seams, seam)
    whole = _cut(spec, skin, job.seams)
    middles = whole.vertices[whole.triangles].mean(axis=1)
    along = _points(seam, skin)
    away = np.linalg.norm(middles[:, None] - along[None, :: max(1, len(along) // 60)], axis=2)
    first = _part(spec, seam, middles[int(away.min(axis=1).argmax())], skin, seams)
    beside = _beside(first, middles)
    if float(beside.max()) < _OFF:
        raise JobError(
            f"Seam '{seam.name}' does not part panel '{panel}' in two.",
            "Begin and end it within 40 mm of the panel's edge or of another seam.",
        )
    second = _part(spec, seam, middles[int(beside.argmax())], skin, seams)
    if _area(first) + _area(second) < _WHOLE * _area(whole):
        raise JobError(
            f"Seam '{seam.name}' parts panel '{panel}' in more than two.",
            "Draw it without running back over the panel's edge.",
        )
    parts = _named(spec, seam, (first, second), [one.name for one in job.panels])
    at = job.panels.index(spec)
    panels = (*job.panels[:at], *parts, *job.panels[at + 1 :])
    return job.model_copy(update={"panels": panels, "seams": seams})


def drop_seam(job: Job, name: str, region: str) -> Job:
    """The job without the seam, the two panels on its sides joined into the first of them.

    Raises JobError where there is no such seam, or more than two panels end at it.
    """
    beside = [one for one in job.panels if one.region == region and name in seam_names(one)]
    kept = tuple(one for one in job.seams if (one.name, one.region) != (name, region))
    if not beside and len(kept) == len(job.seams):
        raise JobError(f"There is no seam '{name}' on '{region}'.", "Reload the page.")
    if len(beside) > 2:
        ends = ", ".join(one.name for one in beside)
        raise JobError(
            f"More than two panels end at '{name}': {ends}.",
            "Drop the seams that end on it first.",
        )
    taken = {one.name for one in job.panels if one not in beside}
    panels = (
        tuple(
            _joined(beside, name, taken) if one is beside[0] else one
            for one in job.panels
            if one not in beside[1:]
        )
        if beside
        else job.panels
    )
    return job.model_copy(update={"panels": panels, "seams": kept})


def _joined(beside: list[PanelSpec], name: str, taken: set[str]) -> PanelSpec:
    def all_but(what: str) -> tuple[tuple[str, float], ...]:
        planes = [plane for one in beside for plane in getattr(one, what)]
        return tuple(dict.fromkeys(p for p in planes if plane_name(p) != name))

    edges = {edge.along: edge for one in reversed(beside) for edge in one.edges}
    first = beside[0]
    at = next((one.at for one in beside if one.at is not None), None)
    # `wing front` and `wing rear` become `wing` again.
    alike = zip(*(one.name.split() for one in beside), strict=False)
    shared = " ".join(words[0] for words in takewhile(lambda w: len(set(w)) == 1, alike))
    seams = tuple(dict.fromkeys(s for one in beside for s in one.seams if s != name))
    return first.model_copy(
        update={
            "name": shared if shared and shared not in taken else first.name,
            "above": all_but("above"),
            "below": all_but("below"),
            "seams": seams,
            "at": at,
            "edges": tuple(edge for along, edge in edges.items() if along != name),
        }
    )


def _cut(spec: PanelSpec, skin: Skin, seams: tuple[SeamSpec, ...]) -> Panel:
    (panel,), _ = cut_panels((spec.model_copy(update={"both_sides": False}),), skin, seams)
    return panel


def _part(
    spec: PanelSpec, seam: SeamSpec, at: Array, skin: Skin, seams: tuple[SeamSpec, ...]
) -> Panel:
    x, y, z = (float(c) for c in at)
    asked = spec.model_copy(update={"seams": (*spec.seams, seam.name), "at": (x, y, z)})
    return _cut(asked, skin, seams)


def _points(seam: SeamSpec, skin: Skin) -> Array:
    """Points along the seam, close enough to tell what is far from it."""
    region = find_region(seam.region, skin)
    if not seam.line:
        if len(seam.through) < 2:
            raise JobError("A seam needs two points at least.", "Click where it begins and ends.")
        return np.array(seam.through)
    for track in (*region.boundary, *region.inner, *region.holes):
        if track.line == seam.line:
            return np.asarray(region.vertices[track.vertices])
    known = ", ".join(sorted({track.line for track in region.inner}))
    raise JobError(f"'{seam.region}' has no line '{seam.line}'.", f"Inside it run: {known}.")


def _beside(part: Panel, places: Array) -> Array:
    """Distance (mm) of each place from the part, off the skin or beside its edge."""
    _, foot, _, _ = MeshLocator(part.vertices, part.triangles).closest(places)
    return np.asarray(np.linalg.norm(places - foot, axis=1))


def _area(panel: Panel) -> float:
    return float(triangle_areas(panel.vertices, panel.triangles).sum())


def _inmost(panel: Panel) -> tuple[float, float, float]:
    """The middle of a triangle well inside."""
    rim = panel.vertices[np.unique(np.concatenate([edge.vertices for edge in panel.edges]))]
    middles = panel.vertices[panel.triangles].mean(axis=1)
    some = middles[:: max(1, len(middles) // 800)]
    far = np.linalg.norm(some[:, None] - rim[None, :: max(1, len(rim) // 200)], axis=2)
    return told_place(some[int(far.min(axis=1).argmax())])


def _named(
    spec: PanelSpec, seam: SeamSpec, parts: tuple[Panel, Panel], taken: list[str]
) -> tuple[PanelSpec, ...]:
    """Specs of both parts, called after the way in which they lie apart most."""
    middles = [part.vertices[part.triangles].mean(axis=(0, 1)) for part in parts]
    apart = middles[1] - middles[0]
    axis = int(np.abs(apart).argmax())
    words = _SIDES[axis]
    if axis == 1 and parts[0].side == "left":
        words = ("outer", "inner")
    if apart[axis] < 0.0:
        parts = (parts[1], parts[0])
    made = []
    for part, side in zip(parts, words, strict=True):
        name, count = f"{spec.name} {side}", 2
        while name in taken:
            name, count = f"{spec.name} {side} {count}", count + 1
        has = {"", *(edge.name for edge in part.edges)}
        made.append(
            spec.model_copy(
                update={
                    "name": name,
                    "seams": (*(s for s in spec.seams if s in has), seam.name),
                    "at": _inmost(part),
                    "edges": tuple(edge for edge in spec.edges if edge.along in has),
                }
            )
        )
    return tuple(made)
