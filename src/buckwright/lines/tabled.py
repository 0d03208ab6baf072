"""Lines from a table of figures, and their merging with lines from pictures."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from buckwright.geometry.polyline import arc_lengths, closest_on_polyline
from buckwright.lines.table_slips import Slip, find_slips
from buckwright.model.fact import frozen
from buckwright.model.finding import Finding
from buckwright.model.lines import LineSpec, PlacedLine
from buckwright.model.tabled import LineTable, PlaceRow, TableAgainstPictures

__all__ = [
    "TabledLines",
    "against_pictures",
    "lines_of_rows",
    "merge_tables",
    "tabled_lines",
    "typed_wheelbase",
]

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

LEAST = 4
"""Places without which a line is none."""
ON_CENTRE = 0.5
"""mm from the centre plane that count as on it."""


@dataclass(frozen=True, eq=False, slots=True)
class TabledLines:
    """What a table gives: lines, how the job names them, and what is in doubt."""

    lines: tuple[PlacedLine, ...]
    specs: tuple[LineSpec, ...]
    findings: tuple[Finding, ...]


def lines_of_rows(rows: Sequence[PlaceRow], *, sigma: float, half: bool) -> TabledLines:
    """The lines that rows give, each through its rows in their order.

    `half`: the y are half-breadths. A name that ends in left or right is that side's line; one
    that reaches the centre plane at one end is joined with its mirror image to one line across;
    others become a pair. A line whose last row repeats its first is closed. Slips and lines of
    fewer than four places are left out and told.
    """
    lines: list[PlacedLine] = []
    specs: list[LineSpec] = []
    findings: list[Finding] = []
    for name, own in _by_line(rows).items():
        points, closed = _course(own)
        slips = find_slips(points, sigma, closed=closed)
        findings += [_slip(own[slip.at], slip, half=half) for slip in slips]
        points = np.delete(points, [slip.at for slip in slips], axis=0)
        if len(points) < LEAST:
            findings.append(_too_few(name, len(points)))
            continue
        sided = _sides(name, points) if half else {name: points}
        for side, places in sided.items():
            lines.append(_line(side, places, sigma, closed))
            other = next((one for one in sided if one != side), None)
            specs.append(LineSpec(name=side, closed=closed, mirror=other))
    return TabledLines(tuple(lines), tuple(specs), tuple(findings))


def _by_line(rows: Sequence[PlaceRow]) -> dict[str, list[PlaceRow]]:
    found: dict[str, list[PlaceRow]] = {}
    for row in rows:
        found.setdefault(row.line, []).append(row)
    return found


def _course(rows: Sequence[PlaceRow]) -> tuple[Array, bool]:
    """Places in order, a row said twice in a row once, and whether they close."""
    points = np.array([(row.x, row.y, row.z) for row in rows])
    closed = len(points) > LEAST and bool(np.allclose(points[0], points[-1], atol=1e-6))
    return (points[:-1] if closed else points), closed


def _sides(name: str, points: Array) -> dict[str, Array]:
    """The lines by name that a table's half-breadths stand for, left being negative y."""
    y = points[:, 1]
    if name.endswith((" left", " right")):
        sign = -1.0 if name.endswith(" left") else 1.0
        return {name: points * [1.0, 0.0, 1.0] + np.outer(sign * np.abs(y), [0.0, 1.0, 0.0])}
    on_centre = np.abs(y) <= ON_CENTRE
    if on_centre.all():
        return {name: points * [1.0, 0.0, 1.0]}
    if (y < -ON_CENTRE).any() and (y > ON_CENTRE).any():
        return {name: points}
    left = points * [1.0, 0.0, 1.0] - np.outer(np.abs(y), [0.0, 1.0, 0.0])
    if on_centre[0] != on_centre[-1]:
        half = left if on_centre[-1] else left[::-1]
        half[-1, 1] = 0.0
        return {name: np.vstack([half, (half * [1.0, -1.0, 1.0])[-2::-1]])}
    return {f"{name} left": left, f"{name} right": left * [1.0, -1.0, 1.0]}


