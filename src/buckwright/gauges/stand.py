"""A stand that slots together: cards on feet, held upright in their planes by combs.

Outside cards make a cradle that the metal lies in, inside cards a form that it lies on. All feet
stand on one bench. Two combs run from card to card; comb and card cross in half-laps, the comb's
slots open upwards, the card's downwards.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.gauges.cards import ACROSS, other_side
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.mesh import section_mesh
from buckwright.geometry.polyline import polyline_length
from buckwright.model.gauges import Gauge, GaugeSpec, Stand, StandBoard

__all__ = ["mirrored_stand", "put_on_feet"]

Array = NDArray[np.float64]

COMBS = (0.2, 0.8)
"""Where combs run, as shares of the width that all cards have in common."""
FREE, HANDY = 15.0, 60.0
"""mm between comb and metal, and of comb that is enough to hold a low card."""
FULL, LEAST = 0.6, 0.4
"""Height of a comb as a share of the room between bench and metal: usual, and least."""
PAST = 20.0
"""mm of comb beyond the outermost cards."""
STEP = 5.0
"""mm between points of a comb's upper edge."""
LEAST_WIDTH = 80.0
"""mm that all cards must have in common."""
SAME_PLANE, CLOSEST = 0.1, 3.0
"""mm; thicknesses from card to card that leave a comb enough wood."""
STEEP = 0.05
"""A profile may run no steeper than this (run over length), or the metal is caught."""
WAYS = 72


@dataclass(frozen=True, eq=False, slots=True)
class _Bench:
    """How the stand stands: in-plane unit vectors along and towards the bench, and its place."""

    cards: tuple[Gauge, ...]
    axes: Array
    """(2, 3) of every card."""
    normal: Array
    """(3,) from card to card, ascending."""
    along: Array
    down: Array
    foot: float
    """mm along `down` of the bench."""

    def places(self) -> Array:
        """(k,) where the cards stand along the normal."""
        return np.array([card.section[0] @ self.normal for card in self.cards])

    def flat(self, points: Array) -> tuple[Array, Array]:
        """Along the bench, and height over it, of vehicle points."""
        plane = points @ self.axes.T
        return plane @ self.along, self.foot - plane @ self.down

    def to_card(self, card: Gauge, along: Array, height: Array) -> Array:
        """Points of the card from places along the bench and heights over it."""
        plane = np.outer(along, self.along) + np.outer(self.foot - height, self.down)
        return np.asarray(plane - self.axes @ card.origin)


def put_on_feet(
    cards: Sequence[Gauge], spec: GaugeSpec, curved: CurvedMesh
) -> tuple[tuple[Gauge, ...], Stand]:
    """The left cards with feet and slots in place of their backs, and the combs.

    The cards lie in parallel planes, one in each; `curved` is the face of the metal that they
    touch. Of two that are too close the narrower is left out, and the narrowest as long as the
    rest have too little width in common for two combs. Raises JobError where there is no such
    stand: too few cards, two in one plane, or metal that could not be lifted out.
    """
    bench = _wide_enough(_bench(_apart(tuple(cards), spec), spec), spec)
    at = _comb_places(bench)
    tops = [_top(bench, curved, place) for place in at]
    feet = tuple(_on_feet(bench, card, spec, at, tops) for card in bench.cards)
    hand = f"{spec.region} {'inside ' if feet[0].face == 'inside' else ''}"
    boards = tuple(
        _comb(bench, spec, f"{hand}comb {letter} left", place, top)
        for letter, place, top in zip("AB", at, tops, strict=True)
    )
    up = -bench.down @ bench.axes
    stand = Stand(
        name=f"{hand}stand left",
        hand="left",
        region=spec.region,
        face=feet[0].face,
        boards=boards,
        cards=tuple(card.name for card in feet),
        up=up,
        foot=float(-bench.foot),
        thickness=spec.card_thickness,
        clearance=spec.clearance,
        play=max(_play(bench, card, spec, tops) for card in feet),
    )
    return feet, stand


def _bench(cards: tuple[Gauge, ...], spec: GaugeSpec) -> _Bench:
    axes = cards[0].axes if cards else np.zeros((2, 3))
    normal = np.cross(axes[0], axes[1])
    cards = tuple(sorted(cards, key=lambda card: float(card.section[0] @ normal)))
    places = np.array([card.section[0] @ normal for card in cards])
    if len(cards) < 2:
        raise _no_stand(
            spec, "fewer than two cards are wide enough for it", "Ask for more cards, or wider."
        )
    if np.diff(places).min() < SAME_PLANE:
        raise _no_stand(
            spec,
            "two of its cards lie in one plane",
            "Gauge the pieces of an interrupted panel one by one.",
        )
    down = _down(cards, axes)
    if down is None:
        raise _no_stand(
            spec,
            "its profiles wrap round so far that the metal could not be lifted out",
            "Make a stand for each half of the panel, or use the cards by hand.",
        )
    along = np.array([-down[1], down[0]])
    deep = max(float((card.section @ axes.T @ down).max()) for card in cards)
    return _Bench(cards, axes, normal, along, down, deep + spec.card_width)


