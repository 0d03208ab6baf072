"""Traces of one line as rays: pixels with the lens taken out, evenly spaced along each piece."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.capture.band import through_clicks
from buckwright.errors import JobError
from buckwright.geometry.camera import camera_centre, rotation_matrix, undistort
from buckwright.geometry.polyline import (
    arc_lengths,
    closest_on_polyline,
    polyline_length,
    resample_polyline,
)
from buckwright.model.pictures import Calibration, Trace

__all__ = ["Marks", "Views", "mm_to_a_pixel", "see_traces"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_LOST_PX = 2.0
_HAND_PX = 2.5
"""Within which a click lies of what it was set on."""
_GUIDE_PX, _SURE_PX = 2.0, 0.25
_HAND_SIGMA_PX, _FAR_PX = 1.5, 120.0
"""What the way through clicks is off by, and between clicks so far apart that it is worse."""
_GOOD_PX = 0.2
"""Doubt of a snapped point at which it counts half."""
_POOR_PX = 0.35
"""Doubt beyond which neighbours err alike, as where snapping ran along something else: then many
of them tell little more than one.
"""
_SNAPPED = ("tape", "edge")
_MOST_THINNED = 4
STEP_PX = 10.0
"""Between marks: finer than the wobble of a hand, which keeps its side for 60 px or so."""


@dataclass(frozen=True, eq=False, slots=True)
class Views:
    """The k pictures in which the line is traced."""

    names: tuple[str, ...]
    rotation: Array
    """(k, 3, 3) mat to camera."""
    centre: Array
    """(k, 3) mm."""
    focal: Array
    """(k,) px."""

    def flat(self, points: Array) -> tuple[Array, Array]:
        """Where each view sees points (n, 3): (k, n, 2) of x / z, y / z, and depths (k, n)."""
        local = np.einsum("kij,knj->kni", self.rotation, points[None] - self.centre[:, None])
        depth = local[:, :, 2]
        safe = np.where(np.abs(depth) > 1e-9, depth, 1e-9)
        return local[:, :, :2] / safe[:, :, None], depth


@dataclass(frozen=True, eq=False, slots=True)
class Marks:
    """Evenly spaced points of all traces."""

    view: Index
    """(n,) picture."""
    piece: Index
    """(n,) number of the trace."""
    flat: Array
    """(n, 2) x / z, y / z in the camera's frame."""
    along: Array
    """(n, 2) unit direction of the trace in that plane."""
    step: Array
    """(n,) px of trace that the mark stands for."""
    trust: Array
    """(n,) 1 for a mark as good as the others, less for one that snapping was less sure of."""
    snapped: float = 0.0
    """Share of the marks that were snapped to what the picture shows, not set by hand."""

    def taken(self, rows: Index) -> "Marks":
        """Those marks only."""
        return replace(
            self,
            view=self.view[rows],
            piece=self.piece[rows],
            flat=self.flat[rows],
            along=self.along[rows],
            step=self.step[rows],
            trust=self.trust[rows],
        )

    @property
    def pitch(self) -> float:
        """Usual px of trace from one mark to the next."""
        return float(np.median(self.step))

    def thinned(self, most: int) -> "Marks":
        """About `most` of them if there are more, the ends of every trace kept."""
        every = min(len(self.view) // most, _MOST_THINNED)
        if every < 2:
            return self
        place = _places(self.piece)
        last = np.append(np.diff(self.piece) != 0, True)
        # No two of the same trace closer than the others, so that they count alike.
        early = np.append(last[1:], False) & (place % every == 0)
        rows = np.flatnonzero(((place % every == 0) & ~early) | last)
        kept = self.taken(rows)
        return replace(kept, step=every * kept.step)


def see_traces(name: str, traces: Sequence[Trace], calibration: Calibration) -> tuple[Views, Marks]:
    """The views and marks of a line's traces; traces in pictures that were not solved are left out.

    Raises JobError with fewer than two pictures left, and for a trace that lies where the lens
    model cannot be.
    """
    solved = {picture.name: picture for picture in calibration.pictures}
    found = [part for t in traces if t.picture in solved for part in _found(t)]
    used = [part for part in found if _drawn(part)]
    names = tuple(dict.fromkeys(t.picture for t in used))
    if len(names) < 2:
        raise _too_few(name, traces, names)
    pictures = [solved[n] for n in names]
    turn = np.array([p.rotation_vector for p in pictures])
    shift = np.array([p.translation for p in pictures])
    views = Views(
        names=names,
        rotation=rotation_matrix(turn),
        centre=camera_centre(turn, shift),
        focal=np.array([p.focal for p in pictures]),
    )
    parts = []
    for number, trace in enumerate(used):
        view = names.index(trace.picture)
        picture = pictures[view]
        bent = (trace.px - np.array(picture.principal)) / picture.focal
        try:
            flat = undistort(bent, picture.distortion)
        except ValueError as error:
            raise JobError(
                f"The trace of {name} in {trace.picture} runs out of the picture.",
                "Draw it again inside the picture.",
            ) from error
        parts.append(_marks(flat, trace.sigma, picture.focal, view, number))
    marks = _joined(parts)
    snapped = np.array([trace.kind in _SNAPPED for trace in used])
    return views, replace(marks, snapped=float(np.mean(snapped[marks.piece])))


def mm_to_a_pixel(views: Views, points: Array) -> float:
    """Typical size of a pixel at the line."""
    _, depth = views.flat(points)
    return float(np.median(depth / views.focal[:, None]))


def _found(trace: Trace) -> list[Trace]:
    """The trace, without the stretches in which snapping lost its feature and kept to the clicks.

    A stretch counts as lost where its points are given a doubt of two pixels or more.
    """
    if len(trace.sigma) == len(trace.px) and len(trace.clicks) > 1:
        trace = _kept_by_hand(trace, np.hypot(trace.sigma, _off_clicks(trace)))
    if trace.closed and len(trace.px):
        around = np.append(np.arange(len(trace.px)), 0)
        sigma = trace.sigma[around] if len(trace.sigma) == len(trace.px) else trace.sigma
        trace = trace.model_copy(update={"px": trace.px[around], "sigma": sigma})
    if len(trace.sigma) != len(trace.px):
        return [trace]
    lost = trace.sigma >= _LOST_PX
    cuts = np.flatnonzero(np.diff(lost)) + 1
    runs = np.split(np.arange(len(lost)), cuts)
    return [
        trace.model_copy(update={"px": trace.px[run], "sigma": trace.sigma[run]})
        for run in runs
        if len(run) and not lost[run[0]]
    ]


def _kept_by_hand(trace: Trace, sigma: Array) -> Trace:
    """The trace drawn back to the way through its clicks where snapping is in doubt by `sigma`.

    Where it is sure, a hand has nothing to tell it; where it may have run along something else,
    the hand is nearer.
    """
    asked = np.flatnonzero((sigma > _SURE_PX) & (trace.sigma < _LOST_PX))
    if len(asked) == 0:
        return trace.model_copy(update={"sigma": sigma})
    stretches = through_clicks(trace.clicks, closed=trace.closed, step=_GUIDE_PX)
    guide = np.vstack(stretches)
    ways = np.concatenate([np.full(len(s), _GUIDE_PX * len(s)) for s in stretches])
    _, near = cKDTree(guide).query(trace.px[asked])
    along = np.gradient(guide, axis=0)[near]
    along /= np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-9)
    towards = guide[near] - trace.px[asked]
    towards -= np.sum(towards * along, axis=1, keepdims=True) * along
    doubt = _HAND_SIGMA_PX * np.maximum(1.0, ways[near] / _FAR_PX) ** 2
    share = sigma[asked] ** 4 / (sigma[asked] ** 4 + doubt**4)
    px, kept = np.array(trace.px), sigma.copy()
    px[asked] += share[:, None] * towards
    kept[asked] = np.hypot((1.0 - share) * sigma[asked], share * doubt)
    return trace.model_copy(update={"px": px, "sigma": kept})


