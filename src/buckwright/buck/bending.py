"""The bend table of each wire, and how hard those push that are only sprung into place."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from buckwright.buck.pushing import SprungShape, spring_rod
from buckwright.buck.springback import elastic_radius, forming_radius
from buckwright.geometry.arc_chain import ArcChain, chain_of_arcs, distance_to_chain, mirrored_chain
from buckwright.geometry.plane import fit_plane, project
from buckwright.geometry.polyline import arc_lengths, closest_on_polyline
from buckwright.model.bending import Bending, Push, RodPiece
from buckwright.model.buck import BuckSpec, Post, Tack, Wire
from buckwright.model.finding import Finding

__all__ = ["ARC_TOLERANCE", "bend_wires", "bender_radius", "doubts_about_bends"]

Array = NDArray[np.float64]

ARC_TOLERANCE = 0.5
"""mm between the axis and a rod bent by the table."""
BEND_DIAMETERS = 3.0
"""Least radius of a cold bend to the rod's axis, in diameters, where no bender is named: the outer
fibre then stretches by 1/6 = 17 %, within the 20 to 30 % that low-carbon rod gives in a tensile
test (`tables.steel`)."""
CLOSE = 15.0
"""Diameters: supports nearer to each other than this count as one, for there a tenth of a mm of
slack decides the force."""
NOTED_OFF, BENT_OFF = 1.0, 5.0
"""mm that a sprung rod may stand off between its supports before it is said, or before it is
bent after all."""
SHOWN = 0.4
"""Share of a direction that is worth a word."""


def bender_radius(spec: BuckSpec) -> float:
    """The least radius that the bender makes, mm to the rod's axis: as named, else 3 diameters."""
    return spec.bender_radius or BEND_DIAMETERS * spec.rod_diameter


def bend_wires(
    spec: BuckSpec, wires: Sequence[Wire], tacks: Sequence[Tack], posts: Sequence[Post]
) -> tuple[Wire, ...]:
    """The wires with their bend tables.

    A wire with a corner gets none. A wire that stays elastic is sprung into place if its tacks and
    posts hold it there within 5 mm; if they do not it is bent, and `sprung` and `form_radius` say
    so.
    """
    chains: dict[str, ArcChain] = {}
    found = []
    for wire in wires:
        chain = _chain(wire, wires, chains)
        if chain is None:
            found.append(wire)
            continue
        chains[wire.name] = chain
        found.append(_with_bending(spec, wire, chain, tacks, posts))
    return tuple(found)


def _chain(wire: Wire, wires: Sequence[Wire], known: dict[str, ArcChain]) -> ArcChain | None:
    """Arcs along the wire's axis, None if it has a corner."""
    twins = [w for w in wires if w.name in known and len(w.axis) == len(wire.axis)]
    for twin in twins if wire.side == "right" else ():
        if np.allclose(twin.axis * [1.0, -1.0, 1.0], wire.axis, atol=1e-6):
            return mirrored_chain(known[twin.name], 1)
    try:
        return chain_of_arcs(wire.axis, tolerance=ARC_TOLERANCE, closed=wire.closed)
    except ValueError:
        return None


def _with_bending(
    spec: BuckSpec, wire: Wire, chain: ArcChain, tacks: Sequence[Tack], posts: Sequence[Post]
) -> Wire:
    axis = np.vstack([wire.axis, wire.axis[:1]]) if wire.closed else wire.axis
    holds = _holds(wire, axis, tacks, posts)
    shape, off, off_at = _sprung(wire, axis, holds)
    sprung = wire.sprung and shape is not None and off <= BENT_OFF
    straight = all(piece.radius == 0.0 for piece in chain.pieces)
    limit = elastic_radius(wire.diameter, spec.rod_yield)
    _, heights = project(axis, fit_plane(axis))
    bending = Bending(
        pieces=_pieces(chain, wire.diameter, spec.rod_yield, bent=not sprung),
        start=chain.start,
        along=chain.frame[0],
        towards=chain.frame[1],
        off=distance_to_chain(axis, chain),
        off_plane=float(np.abs(heights).max()),
        way="straight" if straight else "sprung" if sprung else "bent",
        words="",
        elastic_radius=limit,
        bender_radius=bender_radius(spec),
        pushes=_pushes(shape, holds) if sprung and shape is not None else (),
        stands_off=off if sprung else 0.0,
        stands_off_at=off_at if sprung else 0.0,
    )
    bending = bending.model_copy(update={"words": _words(wire, bending)})
    update: dict[str, object] = {"bending": bending}
    if wire.sprung and not sprung and not straight:
        form = forming_radius(
            wire.least_radius, diameter=wire.diameter, yield_strength=spec.rod_yield
        )
        update |= {"sprung": False, "form_radius": form}
    return wire.model_copy(update=update)


def _pieces(
    chain: ArcChain, diameter: float, strength: float, *, bent: bool
) -> tuple[RodPiece, ...]:
    found, start = [], 0.0
    for piece in chain.pieces:
        formed = (
            forming_radius(piece.radius, diameter=diameter, yield_strength=strength)
            if bent and piece.radius
            else 0.0
        )
        found.append(
            RodPiece(
                start=round(start, 1),
                length=piece.length,
                radius=piece.radius,
                rotation_deg=piece.rotation_deg,
                turn_deg=float(np.degrees(piece.turn)),
                form_radius=formed,
                form_turn_deg=float(np.degrees(piece.length / formed)) if formed else 0.0,
            )
        )
        start += piece.length
    return tuple(found)


Hold = tuple[float, tuple[str, ...]]
"""A place along a wire, and what holds it there."""