def _no_stand(spec: GaugeSpec, why: str, remedy: str) -> JobError:
    return JobError(f"There is no stand for the gauges of the {spec.region}: {why}.", remedy)


def _down(cards: tuple[Gauge, ...], axes: Array) -> Array | None:
    """The way in the cards' plane towards the bench: the plainest that frees the metal.

    Along an axis if the metal can be lifted straight off it; else the way nearest to the mean
    direction that the cards look at the metal from.
    """
    mean = np.zeros(2)
    sides = []
    for card in cards:
        side = np.diff(card.section @ axes.T, axis=0)
        left = np.column_stack([-side[:, 1], side[:, 0]]).sum(axis=0)
        mean += left * _card_side(card)
        sides.append(side)
    mean /= np.linalg.norm(mean)
    angle = np.concatenate([np.arange(4) / 4.0, np.arange(WAYS) / WAYS]) * 2.0 * np.pi
    ways = np.column_stack([np.cos(angle), np.sin(angle)]).round(15)
    ways = ways[ways @ mean > np.cos(np.radians(50.0))]
    free = [way for way in ways if all(_frees(side, way) for side in sides)]
    if not free:
        return None
    plain = [way for way in free if np.abs(way).max() > 1.0 - 1e-9]
    nearest = int(np.argmax([way @ mean for way in plain or free]))
    return np.asarray((plain or free)[nearest])


def _card_side(card: Gauge) -> float:
    """1 where the card lies to the left of its profile, -1 to the right."""
    ring = shapely.LinearRing(card.outline)
    middle = len(card.profile) // 2
    step = card.profile[middle] - card.profile[middle - 1]
    probe = 0.5 * (card.profile[middle] + card.profile[middle - 1]) + 0.5 * np.array(
        [-step[1], step[0]]
    ) / np.linalg.norm(step)
    return 1.0 if shapely.Polygon(ring).contains(shapely.Point(probe)) else -1.0


def _frees(side: Array, way: Array) -> bool:
    run = side @ np.array([-way[1], way[0]])
    share = run / np.maximum(np.linalg.norm(side, axis=1), 1e-12)
    return bool(np.all(share > STEEP) or np.all(share < -STEEP))


def _apart(cards: tuple[Gauge, ...], spec: GaugeSpec) -> tuple[Gauge, ...]:
    """The cards, without the narrower of two that stand nearer than a comb can bear."""
    if not cards:
        return cards
    normal = np.cross(cards[0].axes[0], cards[0].axes[1])
    kept: list[Gauge] = []
    for card in sorted(cards, key=lambda card: float(card.section[0] @ normal)):
        gap = (card.section[0] - kept[-1].section[0]) @ normal if kept else np.inf
        if not SAME_PLANE <= gap < CLOSEST * spec.card_thickness:
            kept.append(card)
        elif polyline_length(card.profile) > polyline_length(kept[-1].profile):
            kept[-1] = card
    return tuple(kept)


def _wide_enough(bench: _Bench, spec: GaugeSpec) -> _Bench:
    """The bench with as many cards, the widest, as two combs can hold together."""
    cards = bench.cards
    while _common(bench)[1] - _common(bench)[0] < LEAST_WIDTH:
        widths = [float(np.ptp(bench.flat(card.section)[0])) for card in cards]
        narrowest = int(np.argmin(widths))
        cards = (*cards[:narrowest], *cards[narrowest + 1 :])
        bench = _bench(cards, spec)
    return bench


def _common(bench: _Bench) -> tuple[float, float]:
    """What all cards reach over along the bench."""
    spans = [bench.flat(card.section)[0] for card in bench.cards]
    return max(float(span.min()) for span in spans), min(float(span.max()) for span in spans)


def _comb_places(bench: _Bench) -> tuple[float, float]:
    low, high = _common(bench)
    first, last = (low + share * (high - low) for share in COMBS)
    return first, last


def _top(bench: _Bench, curved: CurvedMesh, place: float) -> Array:
    """(n, 2) the comb's upper edge: place along the normal, height over the bench.

    It stays clear of the metal everywhere, between the cards too.
    """
    cards = bench.places()
    low, high = cards[0] - PAST, cards[-1] + PAST
    at = np.unique(np.concatenate([np.arange(low, high, STEP), cards, [high]]))
    room = _room(bench, curved, place, at)
    # The least of neighbours, so that no slope of the edge comes nearer than it should.
    wide = np.pad(room, 1, mode="edge")
    room = np.minimum(np.minimum(wide[:-2], wide[2:]), room)
    wanted = np.maximum(FULL * room, np.minimum(room - FREE, HANDY))
    return np.column_stack([at, np.maximum(np.minimum(room - FREE, wanted), LEAST * room)])