def _line(name: str, points: Array, sigma: float, closed: bool) -> PlacedLine:
    return PlacedLine(name=name, points=points, sigma=np.full(len(points), sigma), closed=closed)


def _slip(row: PlaceRow, slip: Slip, *, half: bool) -> Finding:
    typed = np.array([row.x, row.y, row.z])
    which = int(np.argmax(np.abs(typed - slip.expected)))
    column = (("station", "half-breadth", "height") if half else ("x", "y", "z"))[which]
    return Finding(
        code="outlier",
        where=row.line,
        message=f"Row {row.row} of '{row.line}' was left out: it lies {slip.by:.1f} mm off the "
        f"line of its neighbours (x {row.x:.1f}, y {row.y:.1f}, z {row.z:.1f}); its {column} is "
        f"{typed[which]:.1f} where they lead to {slip.expected[which]:.1f}.",
        remedy="Look at the figure again; where it is right, give more places round it.",
    )


def _too_few(name: str, count: int) -> Finding:
    return Finding(
        code="too-few-places",
        where=name,
        message=f"'{name}' was left out: {count} places make no line.",
        remedy=f"Give {LEAST} places at least, six if slips are to be found.",
    )


def tabled_lines(tables: Iterable[LineTable]) -> tuple[PlacedLine, ...]:
    """The lines of all tables; of a line that several give, the later table counts."""
    found = {line.name: line for table in tables for line in table.lines}
    return tuple(found.values())


def typed_wheelbase(tables: Sequence[LineTable]) -> float:
    """The mm that the newest table says, 0 where none does."""
    said = [table.wheelbase for table in tables if table.wheelbase > 0.0]
    return said[-1] if said else 0.0


def merge_tables(
    placed: Sequence[PlacedLine], tabled: Sequence[PlacedLine]
) -> tuple[tuple[PlacedLine, ...], tuple[TableAgainstPictures, ...]]:
    """All lines, those that both measured once, and how far the two disagree line by line.

    Where a table covers a line from pictures, every point is the mean of both by weight (one over
    the square of the standard error); beyond the table's ends the change fades out over one of its
    steps, and where the table reaches farther its places are added.
    """
    of_table = {line.name: line for line in tabled}
    seen = {line.name for line in placed}
    merged = [_merged(one, of_table[one.name]) if one.name in of_table else one for one in placed]
    apart = [_apart(one, of_table[one.name]) for one in placed if one.name in of_table]
    return (*merged, *(one for one in tabled if one.name not in seen)), tuple(apart)


def _apart(seen: PlacedLine, table: PlacedLine) -> TableAgainstPictures:
    points = np.asarray(table.points)
    gap, _, along = closest_on_polyline(points, seen.points, closed=seen.closed)
    total = arc_lengths(seen.points, closed=seen.closed)
    inside = np.ones(len(gap), dtype=bool)
    if not seen.closed:
        inside = (along > 0.0) & (along < total[-1])
    inside = inside if inside.any() else np.ones(len(gap), dtype=bool)
    worst = int(np.argmax(np.where(inside, gap, -1.0)))
    sigma = np.append(seen.sigma, seen.sigma[:1]) if seen.closed else seen.sigma
    own = float(np.interp(along[worst], total, sigma))
    return TableAgainstPictures(
        line=seen.name,
        rms=float(np.sqrt(np.mean(gap[inside] ** 2))),
        most=float(gap[worst]),
        most_at=points[worst],
        doubt=float(np.hypot(own, table.sigma[worst])),
    )


def _merged(seen: PlacedLine, table: PlacedLine) -> PlacedLine:
    points, sigma = np.asarray(seen.points), np.asarray(seen.sigma)
    curve = _fine_curve(table)
    _, near, along = closest_on_polyline(points, curve, closed=False)
    whole = arc_lengths(curve)[-1]
    step = whole / len(table.points)
    inside = seen.closed | _beside(points, near, along, curve, whole)
    trust = 1.0 / float(np.mean(table.sigma)) ** 2
    share = trust / (trust + 1.0 / sigma**2)
    change = share[:, None] * (near - points)
    merged = points + _faded(points, change, inside, step)
    doubt = np.where(inside, 1.0 / np.sqrt(trust + 1.0 / sigma**2), sigma)
    if not seen.closed:
        merged, doubt = _extended(merged, doubt, points, table)
    return seen.model_copy(update={"points": frozen(merged), "sigma": frozen(doubt)})


