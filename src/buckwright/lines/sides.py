"""Left and right: which lines mirror which, and both sides brought together.

The centre plane is y = 0. A line is one of a pair, its own mirror image (an arch over the whole
width), a centre line that lies in the centre plane, single, or a datum line.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.polyline import arc_lengths, closest_on_polyline
from buckwright.model.lines import LineSpec, PlacedLine

__all__ = ["MIRROR", "SidedLine", "as_sided", "mirror_gap", "mirror_names", "reads_as_mirror"]

Array = NDArray[np.float64]

MIRROR = np.array([1.0, -1.0, 1.0])
"""A point times this is its mirror image in the centre plane."""

ALIKE_REACH = 100.0
"""mm along a line over which errors of a hand's trace fade, at full size."""

Kind = Literal["pair", "self", "centre", "single", "datum"]


@dataclass(frozen=True, eq=False, slots=True)
class SidedLine:
    """What is faired once and drawn on both sides: of a pair the left line, else the line."""

    kind: Kind
    placed: PlacedLine
    """Points of both sides brought together on this one."""
    partner: str | None
    """Name of the other line of a pair."""
    sources: tuple[PlacedLine, ...]
    """The lines as measured."""
    differ: float
    """mm rms between both sides; 0 where there is one side only."""
    tolerance: float

    @property
    def share(self) -> float:
        """Weight in a network in which a pair counts once and a whole line is cut in half."""
        return 0.5 if self.kind in ("self", "centre") else 1.0


def mirror_names(specs: tuple[LineSpec, ...]) -> dict[str, str]:
    """Each line that has a mirror partner, and its name; both ways even if said only once."""
    names = {spec.name: spec.mirror for spec in specs if spec.mirror is not None}
    both = dict(names)
    for name, other in names.items():
        if both.setdefault(other, name) != name:
            message = f"'{name}' and '{both[other]}' both name '{other}' as their mirror image"
            raise ValueError(message)
    return both


def mirror_gap(line: Array, other: Array, *, closed: bool) -> Array:
    """(n,) mm from each point of a line to the mirror image of the other."""
    gap, _, _ = closest_on_polyline(line, other * MIRROR, closed=closed)
    return gap


def reads_as_mirror(points: Array, *, closed: bool) -> bool:
    """Whether a line is plainly meant to be its own mirror image (or to lie in the plane)."""
    size = float(np.ptp(points, axis=0).max())
    gap = mirror_gap(points, points, closed=closed)
    return bool(np.sqrt(np.mean(gap**2)) < 0.03 * size)


def as_sided(placed: tuple[PlacedLine, ...], specs: tuple[LineSpec, ...]) -> tuple[SidedLine, ...]:
    """Every line once, both sides brought together, in the order of `placed`.

    Of a pair of which one side only was measured the other is taken as its mirror image.
    """
    by_name = {line.name: line for line in placed}
    spec_of = {spec.name: spec for spec in specs}
    mirrors = mirror_names(specs)
    done: set[str] = set()
    found = []
    for line in placed:
        if line.name in done or line.name not in spec_of:
            continue
        partner = mirrors.get(line.name)
        sided = _sided(line, spec_of[line.name], partner, by_name)
        done |= {line.name, partner or line.name}
        found.append(sided)
    return tuple(found)


def _sided(
    line: PlacedLine, spec: LineSpec, partner: str | None, by_name: dict[str, PlacedLine]
) -> SidedLine:
    points = np.asarray(line.points)
    if spec.use == "datum":
        return SidedLine("datum", line, None, (line,), 0.0, spec.tolerance)
    if partner is not None and partner != line.name:
        return _pair(line, spec, partner, by_name.get(partner))
    if _in_centre_plane(line, spec.tolerance):
        flat = PlacedLine(
            name=line.name, points=points * [1.0, 0.0, 1.0], sigma=line.sigma, closed=line.closed
        )
        off = float(np.sqrt(np.mean(points[:, 1] ** 2)))
        return SidedLine("centre", flat, None, (line,), 2.0 * off, spec.tolerance)
    if partner == line.name or reads_as_mirror(points, closed=line.closed):
        return _own_mirror(line, spec)
    return SidedLine("single", line, None, (line,), 0.0, spec.tolerance)


def _in_centre_plane(line: PlacedLine, tolerance: float) -> bool:
    off = np.abs(np.asarray(line.points)[:, 1])
    return bool(np.all(off <= 6.0 * np.asarray(line.sigma) + tolerance + 1e-6))


def _mirrored(line: PlacedLine, name: str) -> PlacedLine:
    return PlacedLine(
        name=name, points=np.asarray(line.points) * MIRROR, sigma=line.sigma, closed=line.closed
    )


def _pair(line: PlacedLine, spec: LineSpec, partner: str, other: PlacedLine | None) -> SidedLine:
    """The left line of the pair, with the right one's points brought over."""
    is_left = float(np.mean(np.asarray(line.points)[:, 1])) <= 0.0
    if other is None:
        return SidedLine("pair", line, partner, (line,), 0.0, spec.tolerance)
    left, right = (line, other) if is_left else (other, line)
    joined, differ = _joined(left, _mirrored(right, left.name))
    return SidedLine("pair", joined, right.name, (left, right), differ, spec.tolerance)