def _holds(wire: Wire, axis: Array, tacks: Sequence[Tack], posts: Sequence[Post]) -> list[Hold]:
    """Where the wire is held, in order; places that lie close count as one."""
    places = [
        (tack.at[own], tack.wires[1 - own])
        for tack in tacks
        for own in (0, 1)
        if tack.wires[own] == wire.name
    ]
    for post in posts:
        if post.wire == wire.name:
            gap, _, at = closest_on_polyline(np.stack([post.start, post.end]), axis)
            places.append((float(at[np.argmin(gap)]), post.name))
    groups: list[list[tuple[float, str]]] = []
    for place in sorted(places):
        if groups and place[0] - groups[-1][-1][0] < CLOSE * wire.diameter:
            groups[-1].append(place)
        else:
            groups.append([place])
    return [
        (float(np.mean([at for at, _ in group])), tuple(dict.fromkeys(name for _, name in group)))
        for group in groups
    ]


def _sprung(
    wire: Wire, axis: Array, holds: Sequence[Hold]
) -> tuple[SprungShape | None, float, float]:
    """The shape of the rod when only sprung, how far it stands off, and where along it."""
    if not wire.sprung or len(holds) < 2 or wire.closed:
        return None, 0.0, 0.0
    along = arc_lengths(axis)
    at = np.array([hold[0] for hold in holds])
    held = np.column_stack([np.interp(at, along, axis[:, k]) for k in range(3)])
    shape = spring_rod(at, held, diameter=wire.diameter)
    off = closest_on_polyline(axis, shape.points(along))[0]
    return shape, float(off.max()), float(along[np.argmax(off)])


def _pushes(shape: SprungShape, holds: Sequence[Hold]) -> tuple[Push, ...]:
    found = []
    for (at, names), push in zip(holds, shape.forces, strict=True):
        force = float(np.linalg.norm(push))
        direction = push / force if force > 0.0 else np.zeros(3)
        found.append(
            Push(at=at, held_by=names, force=force, direction=direction, words=_way(direction))
        )
    return tuple(found)


def _way(direction: Array) -> str:
    """A direction in the vehicle's axes, the strongest part first; '' for none."""
    names = (("forward", "rearward"), ("left", "right"), ("down", "up"))
    order = [k for k in np.argsort(-np.abs(direction)) if abs(direction[k]) > SHOWN]
    return " and ".join(names[k][int(direction[k] > 0.0)] for k in order)


def _words(wire: Wire, bending: Bending) -> str:
    if bending.way == "straight":
        return "It is straight: cut it, and do not bend it."
    if bending.way == "sprung":
        most = max(push.force for push in bending.pushes)
        return (
            f"SPRING INTO PLACE, do not bend: the whole rod stays elastic (its tightest curve is "
            f"R {wire.least_radius:.0f}; only below R {bending.elastic_radius:.0f} does a bend "
            f"stay). Tacks hold it, and it pushes them with up to {_newtons(most)}."
        )
    arcs = sum(piece.radius > 0.0 for piece in bending.pieces)
    start = (
        "Gentle enough to stay elastic, but its tacks would not hold it in its curve: bend it past "
        "the curve, and it springs back to it."
        if wire.sprung
        else "Bend every arc past its radius: it springs back to it."
    )
    return f"{start} {arcs} arc{'s' if arcs > 1 else ''}, see the table."


def _newtons(force: float) -> str:
    """The force, and what weighs as much."""
    return f"{force:.0f} N (as {force / 9.80665:.1f} kg would weigh)"


def doubts_about_bends(wires: Sequence[Wire]) -> tuple[Finding, ...]:
    """Bends tighter than the bender makes, and sprung rods that nothing holds where they lie."""
    found = []
    for wire in wires:
        bending = wire.bending
        if bending is None:
            found.append(_no_table(wire))
            continue
        found += _too_tight(wire, bending)
        if bending.stands_off > NOTED_OFF:
            found.append(_stands_off(wire, bending))
    return tuple(found)


def _no_table(wire: Wire) -> Finding:
    return Finding(
        code="no-bend-table",
        where=wire.name,
        message="It has a corner, so it cannot be bent from one table of arcs.",
        remedy="Bend it by its outline, or split it at the corner and weld it there.",
    )


def _too_tight(wire: Wire, bending: Bending) -> list[Finding]:
    arcs = [piece for piece in bending.pieces if piece.form_radius > 0.0]
    worst = min(arcs, key=lambda piece: piece.form_radius, default=None)
    if worst is None or worst.form_radius >= bending.bender_radius:
        return []
    return [
        Finding(
            code="tight-bend",
            where=wire.name,
            message=f"Its tightest bend, {worst.start:.0f} to {worst.start + worst.length:.0f} mm "
            f"along it, is formed to R {worst.form_radius:.1f}; the bender takes "
            f"{wire.diameter:g} mm rod to R {bending.bender_radius:.1f} "
            f"({bending.bender_radius / wire.diameter:.1f} diameters) and no tighter.",
            remedy="Bend it hot there, or cut it there and weld the corner, or round the line to "
            f"R {bending.bender_radius:.0f} or more.",
        )
    ]


def _stands_off(wire: Wire, bending: Bending) -> Finding:
    at = [push.at for push in bending.pushes]
    here = bending.stands_off_at
    between = next(((a, b) for a, b in pairwise(at) if a <= here <= b), None)
    where = (
        f"between the tacks at {between[0]:.0f} and {between[1]:.0f} mm"
        if between
        else "beyond its last tack"
    )
    return Finding(
        code="sprung-off",
        where=wire.name,
        message=f"Only sprung, it stands {bending.stands_off:.1f} mm off its place {where}.",
        remedy=f"Hold it near {here:.0f} mm with a post or one more wire, or bend it by the table.",
    )
