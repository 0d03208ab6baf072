"""What was found on the map, as regions with names, sides, outsides and reasons."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckwright.model.creases import CreaseSpec
from buckwright.model.fields import FieldChoice, FoundRegion, PlacedFinding
from buckwright.model.finding import told_place
from buckwright.model.lines import LineSpec
from buckwright.model.skin import RegionSpec
from buckwright.skin.line_map import LineMap, Territory
from buckwright.skin.naming import found_name, told_apart
from buckwright.skin.walls import ON_PLANE, Walls

__all__ = ["Land", "said_by_hand", "told_regions"]

Array = NDArray[np.float64]

ROOM = 0.2
"""Share of a boundary's size that what lies on it may stick out of the boundary's box."""
FLAT = 0.02
"""Share of its size by which a region must bulge to tell its outside."""

SAME = 100.0
"""mm by which the middle of a field may have moved since the hand said something about it."""
DOWN = -0.8
"""z of the outward direction of an opening below."""


@dataclass(frozen=True, slots=True)
class Land:
    """A territory, and what is known of it."""

    ground: Territory
    metal: bool
    walls: Walls
    divided: bool
    """Whether it was cut out of a ring round an opening."""
    holes: tuple[tuple[str, ...], ...] = ()
    """The lines round each opening in it that touches no other line, in order."""
    laid: tuple[str, ...] = ()
    """Lines on it that touch no other."""
    twin: bool = False
    """Whether it stands for its mirror image too."""
    said: bool = False
    """Whether the hand said that it is metal, or open."""

    def boundary(self) -> tuple[str, ...]:
        """Lines round it in order, each as often as the way round comes back to it."""
        names = [piece[0] for piece, _ in self.ground.loops[0]] if self.ground.loops else []
        runs = [n for k, n in enumerate(names) if n != names[k - 1]]
        return tuple(runs or names[:1])

    def inner(self, lines: LineMap) -> tuple[str, ...]:
        """Lines on it, in the order of the network."""
        on = {name for name, _ in self.ground.inner}
        return (*(name for name in lines.samples.arcs if name in on), *self.laid)

    def sharp(self) -> set[str]:
        """Edges that lie on it with metal on both sides: creases that end inside it."""
        return {piece[0] for piece in self.ground.inner & self.walls.edges}

    def outline(self, lines: LineMap) -> Array:
        """(k, 3) round it, without repeating the first."""
        parts = [
            lines.pieces[piece][::-1] if turned else lines.pieces[piece]
            for piece, turned in self.ground.loops[0]
        ]
        return np.asarray(lines.samples.points[np.concatenate([part[:-1] for part in parts])])

    def within(self, lines: LineMap) -> Array:
        """(k, 3) points of the lines on it that touch its others."""
        parts = [lines.samples.points[lines.pieces[p]] for p in sorted(self.ground.inner)]
        return np.vstack(parts) if parts else np.zeros((0, 3))

    def surrounds(self, lines: LineMap, points: Array) -> bool:
        """Whether the points lie in the box of its boundary, with some room."""
        around = np.vstack([self.outline(lines), self.within(lines)])
        low, high = around.min(axis=0), around.max(axis=0)
        room = ROOM * float(np.linalg.norm(high - low))
        return bool(((points > low - room) & (points < high + room)).all())

    def distance(self, lines: LineMap, points: Array) -> float:
        """Mean distance of points from its lines, those inside it counting most."""
        around = np.vstack([self.outline(lines), self.within(lines)])
        gap = np.linalg.norm(points[:, None, :] - around[None], axis=2).min(axis=1)
        return float(gap.mean())


def told_regions(
    lines: LineMap,
    lands: Sequence[Land],
    specs: Sequence[LineSpec],
    choices: Sequence[FieldChoice],
    known: Sequence[RegionSpec],
) -> tuple[tuple[FoundRegion, ...], list[PlacedFinding]]:
    """Each land as a region, and which are rings that cannot be laid flat.

    Of two that mirror each other, and touch no other metal, the left.
    """
    if not lands:
        return (), []
    kept = _one_of_each_pair(lines, lands, specs)
    middle = np.vstack([land.outline(lines) for land in lands]).mean(axis=0) * [1.0, 0.0, 1.0]
    sizes = [_size(land.outline(lines)) for land in kept]
    order = sorted(range(len(kept)), key=lambda k: (not kept[k].metal, -sizes[k]))
    kept = [kept[k] for k in order]
    bare = [_found(lines, land, specs, middle) for land in kept]
    names = told_apart([_name(found, choices, known) for found in bare])
    named = [
        found.model_copy(update={"spec": found.spec.model_copy(update={"name": name})})
        for found, name in zip(bare, names, strict=True)
    ]
    told = tuple(
        found.model_copy(update={"shared": _shared(lines, kept, k, names)})
        for k, found in enumerate(named)
    )
    rings = zip(kept, names, strict=True)
    return told, [_ring(lines, land, name) for land, name in rings if _is_ring(land)]


def _is_ring(land: Land) -> bool:
    return land.metal and len(land.ground.loops) > 1


def _ring(lines: LineMap, land: Land, name: str) -> PlacedFinding:
    inner = tuple(dict.fromkeys(piece[0] for piece, _ in land.ground.loops[1]))
    middle = np.mean([lines.middle(piece) for piece, _ in land.ground.loops[1]], axis=0)
    return PlacedFinding(
        code="ring-of-metal",
        where=name,
        message=f"'{name}' runs all round an opening of several lines ({', '.join(inner)}): "
        "it cannot be laid flat.",
        remedy="Divide it along a line that leads from the opening to its edge.",
        place=told_place(middle),
    )


def _size(points: Array) -> float:
    return float(np.linalg.norm(np.ptp(points, axis=0)))


def _one_of_each_pair(
    lines: LineMap, lands: Sequence[Land], specs: Sequence[LineSpec]
) -> list[Land]:
    """Without right lands whose lines are the partners of a left land that stands by itself."""
    partner = {spec.name: spec.mirror for spec in specs if spec.mirror}
    alone = [_stands_alone(land, lands) for land in lands]
    by_lines = {frozenset(land.boundary()): k for k, land in enumerate(lands)}
    dropped, twins = set(), set()
    for k, land in enumerate(lands):
        mirrored = frozenset(partner.get(name, name) for name in land.boundary())
        other = by_lines.get(mirrored)
        if other is None or other == k or not (alone[k] and alone[other]):
            continue
        if land.outline(lines)[:, 1].mean() > 0.0 and land.metal == lands[other].metal:
            dropped.add(k)
            twins.add(other)
    return [replace(land, twin=k in twins) for k, land in enumerate(lands) if k not in dropped]


def _stands_alone(land: Land, lands: Sequence[Land]) -> bool:
    """Whether no other metal shares a piece of its boundary."""
    border = land.ground.border()
    return land.metal and not any(
        other is not land and other.metal and border & other.ground.border() for other in lands
    )


def _found(lines: LineMap, land: Land, specs: Sequence[LineSpec], middle: Array) -> FoundRegion:
    outline, boundary = land.outline(lines), land.boundary()
    at = _middle(outline)
    left = land.twin or _is_left(outline, boundary, specs)
    spec = RegionSpec(
        name="?",
        boundary=boundary,
        inner=land.inner(lines),
        holes=tuple(name for ring in land.holes for name in ring),
        creases=tuple(CreaseSpec(line=name) for name in sorted(land.sharp())),
        side="left" if left else "whole",
        outward=_outward(outline, land.within(lines), middle),
    )
    why = _why(land, left=left)
    return FoundRegion(spec=spec, metal=land.metal, why=why, corners=len(boundary), at=at)


def said_by_hand(lines: LineMap, land: Land, choices: Sequence[FieldChoice]) -> Land:
    """The land as metal or open, if the hand said so."""
    at, bare = _middle(land.outline(lines)), not land.inner(lines)
    said = _latest(choices, ("open", "metal"), land.boundary(), at, bare=bare)
    return land if said is None else replace(land, metal=said.what == "metal", said=True)


def _middle(outline: Array) -> tuple[float, float, float]:
    return told_place(outline.mean(axis=0))


def _is_left(outline: Array, boundary: Sequence[str], specs: Sequence[LineSpec]) -> bool:
    """Whether it keeps to the left, and the right has no lines of its own for it."""
    partnered = {spec.name for spec in specs if spec.mirror}
    return bool(outline[:, 1].max() < ON_PLANE) and not partnered & set(boundary)


def _outward(outline: Array, within: Array, middle: Array) -> tuple[float, float, float]:
    """The way it bulges, else the way it faces from the middle of everything."""
    size = _size(outline)
    following = np.roll(outline, -1, axis=0)
    centre = outline.mean(axis=0)
    face = np.cross(outline - centre, following - centre).sum(axis=0)
    face /= max(float(np.linalg.norm(face)), 1e-12)
    bulge = float((within - centre).mean(axis=0) @ face) if len(within) else 0.0
    if abs(bulge) < FLAT * size:
        bulge = float((centre - middle) @ face)
    x, y, z = (round(float(v), 2) + 0.0 for v in np.sign(bulge or 1.0) * face)
    return x, y, z


def _why(land: Land, *, left: bool) -> str:
    parts = [land.walls.why]
    if land.divided:
        parts.append("divided where the way from the opening to the edge is shortest")
    if land.said:
        parts.append("metal by hand" if land.metal else "open by hand")
    elif land.metal:
        count = len({name for name, _ in land.ground.inner} | set(land.laid))
        parts.append(
            f"metal, for {'one line lies' if count == 1 else f'{count} lines lie'} on it"
            if count
            else "metal, for tape bounds it"
        )
    else:
        parts.append("open, for no line lies on it")
    if land.sharp():
        parts.append(f"sharp along {', '.join(sorted(land.sharp()))}")
    if land.holes:
        parts.append(f"with {len(land.holes)} hole{'' if len(land.holes) == 1 else 's'}")
    if left:
        parts.append("mirrored for the right")
    text = ", ".join(parts)
    return f"{text[0].upper()}{text[1:]}."


def _latest(
    choices: Sequence[FieldChoice],
    what: tuple[str, ...],
    boundary: Sequence[str],
    at: Sequence[float],
    *,
    bare: bool,
) -> FieldChoice | None:
    """The last choice about what these lines bound at the place."""
    for choice in reversed(choices):
        about = choice.bare == bare and set(choice.lines) == set(boundary)
        moved = float(np.linalg.norm(np.array(choice.at) - np.array(at)))
        if choice.what in what and about and moved < SAME:
            return choice
    return None


def _name(
    found: FoundRegion,
    choices: Sequence[FieldChoice],
    known: Sequence[RegionSpec],
) -> str:
    bare = not found.spec.inner
    said = _latest(choices, ("name",), found.spec.boundary, found.at, bare=bare)
    if said is not None:
        return said.name
    for spec in known:
        same = sorted(spec.boundary) == sorted(found.spec.boundary)
        if found.metal and same and set(spec.inner) == set(found.spec.inner):
            return spec.name
    spec = found.spec
    down = not found.metal and spec.outward[2] < DOWN
    name = found_name(spec.boundary, spec.inner, metal=found.metal, down=down)
    sides = {n.split()[-1] for n in spec.boundary}
    side = sides.pop() if len(sides) == 1 else ""
    return f"{name} {side}" if side in ("left", "right") and spec.side == "whole" else name


def _shared(
    lines: LineMap, lands: Sequence[Land], k: int, names: Sequence[str]
) -> tuple[tuple[str, tuple[float, float, float], str], ...]:
    """What lies beyond each piece of its boundary, where that is land too."""
    found = []
    for piece in sorted(lands[k].ground.border()):
        for other, land in enumerate(lands):
            if other != k and piece in land.ground.border():
                found.append((piece[0], told_place(lines.middle(piece)), names[other]))
    return tuple(found)
