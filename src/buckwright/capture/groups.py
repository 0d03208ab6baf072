"""Pictures sorted by camera, focal length and size, and those refused that fit no group."""

from collections.abc import Sequence

from buckwright.model.finding import Finding
from buckwright.model.intake import PictureGroup, Refusal
from buckwright.model.pictures import PictureSource

__all__ = ["camera_name", "group_pictures"]

LEAST_OF_A_GROUP = 4
"""A lens of its own wants as many pictures."""
_SAME_SHAPE = 0.01


def camera_name(source: PictureSource) -> str:
    """A name that pictures share when they share a lens and zoom; empty where nothing is told."""
    if not (source.camera or source.focal_mm or source.zoom):
        return ""
    return f"{source.camera} {source.focal_mm:g} mm x {source.zoom or 1.0:g}"


def group_pictures(
    sources: Sequence[PictureSource],
) -> tuple[tuple[PictureGroup, ...], tuple[Refusal, ...], tuple[Finding, ...]]:
    """Groups, largest first; pictures that fit none; doubts about small groups.

    Refused are those cut out of a larger picture, and the few that were taken at another zoom
    than most pictures of the same camera. A few of another camera or size are kept with a doubt.
    """
    cropped = [s for s in sources if _is_cropped(s)]
    refused = [_cropped(s) for s in cropped]
    whole = [s for s in sources if s not in cropped]
    sorted_by: dict[tuple[object, ...], list[PictureSource]] = {}
    for source in whole:
        key = (source.size, source.camera, source.focal_mm, source.zoom)
        sorted_by.setdefault(key, []).append(source)
    members = sorted(sorted_by.values(), key=len, reverse=True)
    kept: list[list[PictureSource]] = []
    for few in members:
        main = next((m for m in kept if _same_but_zoom(m[0], few[0])), None)
        if main is not None and len(few) < LEAST_OF_A_GROUP:
            refused += [_zoomed(source, main[0]) for source in few]
        else:
            kept.append(few)
    return tuple(_group(m) for m in kept), tuple(refused), tuple(_few_alone(kept))


def _group(members: list[PictureSource]) -> PictureGroup:
    first = members[0]
    return PictureGroup(
        camera=first.camera,
        focal_mm=first.focal_mm,
        size=first.size,
        pictures=tuple(s.name for s in members),
    )


def _same_but_zoom(one: PictureSource, other: PictureSource) -> bool:
    told = one.camera.split(",")[:2] == other.camera.split(",")[:2]
    zoomed = (one.focal_mm, one.zoom) != (other.focal_mm, other.zoom)
    return told and zoomed and bool(one.focal_mm and other.focal_mm)


def _zoomed(source: PictureSource, usual: PictureSource) -> Refusal:
    def words(one: PictureSource) -> str:
        return f"{one.focal_mm:g} mm" + (f" x {one.zoom:g}" if one.zoom else "")

    return Refusal(
        picture=source.name,
        problem=f"The picture {source.name} was taken at another zoom, {words(source)}, "
        f"than the others, {words(usual)}.",
        remedy="Take it again without touching the zoom, or leave it out.",
    )


def _is_cropped(source: PictureSource) -> bool:
    """Whether the shape differs from what the camera wrote down: part of it was cut away."""
    if source.taken_size is None:
        return False
    shapes = [max(size) / min(size) for size in (source.size, source.taken_size)]
    return abs(shapes[0] / shapes[1] - 1.0) > _SAME_SHAPE


def _cropped(source: PictureSource) -> Refusal:
    (columns, rows), (wide, high) = source.size, source.taken_size or source.size
    return Refusal(
        picture=source.name,
        problem=f"The picture {source.name} was cut out of a larger one: {columns} x {rows} of "
        f"{wide} x {high} pixels.",
        remedy="Use the picture as the camera took it.",
    )


def _few_alone(kept: list[list[PictureSource]]) -> list[Finding]:
    if len(kept) < 2:
        return []
    return [
        Finding(
            code="few-of-a-camera",
            where=", ".join(s.name for s in few),
            message=f"Only {len(few)} of {sum(map(len, kept))} pictures came from this camera at "
            f"this zoom and size ({few[0].size[0]} x {few[0].size[1]} pixels): its lens is known "
            "badly.",
            remedy="Take all pictures with one camera at one zoom, and use them unchanged.",
        )
        for few in kept
        if len(few) < LEAST_OF_A_GROUP
    ]
