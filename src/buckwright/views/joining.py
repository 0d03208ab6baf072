"""Several views in one frame: each gives way a little in scale, turn and place until they agree.

What two views both show of a line are its ends on the axis that they share: the side view and
the plan its foremost and rearmost station, the side and front view its highest and lowest level.
"""

from collections.abc import Sequence
from itertools import combinations
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.homography import apply_homography
from buckwright.model.finding import Finding
from buckwright.model.views import (
    Apart,
    JoinedViews,
    SpaceLine,
    SquaredView,
    ViewCurve,
    ViewShift,
    ViewSpec,
)
from buckwright.views.curves import depths_of, view_curve
from buckwright.views.giving import Shared, give_way, move_of, moved_view
from buckwright.views.square import square_view
from buckwright.views.twoviews import Matched, Rays, match_rays, shared_axis

__all__ = ["join_views"]

Array = NDArray[np.float64]

_PASSES = 4
_CONTRADICT = 0.06
"""Two views whose lengths of a line differ by more than this share are not of one body."""
_LEAST = 0.08
"""A line whose extent on the shared axis is less than this share of its size is not matched."""
_SLIPS = 0.05
_FAR = 4.0
"""Standard errors of two traces beyond which what is left is told as a doubt."""
_AXES: tuple[Literal["x"], Literal["y"], Literal["z"]] = ("x", "y", "z")


class _Seen(NamedTuple):
    """A line as one view shows it."""

    view: int
    curve: ViewCurve
    rays: Rays


class _Pair(NamedTuple):
    """A line in two views that have one axis in common."""

    line: str
    axis: int
    first: _Seen
    second: _Seen

    @property
    def doubt(self) -> float:
        """Of the shared coordinate of one against the other, mm."""
        first, second = (float(np.median(seen.curve.sigma)) for seen in (self.first, self.second))
        return max(float(np.hypot(first, second)), 0.1)


def join_views(views: Sequence[ViewSpec]) -> JoinedViews:
    """The views joined, where they still disagree, and the lines that two of them give.

    Raises JobError for fewer than two views, for views of the same name, for views that share no
    line, and for views that contradict each other.
    """
    _check_views(views)
    squared = [square_view(view) for view in views]
    pairs = _pairs(views, squared)
    if not pairs:
        raise JobError(
            "The views have no line in common.",
            "Trace a line that is seen in two of them, and call it the same in both.",
        )
    shifts = [ViewShift(view=v.name, scale=1.0, turn=0.0, shift=(0.0, 0.0)) for v in views]
    moved, before = pairs, list[Shared]()
    matched = _match(pairs)
    for _ in range(_PASSES):
        _check_agree(views, moved, matched)
        shared = _shared(moved, matched)
        before = before or shared
        old, shifts = shifts, give_way(views, shared, shifts)
        moved = [_moved(pair, squared, shifts) for pair in pairs]
        matched = _match(moved)
        if max(abs(a.scale - b.scale) for a, b in zip(old, shifts, strict=True)) < 1e-6:
            break
    after = _shared(moved, matched)
    apart = _apart(views, before, after)
    rms = float(np.sqrt(np.mean([one.after**2 for one in apart])))
    lines, findings = _lines(views, moved, matched, rms)
    return JoinedViews(
        shifts=tuple(shifts),
        apart=apart,
        rms=rms,
        lines=lines,
        findings=(*findings, *_doubts(views, pairs, apart, after)),
    )


def _check_views(views: Sequence[ViewSpec]) -> None:
    names = [view.name for view in views]
    if len(views) < 2:
        raise JobError("There are not two views to join.", "Add another view.")
    for name in names:
        if names.count(name) > 1:
            raise JobError(f"Two views are called '{name}'.", "Give one another name.")


