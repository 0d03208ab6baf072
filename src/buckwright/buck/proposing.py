"""Wires that the lines and the two rules of spacing ask for."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.buck.spacing import (
    Course,
    bays_of,
    course_of,
    crossings_of,
    gaps_between,
    probes_on,
    section_lines,
    section_table,
    widest_gap,
    worst_first,
)
from buckwright.buck.wires import Ground, paths_of_wire
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.polyline import arc_lengths
from buckwright.model.buck import Bay, BuckSpec, ProposedWire, WireSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin, SkinRegion

__all__ = ["Proposals", "propose_from", "propose_wires"]

Array = NDArray[np.float64]

ROUNDS = 12
ROUND_TO = 10.0
"""mm: planes lie at round numbers, which are easily marked out."""
SLACK = 1.2
"""A bay that breaks a limit by less than a fifth is shown, but gets no wire of its own."""
APART = 0.35
"""Share of the width of a bay within which a plane of the same region serves it as well."""
CREASED = 0.18
"""Tangent of half the angle between the normals of two regions: 20 degrees make a crease."""
Axis = Literal["x", "y", "z"]
LETTERS: tuple[Axis, Axis, Axis] = ("x", "y", "z")
KINDS: dict[Axis, str] = {"x": "station", "y": "buttock", "z": "level"}


@dataclass(frozen=True, slots=True)
class Proposals:
    """What is proposed, the bays as they are, and as they are with all of it in place."""

    proposed: tuple[ProposedWire, ...]
    bays: tuple[Bay, ...]
    after: tuple[Bay, ...]


def propose_wires(network: LineNetwork, skin: Skin, spec: BuckSpec) -> Proposals:
    """Wires to add to those of the spec, which may have none yet.

    First every line that bounds, crosses or opens a region and has no wire. Then sections at
    stations, buttocks and levels: each bay that breaks a rule is divided evenly into as few parts
    as meet both, the worst bay first. Cost: under half a second for a body of 15,000 vertices.
    """
    ground = Ground.under(skin, spec)
    courses = []
    for wire in spec.wires:
        courses += [course_of(path) for path in paths_of_wire(wire, network, ground)]
    return propose_from(network, ground, spec, courses)


def propose_from(
    network: LineNetwork, ground: Ground, spec: BuckSpec, courses: Sequence[Course]
) -> Proposals:
    """As `propose_wires`, for wires whose courses are known; right ones need not be given."""
    lines = _lines_without_wire(network, ground, spec)
    every = list(courses)
    for each in lines:
        every += [course_of(path) for path in paths_of_wire(each.wire, network, ground)]
    names = {wire.name for wire in (*spec.wires, *(each.wire for each in lines))}
    bays: list[Bay] = []
    after: list[Bay] = []
    proposed = list(lines)
    for region, mesh in ground.meshes:
        search = _Search(region, mesh, every, spec, names)
        before = search.bays
        if lines:
            known = gaps_between(search.probes, crossings_of(search.probes, courses))
            before = bays_of(known, spec)
        bays += before
        search.divide()
        proposed += [_proposed(cut, search.bays) for cut in search.cuts]
        after += search.bays
    return Proposals(tuple(proposed), worst_first(bays, spec), worst_first(after, spec))


def _lines_without_wire(
    network: LineNetwork, ground: Ground, spec: BuckSpec
) -> tuple[ProposedWire, ...]:
    taken = {wire.line for wire in spec.wires}
    names = {wire.name for wire in spec.wires}
    known = {line.name for line in network.lines}
    found: list[ProposedWire] = []
    for region, mesh in ground.meshes:
        for line, role in _roles(region).items():
            if line in taken or line not in known:
                continue
            taken.add(line)
            why = _why_of_line(role, line, region, ground, mesh.normals)
            wire = WireSpec(name=_free_name(line, names), region=region.name, line=line)
            found.append(ProposedWire(wire=wire, why="line", reason=why))
            names.add(wire.name)
    return tuple(found)


Role = Literal["boundary", "opening", "shut line", "line"]


def _roles(region: SkinRegion) -> dict[str, Role]:
    roles: dict[str, Role] = {}
    for track in region.boundary:
        roles.setdefault(track.line, "boundary")
    for track in region.holes:
        roles.setdefault(track.line, "opening")
    for track in region.inner:
        roles.setdefault(track.line, "shut line" if track.closed else "line")
    return roles


def _why_of_line(role: Role, line: str, region: SkinRegion, ground: Ground, normals: Array) -> str:
    if role == "opening":
        return f"It edges an opening in '{region.name}': the metal ends on it."
    if role == "shut line":
        return f"It closes on itself on '{region.name}', a shut line: a part opens along it."
    if role == "line":
        return f"It is a line of '{region.name}' that the shape is read by."
    others = [
        other.name
        for other, _ in ground.meshes
        if other.name != region.name and any(track.line == line for track in other.boundary)
    ]
    if not others:
        return f"It is a free edge of '{region.name}'."
    vertices = np.concatenate([t.vertices for t in region.boundary if t.line == line])
    leans, meets = ground.creases.leans(region, region.vertices[vertices], normals[vertices])
    bent = np.einsum("nd,nd->n", leans, normals[vertices])
    turn = np.linalg.norm(leans - bent[:, None] * normals[vertices], axis=1)
    kind = "crease" if meets.any() and float(np.median(turn[meets])) > CREASED else "join"
    return f"It is the {kind} where '{region.name}' meets '{others[0]}'."


def _free_name(wanted: str, names: set[str]) -> str:
    name, number = wanted, 2
    while name in names:
        name, number = f"{wanted} ({number})", number + 1
    return name


@dataclass(frozen=True, slots=True)
class _Cut:
    """A wire that is to divide a bay, and its plane."""

    plane: tuple[Axis, float]
    wire: WireSpec
    before: Bay


class _Search:
    """Sections that divide the bays of one region until both rules are met.

    Stiffness first, for a rod's span is shortened in one way only. Then shape, which either way
    across a bay can hold: each time the bays that take the fewest wires, until none is left.
    """

    def __init__(
        self,
        region: SkinRegion,
        mesh: CurvedMesh,
        courses: Sequence[Course],
        spec: BuckSpec,
        names: set[str],
    ) -> None:
        self._region, self._mesh, self._spec, self._names = region, mesh, spec, names
        self._table = section_table(mesh)
        self.probes = probes_on(region, mesh)
        self._crossings = crossings_of(self.probes, courses)
        self._gaps = gaps_between(self.probes, self._crossings)
        self.bays = bays_of(self._gaps, spec)
        self.cuts: list[_Cut] = []

    def divide(self) -> None:
        """Find the cuts, and the bays with them in place."""
        for wanted in (self._stiffness_cuts, self._shape_cuts):
            for _ in range(ROUNDS):
                new = wanted()
                if not new:
                    break
                self._put_in(new)

    def _put_in(self, new: Sequence[_Cut]) -> None:
        courses = []
        for cut in new:
            axis, value = cut.plane
            lines = section_lines(self._table, self._mesh.triangles, LETTERS.index(axis), value)
            courses += [Course(cut.wire.name, points) for points, _ in lines]
        self.cuts += new
        for known, more in zip(self._crossings, crossings_of(self.probes, courses), strict=True):
            known += more
        self._gaps = gaps_between(self.probes, self._crossings)
        self.bays = bays_of(self._gaps, self._spec)

    def _stiffness_cuts(self) -> list[_Cut]:
        """Cuts of the worst bays; of bays that lie over each other on an axis the worse first."""
        found: list[_Cut] = []
        spans: list[tuple[int, float, float]] = []
        for bay in self.bays:
            share = bay.deflection / self._spec.push_limit
            if share <= SLACK:
                continue
            gap, axis = widest_gap(self._gaps, bay), self._axis_of(bay)
            low, high = sorted(map(float, gap.points[[0, -1], axis]))
            if any(k == axis and low < top and bottom < high for k, bottom, top in spans):
                continue
            cuts = self._cuts_of(bay, ceil(np.cbrt(share / SLACK)), found)
            spans += [(axis, low, high)] if cuts else []
            found += cuts
        return found

    def _shape_cuts(self) -> list[_Cut]:
        allowed = SLACK * self._spec.sagitta_limit
        loose = [
            (ceil(sqrt(bay.sagitta / allowed)), self._axis_of(bay), bay)
            for bay in self.bays
            if bay.held_sagitta > allowed
        ]
        for parts, axis in dict.fromkeys(
            (parts, axis) for parts, axis, _ in sorted(loose, key=lambda item: item[0])
        ):
            found: list[_Cut] = []
            for other, its, bay in loose:
                if (other, its) == (parts, axis):
                    found += self._cuts_of(bay, parts, found)
            if found:
                return found
        return []

    def _axis_of(self, bay: Bay) -> int:
        gap = widest_gap(self._gaps, bay)
        return int(np.argmax(np.abs(gap.way)))

    def _cuts_of(self, bay: Bay, parts: int, also: Sequence[_Cut]) -> list[_Cut]:
        """Planes that divide the bay evenly, but for those that stand near enough already."""
        parts = max(parts, 2)
        gap, axis = widest_gap(self._gaps, bay), self._axis_of(bay)
        along = arc_lengths(gap.points)
        marks = along[-1] * np.arange(1, parts) / parts
        values = np.round(np.interp(marks, along, gap.points[:, axis]) / ROUND_TO) * ROUND_TO
        letter = LETTERS[axis]
        found: list[_Cut] = []
        for value in map(float, values):
            near = APART * bay.width / parts
            there = (c.plane for c in (*self.cuts, *also, *found))
            if any(axis_ == letter and abs(value - at) < near for axis_, at in there):
                continue
            name = _free_name(_name_of(self._region.name, letter, value), self._names)
            self._names.add(name)
            found.append(
                _Cut((letter, value), _section_wire(name, self._region, letter, value), bay)
            )
        return found


def _section_wire(name: str, region: SkinRegion, axis: Axis, value: float) -> WireSpec:
    return WireSpec(name=name, region=region.name, plane=(axis, value))


def _name_of(region: str, axis: Axis, value: float) -> str:
    side = "" if axis != "y" or not value else " left" if value < 0.0 else " right"
    return f"{region} {KINDS[axis]} {abs(value):g}{side}"


def _proposed(cut: _Cut, bays: Sequence[Bay]) -> ProposedWire:
    before = cut.before
    why: Literal["sagitta", "deflection", "both"] = "both"
    if before.shape_held:
        why = "deflection"
    elif before.stiff:
        why = "sagitta"
    after = tuple(bay for bay in bays if cut.wire.name in bay.wires)
    return ProposedWire(
        wire=cut.wire,
        why=why,
        reason=f"It divides the bay between '{before.wires[0]}' and '{before.wires[1]}'. "
        f"{before.words}",
        before=before,
        after=after,
    )
