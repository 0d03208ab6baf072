"""How well the skin between neighbouring wires is held: two values for every bay.

Shape: the sagitta, how far the skin stands off the straight from wire to wire, measured on the
skin itself; an arc of radius R over a length L has s = L^2 / 8 R. Metal keeps its shape where the
sagitta is small along one of the two ways across a bay.
Stiffness: a rod that lies across the bay is held at both its sides and pushed in the middle by
a hand; F L^3 / 48 E I, the beam on two simple supports (Shigley, 'Mechanical Engineering Design',
table A-9, case 5; Roark, 'Formulas for Stress and Strain', straight beams, both ends simply
supported). Real rods run on over their tacks and are arched, so that they give less.

The skin is probed along planes of constant x, y and z; a bay is what lies between two wires that
follow each other along a probe, where it runs across both.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import pi

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.buck.paths import Path
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.mesh import section_mesh
from buckwright.geometry.polyline import arc_lengths
from buckwright.geometry.polyline_locator import PolylineLocator
from buckwright.model.buck import Bay, BuckSpec
from buckwright.model.skin import SkinRegion
from buckwright.tables.steel import YOUNG_MODULUS

__all__ = [
    "Course",
    "Crossing",
    "Gap",
    "Probe",
    "bays_of",
    "course_of",
    "crossings_of",
    "gaps_between",
    "probes_on",
    "push_deflection",
    "section_lines",
    "section_table",
    "widest_gap",
    "worst_first",
]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

PROBE = 120.0
"""mm between probes of one axis, at most."""
ON_SKIN = 6.0
"""mm that a wire's own curve may seem to lie off a probe which it crosses."""
SQUARE = 0.7
"""Least sine of the angle at which a probe crosses both wires of a bay that it measures."""
PASSES = 0.26
"""Least sine at which a wire is seen to cross a probe at all."""
SHORT = 20.0
"""mm: wires nearer than this to each other leave no bay."""
COURSE_STEP = 10.0


def push_deflection(length: float, *, diameter: float, force: float) -> float:
    """Deflection of a round steel rod pushed midway between two simple supports, mm.

    Parameters: mm between the supports, mm, N. Returns F L^3 / (48 E I), I = pi d^4 / 64.
    """
    second_moment = pi * diameter**4 / 64.0
    return force * length**3 / (48.0 * YOUNG_MODULUS * second_moment)


@dataclass(frozen=True, eq=False, slots=True)
class Course:
    """Where a piece of a wire runs on the outside of the skin: points (n, 3).

    `name` is the wire's as it was asked for; of a closed one the first point ends it too.
    """

    name: str
    points: Array


@dataclass(frozen=True, eq=False, slots=True)
class Probe:
    """A stretch of a region's section at a plane: points (n, 3) on the smooth skin.

    `graze` (n,) is the sine of the angle between plane and skin's normal: 0 where the plane
    stands square on the skin, 1 where it only touches it.
    """

    region: str
    axis: int
    value: float
    points: Array
    graze: Array
    locator: PolylineLocator


@dataclass(frozen=True, eq=False, slots=True)
class Crossing:
    """Where a wire crosses a probe: its name, distance along, point (3,), sine of the angle."""

    wire: str
    along: float
    point: Array
    sine: float