def _pairs(views: Sequence[ViewSpec], squared: Sequence[SquaredView]) -> list[_Pair]:
    """Traces of one line in two views that have one axis in common."""
    seen = []
    for number, (view, one) in enumerate(zip(views, squared, strict=True)):
        for trace in view.traces:
            curve = view_curve(view, one, trace)
            seen.append((trace.line, _Seen(number, curve, _rays(view, one, curve))))
    found = []
    for (line, a), (other, b) in combinations(seen, 2):
        axis = shared_axis(views[a.view].seen_from, views[b.view].seen_from)
        if line == other and axis is not None:
            found.append(_Pair(line, axis, a, b))
    return found


def _rays(view: ViewSpec, squared: SquaredView, curve: ViewCurve) -> Rays:
    """The curve as the plane of scale would show it: of an outline, the line along its crown."""
    foot = np.array(squared.foot)
    far = 1.0 / squared.distance if squared.distance > 0.0 else 0.0
    spread = 1.0 + far * depths_of(view, curve.along)
    return Rays(
        seen_from=view.seen_from,
        read=foot + (curve.points - foot) / spread[:, None],
        closed=curve.closed,
        foot=foot,
        per_distance=far,
        plane=view.plane,
    )


def _moved(pair: _Pair, squared: Sequence[SquaredView], shifts: Sequence[ViewShift]) -> _Pair:
    first, second = (
        seen._replace(rays=_shifted(seen.rays, squared[seen.view], shifts[seen.view]))
        for seen in (pair.first, pair.second)
    )
    return pair._replace(first=first, second=second)


def _shifted(rays: Rays, squared: SquaredView, shift: ViewShift) -> Rays:
    moved = moved_view(squared, shift)
    return rays._replace(
        read=apply_homography(move_of(shift), rays.read),
        foot=np.array(moved.foot),
        per_distance=1.0 / moved.distance if moved.distance > 0.0 else 0.0,
    )


def _match(pairs: Sequence[_Pair]) -> list[Matched]:
    return [match_rays(pair.first.rays, pair.second.rays, pair.doubt) for pair in pairs]


def _useful(pair: _Pair, matched: Matched) -> bool:
    """Whether the line runs far enough along the shared axis to be matched by it."""
    size = float(np.ptp(matched.points, axis=0).max())
    return matched.run > max(_LEAST, 6.0 * pair.doubt / max(size, 1e-9))


def _check_agree(
    views: Sequence[ViewSpec], pairs: Sequence[_Pair], matched: Sequence[Matched]
) -> None:
    for pair, found in zip(pairs, matched, strict=True):
        long = [float(np.ptp(values)) for values in found.shared]
        size = float(np.ptp(found.points, axis=0).max())
        if abs(long[0] - long[1]) > _CONTRADICT * size + 6.0 * pair.doubt:
            first, second = (views[seen.view].name for seen in (pair.first, pair.second))
            raise JobError(
                f"The views '{first}' and '{second}' contradict: '{pair.line}' is {long[0]:.0f} mm "
                f"long on {_AXES[pair.axis]} in the one, {long[1]:.0f} mm in the other.",
                "Look at the scale of both, and at what is called by that name.",
            )


def _shared(pairs: Sequence[_Pair], matched: Sequence[Matched]) -> list[Shared]:
    """Both ends of every line on the axis that its two views share."""
    found = []
    for pair, one in zip(pairs, matched, strict=True):
        if not _useful(pair, one):
            continue
        for end in ("least", "greatest"):
            k = [int(v.argmin() if end == "least" else v.argmax()) for v in one.shared]
            found.append(
                Shared(
                    line=pair.line,
                    end=end,
                    axis=pair.axis,
                    views=(pair.first.view, pair.second.view),
                    places=(one.places[0][k[0]], one.places[1][k[1]]),
                    apart=float(one.shared[1][k[1]] - one.shared[0][k[0]]),
                    sigma=pair.doubt,
                )
            )
    if not found:
        raise JobError(
            "No line runs along an axis that two of the views share.",
            "Trace one that does: the belt or the sill in side view and plan.",
        )
    return found


