"""Fairing one line: its draft, held to pins, brought into the band.

Pins are points that the line must pass through; a pin beyond an end lengthens the line to it,
one just inside an end cuts the line there.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from buckwright.geometry.spline import closest_parameters, curvature_extrema, foot_parameters
from buckwright.lines.band import Band, across_frames, gaps_across, hold_in_band
from buckwright.lines.certainty import fair_doubt
from buckwright.lines.drafting import BAND_SIGMAS, Draft, draft_line, pin_draft, redraft
from buckwright.lines.holding import hold_alone
from buckwright.lines.keeping import DEGREE
from buckwright.lines.turns import Held, lessen_turns
from buckwright.model.fact import Points3
from buckwright.model.holds import LineHold
from buckwright.model.lines import Line, PlacedLine

__all__ = ["SLIGHT", "band_width", "fair_line", "line_of", "settle_line"]

Array = NDArray[np.float64]

SLIGHT = 0.1
"""mm beyond the band that nobody can see or measure."""

SELF_WILLED = 40
"""Places at which a line may be held and still have a shape of its own to be brought into its band
and rid of turns: beyond that it is shaped by the lines it crosses, and all are laid together."""


def fair_line(
    placed: PlacedLine,
    *,
    tolerance: float = 0.0,
    pins: Points3 | None = None,
    hold: LineHold | None = None,
) -> Line:
    """The fair line through measured points: least change of curvature inside the band.

    Parameters: `tolerance`, mm, is added to what measuring allows to make the band; `pins`
    (k, 3) are met exactly, in the way of the module's docstring; `hold`, what else it keeps.
    Raises JobError where the points do not make a line, or it cannot keep that.
    """
    draft, at = draft_line(placed), np.empty(0)
    if hold is not None:
        draft = hold_alone(draft, placed, hold)
        tolerance = 0.0 if hold.tolerance is not None else tolerance
    if pins is not None and len(pins):
        at = _pin_parameters(draft, np.asarray(pins))
        draft = redraft(draft, *_span(draft, at))
        at = np.clip(at, draft.start, draft.end)
        draft = pin_draft(draft, at, np.asarray(pins))
    control, band = settle_line(draft, tolerance=tolerance, pins=at)
    return line_of(draft, control, placed, band=band)


def settle_line(draft: Draft, *, tolerance: float, pins: Array) -> tuple[Array, Band]:
    """Control points (m, 3) in the band, pins (parameters, mm) left where they are; how it lies."""
    if len(pins) > SELF_WILLED:
        return draft.control, _lies(draft, band_width(draft, tolerance))
    control, band = hold_in_band(
        draft.batten,
        draft.control,
        draft.stiffness,
        half_width=band_width(draft, tolerance),
        pins=pins,
    )
    control = lessen_turns(
        draft.batten,
        control,
        draft.stiffness,
        Held(pins, np.maximum(band_width(draft, tolerance), 0.0) + band.most_outside),
    )
    if len(pins):
        rows = draft.batten.rows(pins)
        left = rows @ (draft.control - control)
        control = control + draft.batten.draw(rows, left, draft.stiffness)
    return control, band


def _lies(draft: Draft, width: Array) -> Band:
    """How the draft lies in its band as it is."""
    frames = across_frames(draft.batten, draft.control)
    beyond = gaps_across(draft.batten, draft.control, frames) - width
    worst = int(np.argmax(beyond))
    return Band(max(0.0, float(beyond[worst])), worst, 0, width)


def band_width(draft: Draft, tolerance: float) -> Array:
    """(n,) mm to either side of each point within which the line may lie."""
    own = BAND_SIGMAS * draft.sigma if draft.band is None else draft.band
    return np.asarray(own + tolerance)


def line_of(draft: Draft, control: Array, placed: PlacedLine, *, band: Band) -> Line:
    """The line of these control points (m, 3), parameter from 0 to 1; how it lies in its band."""
    curve = draft.batten.curve(control)
    gap = _moved(curve, placed)
    length = draft.end - draft.start
    knots = (np.asarray(curve.t) - draft.start) / length
    return Line(
        name=draft.name,
        degree=DEGREE,
        knots=knots,
        control=np.asarray(curve.c),
        closed=draft.closed,
        sigma=float(np.sqrt(np.mean(draft.sigma**2))),
        **fair_doubt(draft),
        moved_most=float(gap.max()),
        moved_rms=float(np.sqrt(np.mean(gap**2))),
        curvature_extrema=curvature_extrema(curve, closed=draft.closed),
        tolerance=float(np.median(band.half_width)),
        **_beyond(draft, band),
        **_kept(draft),
    )


def _beyond(draft: Draft, band: Band) -> dict[str, Any]:
    if band.most_outside < SLIGHT:
        return {}
    x, y, z = draft.batten.points[band.worst].tolist()
    return {"beyond": band.most_outside, "beyond_at": (x, y, z)}


def _kept(draft: Draft) -> dict[str, Any]:
    """What it keeps, as parameters from 0 to 1."""
    kept, length = draft.batten.kept, draft.end - draft.start
    runs = (np.clip(kept.straights, draft.start, draft.end) - draft.start) / length
    corners = (kept.corners - draft.start) / length
    return {
        "straights": tuple((start, end) for start, end in runs.tolist() if end > start),
        "corners": tuple(at for at in corners.tolist() if 0.0 < at < 1.0),
        "held_ends": (kept.first is not None, kept.last is not None),
    }


def _moved(curve: BSpline, placed: PlacedLine) -> Array:
    """(k,) mm that fairing moved each measured point; points beyond the ends do not count."""
    points = np.asarray(placed.points)
    at, gap = closest_parameters(curve, points, closed=placed.closed)
    if placed.closed:
        return gap
    ends = np.asarray(curve(np.array([curve.t[DEGREE], curve.t[-DEGREE - 1]])))
    outward = np.vstack([-curve(curve.t[DEGREE], nu=1), curve(curve.t[-DEGREE - 1], nu=1)])
    past = np.zeros(len(points), dtype=bool)
    for end, out, limit in zip(ends, outward, (curve.t[DEGREE], curve.t[-DEGREE - 1]), strict=True):
        past |= (at == limit) & ((points - end) @ out > 0.0)
    return gap[~past] if np.any(~past) else gap


def _pin_parameters(draft: Draft, pins: Array) -> Array:
    at, _ = closest_parameters(draft.curve(), pins, closed=draft.closed)
    return foot_parameters(draft.curve(), pins, at, closed=draft.closed)


def _span(draft: Draft, at: Array) -> tuple[float, float]:
    """Ends of the line: outermost pins where they lie near or beyond the ends."""
    if draft.closed:
        return draft.start, draft.end
    reach = 0.02 * (draft.end - draft.start)
    first, last = float(at.min()), float(at.max())
    start = first if first < draft.start + reach else draft.start
    end = last if last > draft.end - reach else draft.end
    return start, end