def _off_clicks(trace: Trace) -> Array:
    """(n,) px by which a snapped trace left the hand's clicks, beyond what a hand misses by.

    There it may have run along something else, however sharp that is: between clicks, what the
    two of them say.
    """
    gap, _, along = closest_on_polyline(trace.clicks, trace.px)
    beyond = np.maximum(gap - _HAND_PX, 0.0)
    order = np.argsort(along)
    return np.asarray(np.interp(arc_lengths(trace.px), along[order], beyond[order]))


def _drawn(trace: Trace) -> bool:
    """Whether the trace has a length worth the name."""
    return len(trace.px) >= 2 and polyline_length(trace.px) > 2.0 * STEP_PX


def _too_few(name: str, traces: Sequence[Trace], names: tuple[str, ...]) -> JobError:
    if not traces:
        return JobError(f"The line {name} is not traced.", "Trace it in two pictures or more.")
    if not names:
        unknown = ", ".join(sorted({t.picture for t in traces})[:3])
        return JobError(
            f"The line {name} has no usable trace: {unknown} is not among the solved pictures, "
            "or its trace is only a dot.",
            "Trace it in two of the solved pictures or more, from different sides or heights.",
        )
    return JobError(
        f"The line {name} is traced in one solved picture only, {names[0]}.",
        "Trace it in another picture, taken from a different side or height; four or more are "
        "better.",
    )


def _marks(flat: Array, sigma: Array, focal: float, view: int, piece: int) -> Marks:
    length = polyline_length(flat) * focal
    count = max(round(length / STEP_PX), 2) + 1
    even = resample_polyline(flat, count)
    along = np.gradient(even, axis=0)
    along /= np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-12)
    return Marks(
        view=np.full(count, view),
        piece=np.full(count, piece),
        flat=even,
        along=along,
        step=np.full(count, length / (count - 1)),
        trust=_trust(flat, sigma, count),
    )


def _trust(flat: Array, sigma: Array, count: int) -> Array:
    """(count,) weights of even marks along a trace by the doubts (m,) of its points, if told."""
    if len(sigma) != len(flat):
        return np.ones(count)
    along = arc_lengths(flat)
    even = np.interp(np.linspace(0.0, along[-1], count), along, sigma)
    return np.asarray(1.0 / (1.0 + (even / _GOOD_PX) ** 2 + (even / _POOR_PX) ** 4))


def _places(piece: Index) -> Index:
    """(n,) how many marks of the same trace come before each."""
    order = np.arange(len(piece))
    begins = np.append(True, np.diff(piece) != 0)
    return np.asarray(order - np.maximum.accumulate(np.where(begins, order, 0)))


def _joined(parts: list[Marks]) -> Marks:
    return Marks(
        view=np.concatenate([p.view for p in parts]),
        piece=np.concatenate([p.piece for p in parts]),
        flat=np.vstack([p.flat for p in parts]),
        along=np.vstack([p.along for p in parts]),
        step=np.concatenate([p.step for p in parts]),
        trust=np.concatenate([p.trust for p in parts]),
    )