def _room(bench: _Bench, curved: CurvedMesh, place: float, at: Array) -> Array:
    """(n,) height of the metal over the bench along a comb; beyond the metal as at its end."""
    across = bench.along @ bench.axes
    room = np.full(len(at), np.inf)
    for piece, _ in section_mesh(
        curved.vertices, curved.triangles, origin=place * across, normal=across
    ):
        _, height = bench.flat(piece)
        places = piece @ bench.normal
        order = np.argsort(places)
        inside = (at >= places[order[0]]) & (at <= places[order[-1]])
        found = np.interp(at, places[order], height[order])
        room = np.where(inside, np.minimum(room, found), room)
    for card in bench.cards:
        along, height = bench.flat(card.section)
        order = np.argsort(along)
        here = np.abs(at - card.section[0] @ bench.normal) < 1e-9
        room[here] = np.minimum(room[here], np.interp(place, along[order], height[order]))
    known = np.isfinite(room)
    return np.asarray(np.interp(at, at[known], room[known]))


def _height(top: Array, place: float) -> float:
    return float(np.interp(place, top[:, 0], top[:, 1]))


def _on_feet(
    bench: _Bench, card: Gauge, spec: GaugeSpec, at: Sequence[float], tops: Sequence[Array]
) -> Gauge:
    """The card from its profile straight down to the bench, with a slot over each comb."""
    along, _ = bench.flat(card.section)
    ends = bench.to_card(card, along[[-1, 0]], np.zeros(2))
    shape = shapely.Polygon(np.vstack([card.profile, ends]))
    half = 0.5 * (spec.card_thickness + spec.clearance)
    station = float(card.section[0] @ bench.normal)
    for place, top in zip(at, tops, strict=True):
        up = 0.5 * _height(top, station)
        corners = bench.to_card(
            card,
            np.array([place - half, place + half, place + half, place - half]),
            np.array([-1.0, -1.0, up, up]),
        )
        shape = shape.difference(shapely.Polygon(corners))
    ring = np.asarray(shapely.geometry.polygon.orient(shape).exterior.coords)[:-1]
    lean = np.cos(np.radians(card.squareness_deg))
    return card.model_copy(
        update={
            "outline": ring,
            "thickness": spec.card_thickness,
            "edge_off": 0.5 * spec.card_thickness * float(lean),
        }
    )


def _comb(bench: _Bench, spec: GaugeSpec, name: str, place: float, top: Array) -> StandBoard:
    """The comb at that place along the bench, its x along the cards, its y up."""
    cards = bench.places()
    first = float(10.0 * np.round(cards[0] / 10.0))
    shape = shapely.Polygon(np.vstack([top, [[top[-1, 0], 0.0], [top[0, 0], 0.0]]]))
    half = 0.5 * (spec.card_thickness + spec.clearance)
    floors = np.array([0.5 * _height(top, c) for c in cards])
    for c, floor in zip(cards, floors, strict=True):
        shape = shape.difference(shapely.box(c - half, floor, c + half, 1e4))
    ring = np.asarray(shapely.geometry.polygon.orient(shape).exterior.coords)[:-1]
    in_plane = place * bench.along + bench.foot * bench.down
    return StandBoard(
        name=name,
        outline=ring - (first, 0.0),
        origin=in_plane @ bench.axes + first * bench.normal,
        axes=np.stack([bench.normal, -bench.down @ bench.axes]),
        slots=np.column_stack([cards - first, floors]),
        slot_names=tuple(card.name for card in bench.cards),
    )


def _play(bench: _Bench, card: Gauge, spec: GaugeSpec, tops: Sequence[Array]) -> float:
    """How far the profile's highest place can lean with all of the slot's clearance used."""
    station = float(card.section[0] @ bench.normal)
    comb = min(_height(top, station) for top in tops)
    _, height = bench.flat(card.section)
    lean = spec.clearance / (0.5 * comb) * (float(height.max()) - 0.75 * comb)
    return max(0.5 * spec.clearance, lean)


def mirrored_stand(stand: Stand) -> Stand:
    """The stand for the right: every board the mirror image, with the names of the other side."""
    return stand.model_copy(
        update={
            "name": other_side(stand.name),
            "hand": "right",
            "boards": tuple(_mirrored_board(board) for board in stand.boards),
            "cards": tuple(other_side(name) for name in stand.cards),
            "up": stand.up * ACROSS,
        }
    )


def _mirrored_board(board: StandBoard) -> StandBoard:
    flip = np.array([-1.0, 1.0])
    return board.model_copy(
        update={
            "name": other_side(board.name),
            "outline": board.outline[::-1] * flip,
            "origin": board.origin * ACROSS,
            "axes": board.axes * ACROSS * np.array([[-1.0], [1.0]]),
            "slots": board.slots * flip,
            "slot_names": tuple(other_side(name) for name in board.slot_names),
        }
    )