def _beside(points: Array, near: Array, along: Array, curve: Array, whole: float) -> Mask:
    """Which points lie square to the curve, and not beyond its ends."""
    ahead = np.where(along[:, None] <= 0.0, curve[0] - curve[1], curve[-1] - curve[-2])
    size = np.linalg.norm(ahead, axis=1)
    beyond = np.einsum("nd,nd->n", points - near, ahead) / np.maximum(size, 1e-12)
    return np.asarray(((along > 0.0) & (along < whole)) | (beyond <= 1e-3 * size))


def _fine_curve(table: PlacedLine) -> Array:
    """The table's line, a smooth curve through its places, in fine steps."""
    points = np.asarray(table.points)
    looped = np.vstack([points, points[:1]]) if table.closed else points
    along = arc_lengths(looped)
    first = np.concatenate([[True], np.diff(along) > 1e-9])
    ends = "periodic" if table.closed else "not-a-knot"
    curve = CubicSpline(along[first], looped[first], bc_type=ends)
    return np.asarray(curve(np.linspace(0.0, along[-1], 20 * len(points))))


def _faded(points: Array, change: Array, inside: Mask, step: float) -> Array:
    """The change where the table covers the line, and fading from its ends on."""
    along = arc_lengths(points)
    covered = np.flatnonzero(inside)
    if not len(covered):
        return np.zeros_like(change)
    nearest = covered[np.abs(along[:, None] - along[covered]).argmin(axis=1)]
    far = np.abs(along - along[nearest]) / max(step, 1e-9)
    fade = np.where(far < 1.0, 0.5 * (1.0 + np.cos(np.pi * np.minimum(far, 1.0))), 0.0)
    return np.asarray(fade[:, None] * change[nearest])


def _extended(merged: Array, doubt: Array, points: Array, table: PlacedLine) -> tuple[Array, Array]:
    """With the table's places that lie beyond the ends of the line from pictures."""
    places = np.asarray(table.points)
    _, _, along = closest_on_polyline(places, points)
    whole = arc_lengths(points)[-1]
    # Farther than a small step beyond: the end itself is nobody's news.
    reach = 0.2 * whole / len(points) + 3.0 * float(np.max(table.sigma))
    ahead = np.linalg.norm(places - points[0], axis=1)
    behind = np.linalg.norm(places - points[-1], axis=1)
    before, after = (along <= 0.0) & (ahead > reach), (along >= whole) & (behind > reach)
    head = np.flatnonzero(before)[np.argsort(-ahead[before])]
    tail = np.flatnonzero(after)[np.argsort(behind[after])]
    sigma = np.asarray(table.sigma)
    return (
        np.vstack([places[head], merged, places[tail]]),
        np.concatenate([sigma[head], doubt, sigma[tail]]),
    )


def against_pictures(found: Sequence[TableAgainstPictures]) -> tuple[Finding, ...]:
    """A doubt for each line where a table and the pictures differ more than both explain."""
    return tuple(
        Finding(
            code="table-against-pictures",
            where=one.line,
            message=f"Table and pictures disagree about '{one.line}' by {one.most:.1f} mm at "
            f"x {one.most_at[0]:.0f}, y {one.most_at[1]:.0f}, z {one.most_at[2]:.0f} "
            f"({one.rms:.1f} mm rms), {one.most / one.doubt:.0f} times what both are sure to.",
            remedy="Measure that place again with a tape; leave out the one that is wrong.",
        )
        for one in sorted(found, key=lambda one: -one.most / one.doubt)
        if one.most > 3.0 * one.doubt + 0.1
    )
