"""What a line is told to keep, brought onto its batten: places in mm, directions, corners found.

Places are given as shares of the line as it lies when nothing is kept, from crossing to crossing.
A corner is a place that the points have and nobody can point at to the millimetre: it is looked
for hereabouts, where points and stiffness are content.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.spline import foot_parameters
from buckwright.lines.batten import lay_batten
from buckwright.lines.corners import find_corners
from buckwright.lines.drafting import BAND_SIGMAS, FIRST_POINTS, Draft, drafted, free_points
from buckwright.lines.hold_refusals import CLOSE, refuse_far, refuse_hold, refuse_turned
from buckwright.lines.keeping import SAME, Kept
from buckwright.lines.sides import MIRROR, SidedLine
from buckwright.model.holds import EndTangent, LineHold
from buckwright.model.lines import PlacedLine

__all__ = ["Wish", "given_way", "hold_alone", "hold_draft", "wish_of"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class Wish:
    """What one line is to keep, in the frame of the line that is laid."""

    hold: LineHold
    span: tuple[float, float]
    """mm along the plain draft where the line begins and ends: shares are of this."""
    mirrored: bool
    """Whether the line is its own mirror image, so that both halves keep the same."""
    ways: tuple[Array | None, Array | None]
    """Unit vectors along the line at its two ends, where they are given."""


def wish_of(
    hold: LineHold,
    sided: SidedLine,
    draft: Draft,
    span: tuple[float, float],
    ways: tuple[Array | None, Array | None],
) -> Wish:
    """The wish for a laid line, from its plain draft; JobError for what cannot be.

    `ways` as given for the laid line's ends, of either sense.
    """
    refuse_hold(hold, sided, span[1] - span[0])
    turned = [
        None if way is None else _with_the_line(way, draft, end, span, sided)
        for end, way in enumerate(ways)
    ]
    if sided.kind == "self":
        turned = _both_ends(turned)
    return Wish(hold, span, sided.kind == "self", (turned[0], turned[1]))


def hold_draft(draft: Draft, wish: Wish) -> Draft:
    """The line drafted anew with what it keeps, from its plain draft."""
    batten, hold = draft.batten, wish.hold
    at = foot_parameters(draft.curve(), batten.points, batten.at, closed=draft.closed)
    sigma = draft.sigma
    if hold.tolerance is not None:
        sigma = np.full(len(sigma), hold.tolerance / BAND_SIGMAS)
    sigma = _weighed(sigma, at, wish)
    first = lay_batten(
        batten.points,
        sigma,
        at,
        start=draft.start,
        end=draft.end,
        count=min(FIRST_POINTS, free_points(len(sigma), closed=draft.closed)),
        closed=draft.closed,
        kept=_kept(wish),
    )
    mirrored = sum(wish.span) if wish.mirrored else None
    first = find_corners(first, sigma, draft.stiffness, mirrored=mirrored)
    band = None if hold.tolerance is None else np.full(len(sigma), hold.tolerance)
    held = drafted(draft.name, first, sigma)
    refuse_far(hold.line, _farthest(held), draft.end - draft.start)
    return replace(held, band=band)


def _farthest(draft: Draft) -> float:
    gap = draft.batten.basis @ draft.control - draft.batten.points
    return float(np.linalg.norm(gap, axis=1).max())


def hold_alone(draft: Draft, placed: PlacedLine, hold: LineHold) -> Draft:
    """The plain draft of a line that stands alone, drafted anew with what it keeps."""
    sided = SidedLine("single", placed, None, (placed,), 0.0, 0.0)
    ways = {tangent.end: given_way(tangent, sided) for tangent in hold.tangents}
    if any(way is None for way in ways.values()):
        raise JobError(
            f"'{hold.line}' stands alone here and cannot run on from another line.",
            "Lay it together with that line.",
        )
    span = draft.start, draft.end
    return hold_draft(
        draft, wish_of(hold, sided, draft, span, (ways.get("first"), ways.get("last")))
    )


def given_way(tangent: EndTangent, sided: SidedLine) -> Array | None:
    """(3,) the direction that is asked for itself; None where another line has to tell it.

    Raises JobError where the line lies in the centre plane and the direction leaves it.
    """
    if tangent.way == "line":
        return None
    way = np.array([0.0, 1.0, 0.0])
    if tangent.way == "direction":
        way = np.array(tangent.direction or (0.0, 0.0, 0.0))
    if sided.kind == "centre" and abs(way[1]) > 1e-9 * float(np.linalg.norm(way)):
        raise JobError(
            f"'{sided.placed.name}' lies in the centre plane and cannot run out of it.",
            "Give a direction without any part to the side.",
        )
    return way


def _with_the_line(
    way: Array, draft: Draft, end: int, span: tuple[float, float], sided: SidedLine
) -> Array:
    """The unit vector in the sense in which the line runs; JobError where it runs elsewhere."""
    run = draft.batten.rows(np.array([span[end]]), derivative=1) @ draft.control
    unit = way / np.linalg.norm(way)
    along = float(unit @ run[0] / np.linalg.norm(run))
    refuse_turned(sided.placed.name, along)
    return np.asarray(np.sign(along) * unit)


def _both_ends(ways: list[Array | None]) -> list[Array | None]:
    """Of a line that is its own mirror image: what one end keeps the other keeps too."""
    first, last = ways
    if first is None and last is not None:
        first = -last * MIRROR
    return [first, None if first is None else -first * MIRROR]


def _kept(wish: Wish) -> Kept:
    low, high = wish.span
    hold, whole = wish.hold, high - low
    corners = [low + share * whole for share in hold.corners]
    runs = [[run.start, run.end] for run in hold.straights]
    if wish.mirrored:
        corners += [low + high - at for at in corners]
        runs += [[1.0 - end, 1.0 - start] for start, end in runs]
    found = np.unique(np.round(corners, 6)) if corners else np.empty(0)
    ends = np.array([[_place(share, wish.span) for share in run] for run in runs]).reshape(-1, 2)
    for corner in found:
        ends[np.abs(ends - corner) < CLOSE] = corner
    return Kept(_merged(ends), found, *wish.ways)


def _place(share: float, span: tuple[float, float]) -> float:
    if share <= 0.0:
        return -np.inf
    return np.inf if share >= 1.0 else span[0] + share * (span[1] - span[0])


def _merged(runs: Array) -> Array:
    """Runs in order; those of both halves that overlap are one."""
    merged: list[list[float]] = []
    for start, end in sorted(runs.tolist()):
        if merged and start < merged[-1][1] - SAME:
            merged[-1][1] = max(end, merged[-1][1])
        else:
            merged.append([start, end])
    return np.array(merged).reshape(-1, 2)


def _weighed(sigma: Array, at: Array, wish: Wish) -> Array:
    low, high = wish.span
    share = (at - low) / (high - low)
    weighed = np.array(sigma)
    for weight in wish.hold.weights:
        inside = (share >= weight.start) & (share <= weight.end)
        if wish.mirrored:
            inside |= (1.0 - share >= weight.start) & (1.0 - share <= weight.end)
        weighed[inside] = sigma[inside] / np.sqrt(weight.times)
    return weighed