def _joined(line: PlacedLine, other: PlacedLine) -> tuple[PlacedLine, float]:
    """Points of `line`, each averaged by weight with the nearest of `other`, and the rms gap.

    Where `other` reaches beyond an end of `line`, its own points are added there; where it stops
    short, the points of `line` stand alone.
    """
    points, theirs = np.asarray(line.points), np.asarray(other.points)
    gap, near, along = closest_on_polyline(points, theirs, closed=line.closed)
    lengths = arc_lengths(theirs, closed=line.closed)
    sigmas = np.append(other.sigma, other.sigma[:1]) if line.closed else np.asarray(other.sigma)
    weight = 1.0 / np.asarray(line.sigma) ** 2
    weight_there = 1.0 / np.interp(along, lengths, sigmas) ** 2
    alone = np.zeros(len(points), dtype=bool)
    if not line.closed:
        alone = (along <= 1e-9) | (along >= lengths[-1] - 1e-9)
    weight_there = np.where(alone, 0.0, weight_there)
    total = weight + weight_there
    mean = (weight[:, None] * points + weight_there[:, None] * near) / total[:, None]
    sigma = 1.0 / np.sqrt(total)
    differ = float(np.sqrt(np.mean(gap[~alone] ** 2))) if np.any(~alone) else float(gap.max())
    if not line.closed:
        mean, sigma = _with_ends(mean, sigma, points, other)
    return PlacedLine(name=line.name, points=mean, sigma=sigma, closed=line.closed), differ


def _with_ends(mean: Array, sigma: Array, points: Array, other: PlacedLine) -> tuple[Array, Array]:
    """The averaged points with those of `other` beyond both ends of `points`."""
    theirs = np.asarray(other.points)
    _, _, along = closest_on_polyline(theirs, points)
    length = arc_lengths(points)[-1]
    before = np.flatnonzero(along <= 1e-9)
    after = np.flatnonzero(along >= length - 1e-9)
    spacing = 0.5 * length / len(points)
    for beyond, end, at_start in ((before, points[0], True), (after, points[-1], False)):
        away = np.linalg.norm(theirs[beyond] - end, axis=1)
        order = beyond[np.argsort(away)][np.sort(away) > spacing]
        if at_start:
            order = order[::-1]
            mean = np.vstack([theirs[order], mean])
            sigma = np.concatenate([np.asarray(other.sigma)[order], sigma])
        else:
            mean = np.vstack([mean, theirs[order]])
            sigma = np.concatenate([sigma, np.asarray(other.sigma)[order]])
    return mean, sigma


def _own_mirror(line: PlacedLine, spec: LineSpec) -> SidedLine:
    """The line with its points exactly symmetric: the left half and its mirror image.

    A closed line starts on the centre plane.
    """
    joined, differ = _joined(line, _mirrored(line, line.name))
    points = np.asarray(joined.points)
    # Near the plane both halves are the same measurement, and their mean is no surer than one.
    alike = np.exp(-0.5 * (2.0 * points[:, 1] / ALIKE_REACH) ** 2)
    sigma = np.asarray(joined.sigma) * np.sqrt(1.0 + alike)
    if line.closed:
        points, sigma = _closed_half(points, sigma)
    else:
        points, sigma = _open_half(points, sigma)
    whole = PlacedLine(name=line.name, points=points, sigma=sigma, closed=line.closed)
    return SidedLine("self", whole, None, (line,), differ, spec.tolerance)


def _open_half(points: Array, sigma: Array) -> tuple[Array, Array]:
    if points[0, 1] > points[-1, 1]:
        points, sigma = points[::-1], sigma[::-1]
    along = arc_lengths(points)
    crossings = np.flatnonzero((points[:-1, 1] < 0.0) & (points[1:, 1] >= 0.0))
    middle = int(crossings[np.argmin(np.abs(along[crossings] - 0.5 * along[-1]))])
    step = along[-1] / len(along)
    left = np.flatnonzero((np.arange(len(points)) <= middle) & (points[:, 1] < -0.25 * step))
    half, half_sigma = points[left], sigma[left]
    return (
        np.vstack([half, half[::-1] * MIRROR]),
        np.concatenate([half_sigma, half_sigma[::-1]]),
    )


def _closed_half(points: Array, sigma: Array) -> tuple[Array, Array]:
    following, next_sigma = np.roll(points, -1, axis=0), np.roll(sigma, -1)
    enters = int(np.flatnonzero((points[:, 1] >= 0.0) & (following[:, 1] < 0.0))[0])
    turned = np.roll(points, -enters - 1, axis=0)
    turned_sigma = np.roll(sigma, -enters - 1)
    leaves = int(np.flatnonzero(turned[:, 1] >= 0.0)[0])

    def on_plane(a: Array, b: Array) -> Array:
        point = a + a[1] / (a[1] - b[1]) * (b - a)
        return np.array([point[0], 0.0, point[2]])

    first = on_plane(points[enters], following[enters])
    last = on_plane(turned[leaves - 1], turned[leaves])
    half, half_sigma = turned[:leaves], turned_sigma[:leaves]
    ends = np.array([next_sigma[enters], turned_sigma[leaves]])
    return (
        np.vstack([first, half, last, half[::-1] * MIRROR]),
        np.concatenate([ends[:1], half_sigma, ends[1:], half_sigma[::-1]]),
    )
