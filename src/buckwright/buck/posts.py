"""Posts: straight rods from the inner frame to tacks, spread over the body."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from buckwright.buck.frame import member_bar
from buckwright.buck.rods import Rod
from buckwright.geometry.polyline import crossing_of_polylines
from buckwright.model.buck import BuckSpec, FrameMember, Post, Tack
from buckwright.tables.steel import rod_mass_per_mm

__all__ = [
    "SPACING",
    "Reach",
    "Target",
    "is_apart",
    "posts_of",
    "reaches_to",
    "spread",
    "targets_of",
]

Array = NDArray[np.float64]

SPACING = 350.0
"""mm between the wire ends of posts."""
SHORTEST, LONGEST = 15.0, 700.0
"""mm: shorter cannot be welded at both ends, longer bends under the hammer."""
SLANT = 0.5
"""A post stands within 60 degrees of the skin's normal and of square to the tube's face, and 30 or
more off the wire's direction."""
BESIDE = 2.0
"""Rod diameters between the tack of a butt and its post."""
TRIES = 6
"""Places on the frame, nearest first, from which a way to a tack is tried."""
FACES = ("front", "rear", "left", "right", "under", "upper")


@dataclass(frozen=True, slots=True, eq=False)
class Target:
    """A tack that a post may stand under: a place on the inner rod of the two."""

    rod: Rod
    point: Array
    normal: Array
    axis: Array


@dataclass(frozen=True, slots=True, eq=False)
class Reach:
    """A post that could be: from a member's face to the inner side of a rod."""

    member: str
    face: str
    target: Target
    start: Array
    end: Array
    off_square: float
    """rad between the post and the face's normal."""

    @property
    def length(self) -> float:
        """Along the post's axis, mm."""
        return float(np.linalg.norm(self.end - self.start))

    @property
    def direction(self) -> Array:
        """(3,) unit vector from frame to wire."""
        return np.asarray((self.end - self.start) / self.length)


def targets_of(rods: Sequence[Rod], tacks: Sequence[Tack], *, rod_diameter: float) -> list[Target]:
    """A target for each tack: on the inner rod, or at a butt on the one that goes through.

    At a butt it lies two diameters aside, so that the post clears the other rod's end, and never
    nearer than that to an end of its own rod.
    """
    named, aside = {rod.path.name: rod for rod in rods}, BESIDE * rod_diameter
    found = []
    for tack in tacks:
        pair = [(named[name], at) for name, at in zip(tack.wires, tack.at, strict=True)]
        rod, along = max(pair, key=lambda p: (p[0].layer, _from_ends(*p)))
        if pair[0][0].layer == pair[1][0].layer:
            along = _beside(rod, along, aside)
        elif not rod.path.closed:
            along = float(
                np.clip(along, min(aside, 0.5 * rod.length), max(rod.length - aside, 0.0))
            )
        at = np.interp([along], rod.along, rod.at)
        found.append(
            Target(
                rod=rod,
                point=rod.path.axis(at, rod.set_in)[0],
                normal=rod.path.outside(at)[1][0],
                axis=rod.path.directions(at, rod.set_in)[0],
            )
        )
    return found


def _beside(rod: Rod, along: float, aside: float) -> float:
    return along + aside if along + 2.0 * aside < rod.length else along - aside


def _from_ends(rod: Rod, along: float) -> float:
    return float("inf") if rod.path.closed else min(along, rod.length - along)


@dataclass(frozen=True, slots=True, eq=False)
class Footing:
    """Members on which posts may stand: those along an axis. `lows`, `highs` (k, 3)."""

    names: tuple[str, ...]
    lows: Array
    highs: Array
    along: NDArray[np.int64]

    @classmethod
    def of(cls, members: Sequence[FrameMember], section: float) -> "Footing":
        """The straight members' bodies; diagonals carry no posts."""
        straight = [member for member in members if member.role != "diagonal"]
        boxes = np.array([member_bar(m, section).box() for m in straight]).reshape(-1, 2, 3)
        spans = boxes[:, 1] - boxes[:, 0]
        along = np.argmax(spans, axis=1) if len(spans) else np.zeros(0, dtype=np.int64)
        return cls(tuple(m.name for m in straight), boxes[:, 0], boxes[:, 1], along)


def reaches_to(
    target: Target,
    spec: BuckSpec,
    footing: Footing,
    *,
    slant: float = SLANT,
    shifts: Sequence[float] = (0.0,),
) -> list[Reach]:
    """Posts of a fit length and slant to a target, shortest first.

    They stand whole on one of the four long faces of a member, at the place nearest to the
    target or `shifts` (mm) along from it. `slant` is the least cosine between post and the
    skin's normal.
    """
    found = []
    for face, shift in product(range(6), shifts):
        found += _on_face(face, target, spec, footing, slant, shift)
    return sorted(found, key=lambda reach: reach.length)