@dataclass(frozen=True, eq=False, slots=True)
class Gap:
    """The stretch of a probe between two wires: points (n, 3) from one to the other."""

    wires: tuple[str, str]
    probe: Probe
    points: Array
    width: float
    sagitta: float
    square: bool
    """Whether the probe measures the bay: square enough on the skin and across both wires."""

    @property
    def middle(self) -> Array:
        """(3,) its point halfway."""
        return np.asarray(self.points[len(self.points) // 2])

    @property
    def way(self) -> Array:
        """(3,) unit vector from wire to wire."""
        step = self.points[-1] - self.points[0]
        return np.asarray(step / np.linalg.norm(step))


def course_of(path: Path) -> Course:
    """The course of a wire's path."""
    count = max(int((path.end - path.start) / COURSE_STEP), 8)
    points, _ = path.outside(np.linspace(path.start, path.end, count + 1))
    return Course(path.spec.name, points)


def probes_on(region: SkinRegion, mesh: CurvedMesh) -> tuple[Probe, ...]:
    """The probes of a region."""
    low, high = region.vertices.min(axis=0), region.vertices.max(axis=0)
    surface = section_table(mesh)
    probes = []
    for axis in range(3):
        # An even number of planes, none on the middle where a line of symmetry may run.
        count = 2 * max(int(np.ceil((high[axis] - low[axis]) / (2.0 * PROBE))), 1)
        for k in range(count):
            value = float(low[axis] + (k + 0.5) * (high[axis] - low[axis]) / count)
            for points, normals in section_lines(surface, mesh.triangles, axis, value):
                locator = PolylineLocator(points, arc_lengths(points))
                graze = np.abs(normals[:, axis])
                probes.append(Probe(region.name, axis, value, points, graze, locator))
    return tuple(probes)


def section_table(mesh: CurvedMesh) -> Array:
    """(n, 7) for `section_lines`: vertices, their normals, and the products of the two."""
    products = np.einsum("nd,nd->n", mesh.vertices, mesh.normals)
    return np.column_stack([mesh.vertices, mesh.normals, products])


def section_lines(
    surface: Array, triangles: Index, axis: int, value: float
) -> list[tuple[Array, Array]]:
    """Polylines (n, 3) of the smooth skin's section at a plane, and its normals (n, 3).

    A closed one ends where it starts. The flat section is cut with vertices, normals and their
    products interpolated along the edges: over an edge v from a to b the skin rises by
    t (1 - t) v . (n_b - n_a) / 2, which is half of what the product has over that of the means.
    """
    above = (surface[:, axis] >= value)[triangles].sum(axis=1)
    cut = triangles[(above > 0) & (above < 3)]
    unit = np.eye(7)[axis]
    lines = []
    for line, closed in section_mesh(surface, cut, origin=value * unit, normal=unit):
        if len(line) < 4:
            continue
        table = np.vstack([line, line[:1]]) if closed else line
        points, means = table[:, :3], table[:, 3:6]
        normals = means / np.linalg.norm(means, axis=1, keepdims=True)
        rise = 0.5 * (table[:, 6] - np.einsum("nd,nd->n", points, means))
        lines.append((points + rise[:, None] * normals, normals))
    return lines


def crossings_of(probes: Sequence[Probe], courses: Sequence[Course]) -> list[list[Crossing]]:
    """For each probe where the courses cross it, in no order."""
    starts = np.vstack([np.zeros((0, 3)), *(course.points[:-1] for course in courses)])
    steps = np.vstack([np.zeros((0, 3)), *(np.diff(c.points, axis=0) for c in courses)])
    owner = np.repeat(np.arange(len(courses)), [len(course.points) - 1 for course in courses])
    size = np.maximum(np.linalg.norm(steps, axis=1), 1e-12)
    found: list[list[Crossing]] = []
    for probe in probes:
        off, slope = starts[:, probe.axis] - probe.value, steps[:, probe.axis]
        hit = np.flatnonzero((off < 0.0) != (off + slope < 0.0))
        here: list[Crossing] = []
        found.append(here)
        if not len(hit):
            continue
        points = starts[hit] - (off[hit] / slope[hit])[:, None] * steps[hit]
        sine = np.abs(slope[hit]) / size[hit]
        distance, _, along = probe.locator.closest(points)
        for k in np.flatnonzero((distance < ON_SKIN) & (sine > PASSES)):
            name = courses[owner[hit[k]]].name
            here.append(Crossing(name, float(along[k]), points[k], float(sine[k])))
    return found


def gaps_between(probes: Sequence[Probe], crossings: Sequence[Sequence[Crossing]]) -> list[Gap]:
    """Gaps between wires that follow each other along the probes."""
    gaps = []
    for probe, every in zip(probes, crossings, strict=True):
        along = probe.locator.along
        for a, b in pairwise(sorted(every, key=lambda crossing: crossing.along)):
            if b.along - a.along < SHORT:
                continue
            inside = (along > a.along + 1e-6) & (along < b.along - 1e-6)
            line = np.vstack([a.point, probe.points[inside], b.point])
            pair = (a.wire, b.wire) if a.wire < b.wire else (b.wire, a.wire)
            grazes = probe.graze[inside].max(initial=0.0) > SQUARE
            square = min(a.sine, b.sine) >= SQUARE and not grazes
            gaps.append(Gap(pair, probe, line, b.along - a.along, _sagitta(line), square))
    return gaps


def _sagitta(line: Array) -> float:
    chord = line[-1] - line[0]
    chord = chord / np.linalg.norm(chord)
    off = line - line[0]
    off = off - (off @ chord)[:, None] * chord
    return float(np.linalg.norm(off, axis=1).max())


def bays_of(gaps: Sequence[Gap], spec: BuckSpec) -> tuple[Bay, ...]:
    """The bays that the gaps of one region belong to, with both rules, worst first."""
    held = _held_sagittas(gaps)
    groups: dict[tuple[str, str], list[int]] = {}
    for number, gap in enumerate(gaps):
        if gap.square:
            groups.setdefault(gap.wires, []).append(number)
    bays = [_bay([gaps[k] for k in group], held[group], spec) for group in groups.values()]
    return worst_first(bays, spec)


def worst_first(bays: Sequence[Bay], spec: BuckSpec) -> tuple[Bay, ...]:
    """The bays, those first that are farthest beyond a limit."""
    return tuple(sorted(bays, key=lambda bay: -_badness(bay, spec)))


def widest_gap(gaps: Sequence[Gap], bay: Bay) -> Gap:
    """The widest gap of a bay of the same region."""
    own = (gap for gap in gaps if gap.square and gap.wires == bay.wires)
    return max(own, key=lambda gap: gap.width)


def _badness(bay: Bay, spec: BuckSpec) -> float:
    return max(bay.held_sagitta / spec.sagitta_limit, bay.deflection / spec.push_limit)


def _held_sagittas(gaps: Sequence[Gap]) -> Array:
    """(n,) the lesser of the sagitta of each gap and of the one that crosses nearest its middle.

    One that runs aslant is taken only for want of a square one: it is longer than the bay that
    it crosses, and so on the safe side.
    """
    own = np.array([gap.sagitta for gap in gaps])
    if not len(gaps):
        return own
    middles = np.array([gap.middle for gap in gaps])
    ways = np.array([gap.way for gap in gaps])
    axes = np.array([gap.probe.axis for gap in gaps])
    aslant = np.array([0.0 if gap.square else 2.0 * PROBE for gap in gaps])
    points = np.vstack([gap.points[1:-1] for gap in gaps])
    owner = np.repeat(np.arange(len(gaps)), [len(gap.points) - 2 for gap in gaps])
    held = own.copy()
    for number, near in enumerate(cKDTree(points).query_ball_point(middles, PROBE)):
        crossing = np.abs(ways[owner[near]] @ ways[number]) < SQUARE
        crossing &= axes[owner[near]] != axes[number]
        if not crossing.any():
            continue
        places = np.array(near)[crossing]
        distance = np.linalg.norm(points[places] - middles[number], axis=1)
        best = owner[places[np.argmin(distance + aslant[owner[places]])]]
        held[number] = min(own[number], own[best])
    return held


def _bay(gaps: Sequence[Gap], held: Array, spec: BuckSpec) -> Bay:
    widest = max(gaps, key=lambda gap: gap.width)
    bent = max(gaps, key=lambda gap: gap.sagitta)
    deflection = push_deflection(widest.width, diameter=spec.rod_diameter, force=spec.hand_push)
    radius = bent.width**2 / (8.0 * bent.sagitta) if bent.sagitta > 1e-3 else 0.0
    most_held = float(held.max())
    words = (
        f"The skin stands {bent.sagitta:.1f} mm off the straight between them, {most_held:.1f} mm "
        f"with the wires that cross counted ({spec.sagitta_limit:g} mm are allowed); a rod across "
        f"the {widest.width:.0f} mm gives {deflection:.1f} mm under {spec.hand_push:g} N "
        f"({spec.push_limit:g} mm are allowed)."
    )
    return Bay(
        wires=widest.wires,
        region=widest.probe.region,
        width=widest.width,
        place=widest.middle,
        sagitta=bent.sagitta,
        radius=radius,
        held_sagitta=most_held,
        deflection=deflection,
        shape_held=most_held <= spec.sagitta_limit,
        stiff=deflection <= spec.push_limit,
        words=words,
    )
