"""Pressing pieces closer than a grid can: plate by plate, by the strip packer `spyrrow`.

The packer lays pieces into a strip of fixed width and makes it as short as it can. Here it is
asked, for several choices of pieces side by side, whether they fit the length of one plate; the
fullest plate is kept, and the next one is filled from the rest. The packer works by the clock, so
that a slower machine may give another layout: use it where a person waits for a denser one.

Reference: Gardeyn, Vanden Berghe and Wauters, 'An open-source heuristic to reboot 2D nesting
research' (2025), arXiv:2509.13329, the method inside the packer.
"""

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from spyrrow import Item, StripPackingConfig, StripPackingInstance

from buckwright.geometry.nesting import PlateFiller
from buckwright.geometry.nesting_pieces import (
    Nested,
    Piece,
    Placed,
    Plate,
    PlateFill,
    clearance,
)

__all__ = ["StripFill", "press_pieces", "press_strip"]

Array = NDArray[np.float64]

TOLERANCE = 0.05
"""Part of the gap by which outlines are widened and simplified: fewer corners, faster tries."""
HOPED = 0.84
"""Share of a plate with which pressing begins: what ten pieces often reach."""
SLACK = 0.01
"""mm that the packer may fall short of a gap by rounding (it works in single precision)."""


@dataclass(frozen=True, slots=True)
class StripFill:
    """Pieces in a strip: the length used, from margin to margin, and where they lie."""

    length: float
    placed: tuple[Placed, ...]


def press_strip(
    pieces: Sequence[Piece],
    width: float,
    *,
    gap: float,
    margin: float,
    seconds: int,
    workers: int = 2,
    seed: int = 0,
) -> StripFill:
    """All pieces in a strip of a width, as short as can be found in so many seconds.

    One search from each of `workers` different starts, `seed` and on, runs at a time; the
    shortest strip wins.
    Raises ValueError where a piece is wider than the strip at every turn.
    """
    tries = [_Try(tuple(range(len(pieces))), seed + k) for k in range(workers)]
    split = (max(1, round(0.8 * seconds)), seconds - max(1, round(0.8 * seconds)))
    packer = _Packer(pieces, gap, margin)
    with ThreadPoolExecutor(workers) as pool:
        fills = list(pool.map(lambda one: packer.pack(one, width, split), tries))
    return min(fills, key=lambda fill: fill.length)


def press_pieces(
    pieces: Sequence[Piece],
    plates: Sequence[Plate],
    *,
    gap: float,
    margin: float,
    rounds: int = 3,
    workers: int = 2,
    progress: Callable[[float], None] = lambda share: None,
) -> Nested:
    """As `nest_pieces`, denser: `rounds` seconds for each plate and core.

    `progress` is called with the share of the area that is laid and may raise to stop. No worse
    than `nest_pieces` with one round, whose layout stands where pressing finds no better one.
    """
    filler = PlateFiller(pieces, plates, gap=gap, margin=margin)
    plain = filler.fill(sorted(range(len(pieces)), key=lambda i: -filler.areas[i]))
    press = _Press(filler, _Packer(pieces, gap, margin), gap, margin, rounds, workers)
    pressed = press.run(progress)
    return min(pressed, plain, key=filler.price)


@dataclass(frozen=True, slots=True)
class _Try:
    """Pieces that might fit one plate, and the packer's starting number."""

    pieces: tuple[int, ...]
    seed: int


class _Packer:
    """The strip packer, told of our pieces."""

    def __init__(self, pieces: Sequence[Piece], gap: float, margin: float) -> None:
        self._gap, self._off = gap, margin - gap
        self._items = [_item(n, piece, TOLERANCE * gap) for n, piece in enumerate(pieces)]

    def pack(self, one: _Try, width: float, seconds: tuple[int, int]) -> StripFill:
        """The strip for one try, after exploring and compressing for so many seconds."""
        items = [self._items[piece] for piece in one.pieces]
        config = StripPackingConfig(
            total_computation_time=None,
            exploration_time=seconds[0],
            compression_time=seconds[1],
            min_items_separation=self._gap or None,
            num_workers=1,
            seed=one.seed,
        )
        # The packer keeps the gap from the strip's edge too.
        strip = StripPackingInstance("strip", width - 2.0 * self._off, items).solve(config)
        placed = tuple(
            Placed(
                int(item.id),
                float(np.radians(item.rotation)),
                (item.translation[0] + self._off, item.translation[1] + self._off),
            )
            for item in strip.placed_items
        )
        return StripFill(strip.width + 2.0 * self._off, placed)


def _item(number: int, piece: Piece, tolerance: float) -> Item:
    corners = piece.outline
    if tolerance > 0.0:
        wide = shapely.Polygon(corners).buffer(tolerance, join_style="mitre", mitre_limit=2.0)
        corners = np.asarray(wide.simplify(tolerance).exterior.coords)[:-1]
    turns = [float(turn) for turn in np.degrees(piece.turns)]
    return Item(str(number), [(float(x), float(y)) for x, y in corners], 1, turns)


