"""One rod that stands against what it should be: where it differs, and which way."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.polyline import arc_lengths, resample_polyline
from buckwright.geometry.polyline_locator import PolylineLocator
from buckwright.model.buck import BuiltWire, Stretch, Wire, WireChange

__all__ = ["change_of", "distance_between"]

Array = NDArray[np.float64]

Verdict = Literal["right", "trim", "move", "bend again"]

STEP = 2.0
"""mm between the places that are compared."""
SEPARATE = 40.0
"""mm of right rod between two stretches that are told apart."""
ROUNDS = 12
"""Of fitting what stands onto what it should be."""
WAYS = (("forward", "rearward"), ("to the left", "to the right"), ("down", "up"))
SMALL = 0.25
"""Share of the whole way below which a direction is not told."""


@dataclass(frozen=True, eq=False, slots=True)
class _Run:
    """A polyline closely sampled, with lengths along it."""

    points: Array
    along: Array
    closed: bool

    @property
    def locator(self) -> PolylineLocator:
        return PolylineLocator(self.points, self.along)


def _run(axis: Array, *, closed: bool) -> _Run:
    length = float(arc_lengths(axis, closed=closed)[-1])
    even = resample_polyline(axis, max(int(length / STEP), 8), closed=closed)
    points = np.vstack([even, even[:1]]) if closed else even
    return _Run(points, arc_lengths(points), closed)


def distance_between(stands: BuiltWire, wire: Wire) -> float:
    """Mean distance from the wire that is wanted to the one that stands, mm."""
    built, wanted = _run(stands.axis, closed=stands.closed), _run(wire.axis, closed=wire.closed)
    return float(built.locator.closest(wanted.points)[0].mean())


def change_of(stands: BuiltWire, wire: Wire, *, tolerance: float) -> WireChange:
    """What must be done to the rod that stands so that it is the wire; lengths along the rod."""
    built, wanted = _run(stands.axis, closed=stands.closed), _run(wire.axis, closed=wire.closed)
    low, high, trim = _common(built, wanted)
    inside = (built.along >= low - 1e-6) & (built.along <= high + 1e-6)
    points, along = built.points[inside], built.along[inside]
    gap, foot, _ = wanted.locator.closest(points)
    most = float(gap.max())
    stretches = _stretches(along, gap, foot - points, tolerance)
    ends_right = max(abs(trim[0]), abs(trim[1])) <= tolerance
    bent_most = most if most <= tolerance else _left_after_moving(points, wanted)
    verdict: Verdict
    if stands.diameter != wire.diameter:
        verdict, bent_most = "bend again", max(most, bent_most)
    elif most <= tolerance:
        verdict = "right" if ends_right else "trim"
    else:
        verdict = "move" if bent_most <= tolerance else "bend again"
    if min(trim) < -max(tolerance, 0.5 * wire.diameter):
        # A weld bead fills half a diameter; beyond that there is rod missing.
        verdict = "bend again"
    return WireChange(
        wire=wire.name,
        verdict=verdict,
        most=most,
        bent_most=bent_most,
        stretches=stretches,
        trim=trim,
        built_as=stands.name,
        words=_words(verdict, most, stretches, trim, tolerance, (stands.diameter, wire.diameter)),
    )


def _common(built: _Run, wanted: _Run) -> tuple[float, float, tuple[float, float]]:
    """Lengths along what stands between which both run, and how much it is too long at its ends."""
    if built.closed or wanted.closed:
        return 0.0, float(built.along[-1]), (0.0, 0.0)
    _, _, on_built = built.locator.closest(wanted.points[[0, -1]])
    _, _, on_wanted = wanted.locator.closest(built.points[[0, -1]])
    length, other = float(built.along[-1]), float(wanted.along[-1])
    low, high = sorted(float(value) for value in on_built)
    first, last = sorted(float(value) for value in on_wanted)
    missing = (first, other - last)
    if on_built[0] > on_built[1]:
        missing = missing[::-1]
    return low, high, (low - missing[0], length - high - missing[1])


def _stretches(along: Array, gap: Array, way: Array, tolerance: float) -> tuple[Stretch, ...]:
    off = np.flatnonzero(gap > tolerance)
    if not len(off):
        return ()
    parts = np.split(off, np.flatnonzero(np.diff(along[off]) > SEPARATE) + 1)
    found = []
    for part in parts:
        worst = int(part[np.argmax(gap[part])])
        start, end, at = float(along[part[0]]), float(along[part[-1]]), float(along[worst])
        most = float(gap[worst])
        found.append(
            Stretch(
                start=start,
                end=end,
                most=most,
                at=at,
                by=way[worst],
                words=f"from {start:.0f} to {end:.0f} mm along it, most at {at:.0f} mm: "
                f"{way_in_words(way[worst])}",
            )
        )
    return tuple(found)


def way_in_words(way: Array) -> str:
    """'18 mm up and 3 mm rearward', the largest part first, small parts left out."""
    size = float(np.linalg.norm(way))
    order = sorted(range(3), key=lambda k: -abs(float(way[k])))
    told = [k for k in order if abs(float(way[k])) >= SMALL * size]
    return " and ".join(f"{abs(float(way[k])):.1f} mm {WAYS[k][int(way[k] > 0.0)]}" for k in told)


def _left_after_moving(points: Array, wanted: _Run) -> float:
    """Greatest distance left when the points are shifted and turned onto the wire, mm.

    Closest points, round by round. Reference: Besl and McKay, 'A method for registration of 3-D
    shapes', IEEE PAMI 14 (1992), doi:10.1109/34.121791.
    """
    locator = wanted.locator
    moved = points + (wanted.points.mean(axis=0) - points.mean(axis=0))
    best = np.inf
    for start in (points, moved):
        here = start
        for _ in range(ROUNDS):
            gap, foot, _ = locator.closest(here)
            best = min(best, float(gap.max()))
            here = _laid_on(here, foot)
        best = min(best, float(locator.closest(here)[0].max()))
    return float(best)


def _laid_on(points: Array, target: Array) -> Array:
    """The points turned and shifted as near to their targets as they go, never mirrored."""
    centre, aim = points.mean(axis=0), target.mean(axis=0)
    u, _, vt = np.linalg.svd((points - centre).T @ (target - aim))
    flip = np.diag([1.0, 1.0, np.sign(np.linalg.det(u @ vt))])
    return np.asarray((points - centre) @ (u @ flip @ vt) + aim)


def _words(
    verdict: Verdict,
    most: float,
    stretches: tuple[Stretch, ...],
    trim: tuple[float, float],
    tolerance: float,
    diameters: tuple[float, float],
) -> str:
    ends = [
        f"{abs(by):.1f} mm {'too long' if by > 0.0 else 'too short'} at its {end}"
        for by, end in zip(trim, ("start", "end"), strict=True)
        if abs(by) > tolerance
    ]
    ending = f" It is {' and '.join(ends)}." if ends else ""
    if diameters[0] != diameters[1]:
        return (
            f"It was bent from {diameters[0]:g} mm rod and is wanted in {diameters[1]:g} mm: "
            "make it anew."
        )
    where = "; ".join(stretch.words for stretch in stretches)
    if verdict == "bend again" and most <= tolerance:
        return f"It is bent right.{ending} Weld a piece on, or make it anew."
    return {
        "right": f"It is right within {max(most, 0.1):.1f} mm: leave it.",
        "trim": f"It is bent right, within {max(most, 0.1):.1f} mm.",
        "move": f"It is bent right but stands up to {most:.1f} mm off: cut its tacks and set it "
        f"{where}.",
        "bend again": f"It is up to {most:.1f} mm off: bend it {where}.",
    }[verdict] + ending