def _on_face(
    face: int, target: Target, spec: BuckSpec, footing: Footing, slant: float, shift: float
) -> list[Reach]:
    axis, sign = face // 2, 1.0 if face % 2 else -1.0
    radius, lows, highs = 0.5 * spec.rod_diameter, footing.lows, footing.highs
    wanted = target.point + shift * np.eye(3)[footing.along]
    start = np.clip(wanted, lows + radius, highs - radius)
    # A place that was shifted past an end would come twice.
    missed = np.abs(start - wanted)[np.arange(len(wanted)), footing.along]
    start[:, axis] = (highs if sign > 0.0 else lows)[:, axis]
    away = target.point - start
    square = np.einsum("nd,nd->n", away, away)
    length = np.sqrt(square)
    across = np.sqrt(np.maximum(square - (away @ target.axis) ** 2, 1e-12))
    fits = (footing.along != axis) & (length > SHORTEST + 2.0 * radius) & (length < LONGEST)
    fits &= (missed < 1e-9) | (shift == 0.0)
    fits &= sign * away[:, axis] >= SLANT * length
    fits &= (away @ target.normal >= slant * length) & (across >= SLANT * length)
    return [
        Reach(
            footing.names[k],
            FACES[face],
            target,
            start[k],
            # The post's own axis ends where it enters the wire.
            target.point - radius * away[k] / across[k],
            float(np.arccos(min(sign * away[k, axis] / length[k], 1.0))),
        )
        for k in np.flatnonzero(fits)
    ]


def spread(
    choices: Sequence[Sequence[Reach]],
    is_free: Callable[[Reach], bool],
    *,
    standing: Sequence[Reach] = (),
    apart: float,
) -> list[Reach]:
    """Posts to some of the targets, each next one to that farthest from those that stand.

    Parameters: for each target its possible posts, shortest first; whether one has its room;
    `standing` posts; `apart`, mm between the axes of two posts. A target that no post reaches
    is passed over. Posts end 350 mm apart at least.
    """
    if not choices:
        return []
    places = np.array([ways[0].target.point for ways in choices])
    gap = np.full(len(places), np.inf)
    for reach in standing:
        gap = np.minimum(gap, np.linalg.norm(places - reach.end, axis=1))
    far = np.linalg.norm(places - places.mean(axis=0), axis=1)
    chosen: list[Reach] = []
    while gap.max() >= SPACING:
        first = not standing and not chosen
        here = int(np.argmax(np.where(gap > 0.0, far, -1.0) if first else gap))
        gap[here] = 0.0
        others = [*standing, *chosen]
        for reach in choices[here][:TRIES]:
            clear = all(np.linalg.norm(reach.end - one.end) >= SPACING for one in others)
            if clear and all(is_apart(reach, one, apart) for one in others) and is_free(reach):
                chosen.append(reach)
                gap = np.minimum(gap, np.linalg.norm(places - reach.end, axis=1))
                break
    return chosen


def is_apart(first: Reach, second: Reach, apart: float) -> bool:
    """Whether the axes of two posts keep so many mm between them."""
    lines = [np.vstack([reach.start, reach.end]) for reach in (first, second)]
    low = np.maximum(lines[0].min(axis=0), lines[1].min(axis=0))
    high = np.minimum(lines[0].max(axis=0), lines[1].max(axis=0))
    if float((low - high).max()) >= apart:
        return True
    return crossing_of_polylines(lines[0], lines[1])[0] >= apart


def posts_of(reaches: Sequence[Reach], spec: BuckSpec) -> tuple[Post, ...]:
    """The posts, numbered from the front to the rear, with the angles of both ends."""
    mass = rod_mass_per_mm(spec.rod_diameter)
    ordered = sorted(reaches, key=lambda reach: (round(float(reach.end[0])), float(reach.end[1])))
    return tuple(_post(number, reach, mass) for number, reach in enumerate(ordered, 1))


def _post(number: int, reach: Reach, mass_per_mm: float) -> Post:
    cosine = min(abs(float(reach.direction @ reach.target.axis)), 1.0)
    return Post(
        name=f"post {number}",
        member=reach.member,
        wire=reach.target.rod.path.name,
        start=reach.start,
        end=reach.end,
        cut_length=reach.length,
        angle_at_wire_deg=float(np.degrees(np.arccos(cosine))),
        mass=reach.length * mass_per_mm,
        angle_at_member_deg=float(np.degrees(reach.off_square)),
        face=reach.face,
    )