def _apart(
    views: Sequence[ViewSpec], before: Sequence[Shared], after: Sequence[Shared]
) -> tuple[Apart, ...]:
    then = {(one.line, one.end, one.views): one.apart for one in before}
    rows = [
        Apart(
            line=one.line,
            end=one.end,
            views=(views[one.views[0]].name, views[one.views[1]].name),
            axis=_AXES[one.axis],
            before=then.get((one.line, one.end, one.views), one.apart),
            after=one.apart,
        )
        for one in after
    ]
    return tuple(sorted(rows, key=lambda row: -abs(row.after)))


def _lines(
    views: Sequence[ViewSpec], pairs: Sequence[_Pair], matched: Sequence[Matched], left: float
) -> tuple[tuple[SpaceLine, ...], tuple[Finding, ...]]:
    """Each line by the pair of views that tells it best; those that none tells are found.

    Parameters: left, mm rms that the views still lie apart, which is in every line's doubt.
    """
    best: dict[str, SpaceLine] = {}
    square: dict[str, _Pair] = {}
    for pair, found in zip(pairs, matched, strict=True):
        if not _useful(pair, found):
            square[pair.line] = pair
            continue
        line = _space_line(views, pair, found, left)
        if pair.line not in best or _rms(line.sigma) < _rms(best[pair.line].sigma):
            best[pair.line] = line
    findings = tuple(
        Finding(
            code="line-square",
            where=name,
            message=f"It runs square to the axis that the views '{views[pair.first.view].name}' "
            f"and '{views[pair.second.view].name}' share, so that they do not give it in space.",
            remedy="Trace it in a third view.",
        )
        for name, pair in square.items()
        if name not in best
    )
    return tuple(best.values()), findings


def _space_line(views: Sequence[ViewSpec], pair: _Pair, found: Matched, left: float) -> SpaceLine:
    count = len(found.points)
    doubts = [
        np.interp(np.linspace(0.0, 1.0, count), np.linspace(0.0, 1.0, len(sigma)), sigma)
        for sigma in (pair.first.curve.sigma, pair.second.curve.sigma)
    ]
    sigma = np.sqrt((doubts[0] ** 2 + doubts[1] ** 2 + found.slip**2) / 2.0 + left**2)
    size = float(np.linalg.norm(np.ptp(found.points, axis=0)))
    unsure = float(np.mean(found.slip > _SLIPS * size))
    closed = pair.first.rays.closed
    doubt = Finding(
        code="line-slips",
        where=pair.line,
        message=f"Over {100.0 * unsure:.0f} % of it two views do not tell which place of the one "
        "is which of the other.",
        remedy="Trace it in a third view.",
    )
    return SpaceLine(
        name=pair.line,
        closed=closed,
        points=found.points[:-1] if closed else found.points,
        sigma=sigma[:-1] if closed else sigma,
        views=(views[pair.first.view].name, views[pair.second.view].name),
        findings=(doubt,) if unsure > 0.0 else (),
    )


def _rms(values: Array) -> float:
    return float(np.sqrt(np.mean(values**2)))


def _doubts(
    views: Sequence[ViewSpec],
    pairs: Sequence[_Pair],
    apart: Sequence[Apart],
    after: Sequence[Shared],
) -> tuple[Finding, ...]:
    joined = {seen.view for pair in pairs for seen in (pair.first, pair.second)}
    found = [
        Finding(
            code="view-alone",
            where=view.name,
            message="No line of it is traced in another view, so that nothing holds it to them.",
            remedy="Trace a line there that another view shows.",
        )
        for number, view in enumerate(views)
        if number not in joined
    ]
    worst = apart[0]
    if max(abs(one.apart) / one.sigma for one in after) > _FAR:
        found.append(
            Finding(
                code="views-disagree",
                where=worst.line,
                message=f"The views '{worst.views[0]}' and '{worst.views[1]}' still show its "
                f"{worst.end} {worst.axis} {abs(worst.after):.1f} mm apart.",
                remedy="Look at both traces there, and at what their views are scaled by.",
            )
        )
    return tuple(found)