class _Press:
    """One run of pressing: what is laid down so far, and what waits."""

    def __init__(
        self,
        filler: PlateFiller,
        packer: _Packer,
        gap: float,
        margin: float,
        rounds: int,
        workers: int,
    ) -> None:
        self.filler, self.packer = filler, packer
        self.gap, self.margin = gap, margin
        self.rounds, self.workers = rounds, workers
        self.chance = np.random.default_rng(0)
        self.areas = np.array(filler.areas)

    def run(self, progress: Callable[[float], None]) -> Nested:
        """Plate after plate; stated plates first, then the one that pays best on the grid."""
        waiting = sorted(range(len(self.areas)), key=lambda i: -self.areas[i])
        used = [0] * len(self.filler.plates)
        fills: list[PlateFill] = []
        while waiting:
            plain = self.filler.next_fill(waiting, used)
            if plain is None:
                break
            fill = self._pressed(plain, waiting)
            fills.append(fill)
            used[fill.plate] += 1
            taken = {placed.piece for placed in fill.placed}
            waiting = [piece for piece in waiting if piece not in taken]
            progress(1.0 - float(self.areas[waiting].sum() / self.areas.sum()))
        return Nested(tuple(fills), tuple(sorted(waiting)))

    def _pressed(self, plain: PlateFill, waiting: list[int]) -> PlateFill:
        """The fullest fill of that kind of plate that the rounds give, or the plain one."""
        size = self.filler.plates[plain.plate].size
        fits = [p for p in waiting if self._fits(p, plain.plate)]
        if len(plain.placed) == len(fits):
            return self._shortest(plain, size)
        best, laid = plain, self._laid(plain)
        share = laid / (size[0] * size[1])
        goal = max(share + 0.05, HOPED)
        with ThreadPoolExecutor(self.workers) as pool:
            for _ in range(self.rounds):
                tries = [
                    _Try(
                        self._choice(fits, goal - 0.01 * k, size), int(self.chance.integers(2**31))
                    )
                    for k in range(self.workers)
                ]
                strips = list(pool.map(lambda t: self.packer.pack(t, size[1], (1, 0)), tries))
                reached = max(self._laid(s) / (s.length * size[1]) for s in strips)
                for strip in strips:
                    if self._holds(strip, size) and self._laid(strip) > laid:
                        best, laid = PlateFill(plain.plate, strip.placed), self._laid(strip)
                share = laid / (size[0] * size[1])
                # What was too long by a little goes in with a little less.
                goal = min(max(share + 0.012, reached), goal + 0.02)
        return best

    def _shortest(self, plain: PlateFill, size: tuple[float, float]) -> PlateFill:
        """The last plate, pressed together so that what is left of it is large."""
        ids = tuple(placed.piece for placed in plain.placed)
        if len(ids) < 2:
            return plain
        strip = self.packer.pack(_Try(ids, 0), size[1], (1, 1))
        reach = max(p.outline(self.filler.pieces)[:, 0].max() for p in plain.placed) + self.margin
        if self._holds(strip, size) and strip.length < reach:
            return PlateFill(plain.plate, strip.placed)
        return plain

    def _fits(self, piece: int, kind: int) -> bool:
        return bool(self.filler.fill_one(kind, [piece]).placed)

    def _laid(self, fill: PlateFill | StripFill) -> float:
        return float(sum(self.areas[placed.piece] for placed in fill.placed))

    def _holds(self, strip: StripFill, size: tuple[float, float]) -> bool:
        """Whether the plate is long enough, and the polygons themselves keep apart."""
        if strip.length > size[0]:
            return False
        kept = clearance(strip.placed, self.filler.pieces, size)
        return bool(
            kept.overlap == 0.0
            and kept.gap >= self.gap - SLACK
            and kept.margin >= self.margin - SLACK
        )

    def _choice(
        self, waiting: Sequence[int], goal: float, size: tuple[float, float]
    ) -> tuple[int, ...]:
        """The largest piece and others, large ones sooner, that together come near the goal."""
        room, most = goal * size[0] * size[1], 0.0
        best: tuple[int, ...] = ()
        rest = np.array(waiting[1:])
        for _ in range(40):
            keys = np.log(self.areas[rest]) + self.chance.normal(0.0, 0.6, len(rest))
            chosen, laid = [waiting[0]], float(self.areas[waiting[0]])
            for piece in rest[np.argsort(-keys)].tolist():
                if laid + self.areas[piece] <= room:
                    chosen.append(piece)
                    laid += float(self.areas[piece])
            if laid > most:
                best, most = tuple(chosen), laid
        return best
