"""The pieces of a drawing as one sheet, with what they say of each mark that they share."""

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.homography import apply_homography
from buckwright.model.finding import Finding
from buckwright.model.views import PieceSheet, SharedPlace, SquaredView, ViewSpec
from buckwright.views.piecing import join_pieces
from buckwright.views.square import matrix_of, square_view
from buckwright.views.squaring import middle_of, square_picture

__all__ = ["inverse_of", "join_sheet", "piece_at"]

Array = NDArray[np.float64]

_MOST_TRIED = 40
"""Marks beyond which none is left out by turns."""
_SEEN_PX = 1.0
"""px of the first piece: what is off by less is a hand's own."""


def join_sheet(view: ViewSpec) -> PieceSheet:
    """The joined sheet of a drawing, also before anything puts it to scale.

    Raises JobError for corners that make no quadrilateral, and for pieces that share too little.
    """
    squared = tuple(square_picture(picture).matrix for picture in view.pictures)
    pieced = join_pieces(view.pictures, squared)
    plain, why = _unscaled(view, pieced.matrices), ""
    try:
        placed = square_view(view)
    except JobError as error:
        why = f"{error.problem} {error.remedy}"
        placed = plain
    # Told in mm, or in pixels of the first piece: what is one in the first piece's plane?
    to_told = (1.0 if why else placed.mm_per_px) / plain.mm_per_px
    places = _places(view, placed, 1.0 if not why else 1.0 / plain.mm_per_px)
    rests = _rests(view, squared, to_told)
    places = tuple(one.model_copy(update={"rest": rests.get(one.name)}) for one in places)
    return PieceSheet(
        squared=placed,
        to_scale=not why,
        why=why,
        places=tuple(sorted(places, key=_suspicion)),
        alone=_alone(view),
        findings=(*_doubts(view), *_not_told(places, view, to_told * plain.mm_per_px)),
    )


def _suspicion(place: SharedPlace) -> tuple[float, float]:
    """Low where the others agree well without it."""
    return (np.inf if place.rest is None else place.rest, -float(place.off.max()))


def _rests(view: ViewSpec, squared: tuple[Array, ...], to_told: float) -> dict[str, float]:
    """Of each shared mark the rms of all others once it is left out."""
    names = [name for name, marks in _seen(view).items() if len(marks) > 1]
    rests = {}
    for name in names if len(names) <= _MOST_TRIED else ():
        left = tuple(
            picture.model_copy(update={"marks": tuple(m for m in picture.marks if m.name != name)})
            for picture in view.pictures
        )
        try:
            misses = join_pieces(left, squared).misses
        except JobError:
            continue
        rests[name] = to_told * float(np.sqrt(np.mean(misses**2)))
    return rests


def _not_told(places: tuple[SharedPlace, ...], view: ViewSpec, px: float) -> tuple[Finding, ...]:
    """Where one mark is off, but several might be it; `px` what a pixel is in what is told."""
    tried = [place for place in places if place.rest is not None]
    worst = max((float(place.off.max()) for place in places), default=0.0)
    if not tried or worst < _SEEN_PX * px:
        return ()
    least = min(place.rest or 0.0 for place in tried)
    alike = [place.name for place in tried if (place.rest or 0.0) < 1.2 * least + 0.05 * worst]
    if len(alike) < 2:
        return ()
    told = " and ".join((", ".join(f"'{name}'" for name in alike[:-1]), f"'{alike[-1]}'"))
    return (
        Finding(
            code="mark-not-told",
            where=view.name,
            message=f"One of the marks {told} is off, but nothing tells which.",
            remedy="Look at each of them, or mark one more place that the same pieces share: with "
            "four it shows.",
        ),
    )


def inverse_of(matrix: Array) -> Array:
    """(3, 3) the other way."""
    return np.asarray(np.linalg.inv(matrix), dtype=np.float64)


def _unscaled(view: ViewSpec, matrices: tuple[Array, ...]) -> SquaredView:
    """In the plane of the first piece; `mm_per_px` is what a pixel is long there."""
    pixel = middle_of(view.pictures[0]) + np.array([[-0.5, 0.0], [0.5, 0.0]])
    ends = apply_homography(matrices[0], pixel)
    return SquaredView(
        name=view.name,
        seen_from=view.seen_from,
        to_plane=tuple((matrix / np.linalg.norm(matrix)).ravel() for matrix in matrices),
        distance=0.0,
        distance_sigma=0.0,
        foot=(0.0, 0.0),
        plane=view.plane,
        mm_per_px=float(np.linalg.norm(ends[1] - ends[0])),
        residual=0.0,
        worst="",
    )


def _seen(view: ViewSpec) -> dict[str, list[tuple[str, tuple[float, float]]]]:
    """Of each mark the pieces that have it, and where."""
    seen: dict[str, list[tuple[str, tuple[float, float]]]] = {}
    for picture in view.pictures:
        for mark in picture.marks:
            seen.setdefault(mark.name, []).append((picture.source.name, mark.px))
    return seen


def _places(view: ViewSpec, placed: SquaredView, unit: float) -> tuple[SharedPlace, ...]:
    found = []
    for name, marks in _seen(view).items():
        if len(marks) < 2:
            continue
        at = np.vstack(
            [apply_homography(matrix_of(view, placed, p), np.array([px])) for p, px in marks]
        )
        middle = at.mean(axis=0)
        found.append(
            SharedPlace(
                name=name,
                at=(float(middle[0]), float(middle[1])),
                pieces=tuple(piece for piece, _ in marks),
                off=np.linalg.norm(at - middle, axis=1) / unit,
            )
        )
    return tuple(found)


def _alone(view: ViewSpec) -> tuple[tuple[str, str], ...]:
    return tuple((name, marks[0][0]) for name, marks in _seen(view).items() if len(marks) == 1)


def _doubts(view: ViewSpec) -> tuple[Finding, ...]:
    """Pieces that hang by two marks: these always agree, whatever was clicked."""
    shared = {name for name, marks in _seen(view).items() if len(marks) > 1}
    return tuple(
        Finding(
            code="piece-unchecked",
            where=picture.source.name,
            message="It hangs on the others by two marks only, so that nothing shows one that was "
            "set wrongly.",
            remedy="Mark a third place that it shares, far from those two.",
        )
        for picture in view.pictures
        if len(view.pictures) > 1 and sum(mark.name in shared for mark in picture.marks) == 2
    )


def piece_at(view: ViewSpec, squared: SquaredView, points: Array) -> tuple[str, Array]:
    """The piece that shows most of these places (n, 2) of the sheet, and their pixels in it (n, 2).

    Of two that show as many, the later lies on top. A place beyond the piece has a pixel beyond
    its edge. Raises JobError where a place lies behind the camera of every piece.
    """
    best: tuple[int, str, Array] | None = None
    for picture in view.pictures:
        back = inverse_of(matrix_of(view, squared, picture.source.name))
        px = apply_homography(back, points)
        if not np.all(np.isfinite(px)):
            continue
        inside = np.all((px >= -0.5) & (px <= np.array(picture.source.size) - 0.5), axis=1)
        if best is None or int(inside.sum()) >= best[0]:
            best = (int(inside.sum()), picture.source.name, px)
    if best is None or best[0] == 0:
        raise JobError(
            f"No piece of '{view.name}' shows that place.", "Click where the drawing is seen."
        )
    return best[1], best[2]
