"""Laying flat pieces on plates so that as few plates as possible are used.

Pieces are polygons that may be turned by stated angles and never turned over; plates are
rectangles with a margin that stays free, in stated or unlimited number. Between any two pieces
stays a gap: the width of the cut and what holds the plate together. The filling works on a grid
of square cells that a widened piece may touch, so that the gap of a layout is never less than
what was asked and seldom more than two cells larger. The same pieces give the same layout.
"""

from collections.abc import Callable, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.geometry.nesting_grid import PlateGrid, largest_rectangle, piece_mask
from buckwright.geometry.nesting_pieces import Nested, Piece, Placed, Plate, PlateFill, turned

__all__ = ["PlateFiller", "free_rectangle", "nest_pieces", "plates_used"]

Array = NDArray[np.float64]

CELLS = 90_000
"""Cells of the largest plate: 5.7 mm on a sheet of 1,219 x 2,438 mm."""


def nest_pieces(
    pieces: Sequence[Piece],
    plates: Sequence[Plate],
    *,
    gap: float,
    margin: float,
    rounds: int = 1,
    progress: Callable[[float], None] = lambda share: None,
) -> Nested:
    """The pieces on plates: those in stated number first, in order, then those without end.

    Parameters: `gap`, mm between pieces; `margin`, mm from the edge of a plate; `rounds`, how
    many orders of the pieces are tried, the best kept; `progress` is called with the share done
    and may raise to stop. Of the kinds without end each next plate is the one whose worth the
    pieces use best.

    Raises ValueError for a gap or margin below 0, and where there is no plate. Cost: about
    0.4 s a round for 40 pieces with four turns on five sheets.
    """
    filler = PlateFiller(pieces, plates, gap=gap, margin=margin)
    order = sorted(range(len(pieces)), key=lambda i: -filler.areas[i])
    best = filler.fill(order)
    chance = np.random.default_rng(0)
    for done in range(1, rounds):
        progress(done / rounds)
        other = list(order)
        for _ in range(int(chance.integers(1, 4))):
            moved = other.pop(int(chance.integers(len(other))))
            other.insert(int(chance.integers(len(order))), moved)
        found = filler.fill(other)
        if filler.price(found) <= filler.price(best):
            best, order = found, other
    progress(1.0)
    return best


def plates_used(nested: Nested, pieces: Sequence[Piece], plates: Sequence[Plate]) -> float:
    """How many plates are used, the last one counted up to the end of its last piece."""
    if not nested.fills:
        return 0.0
    last = nested.fills[-1]
    reach = max(float(p.outline(pieces)[:, 0].max()) for p in last.placed)
    return len(nested.fills) - 1 + reach / plates[last.plate].size[0]


def free_rectangle(
    outlines: Sequence[Array], size: tuple[float, float], *, gap: float, cell: float = 10.0
) -> tuple[float, float, float, float]:
    """Lower left and upper right corner of the largest rectangle of plate that stays whole.

    No outline (n, 2) comes nearer to it than `gap`. Found on a grid of `cell` mm, so that each
    side may be a cell short of the true largest one; all zeros where nothing is free.
    """
    grid = PlateGrid(size, cell)
    for outline in outlines:
        wide = shapely.Polygon(outline).buffer(gap)
        low, high = np.floor(np.array(wide.bounds).reshape(2, 2) / cell).astype(int)
        rows, columns = grid.taken.shape
        first = np.clip(low, 0, None)
        last = np.clip(high + 1, None, [columns, rows])
        x = np.arange(first[0], last[0]) * cell
        y = np.arange(first[1], last[1]) * cell
        left, down = np.meshgrid(x, y)
        cells = shapely.box(left, down, left + cell, down + cell)
        shapely.prepare(wide)
        grid.taken[first[1] : last[1], first[0] : last[0]] += shapely.intersects(wide, cells)
    column, row, columns, rows = largest_rectangle(grid.taken > 0.5)
    return column * cell, row * cell, (column + columns) * cell, (row + rows) * cell


def _shape(piece: Piece, turn: float) -> shapely.Polygon:
    return shapely.Polygon(turned(piece.outline, turn), [turned(h, turn) for h in piece.holes])


class PlateFiller:
    """The pieces as masks, and the plates to lay them on; fills in the order it is told."""

    def __init__(
        self, pieces: Sequence[Piece], plates: Sequence[Plate], *, gap: float, margin: float
    ) -> None:
        if gap < 0.0 or margin < 0.0 or not plates:
            message = "nesting needs a plate, and gap and margin of 0 or more"
            raise ValueError(message)
        self.pieces, self.plates = pieces, plates
        largest = max(plate.size[0] * plate.size[1] for plate in plates)
        self.cell = float(np.sqrt(largest / CELLS))
        self.areas = [float(_shape(piece, 0.0).area) for piece in pieces]
        # Half the gap widens each piece, so the edge of a plate needs that much less.
        self._inset = margin - 0.5 * gap
        self._masks = [
            [
                (turn, *piece_mask(_shape(piece, turn), grow=0.5 * gap, cell=self.cell))
                for turn in piece.turns
            ]
            for piece in pieces
        ]

    def fill(self, order: Sequence[int]) -> Nested:
        """Plate after plate, each taking what it holds of the pieces in their order."""
        waiting, fills = list(order), []
        used = [0] * len(self.plates)
        while waiting:
            fill = self.next_fill(waiting, used)
            if fill is None:
                break
            fills.append(fill)
            used[fill.plate] += 1
            taken = {placed.piece for placed in fill.placed}
            waiting = [piece for piece in waiting if piece not in taken]
        return Nested(tuple(fills), tuple(sorted(waiting)))

    def price(self, nested: Nested) -> tuple[int, float]:
        """Pieces left over, then the worth used; of the last plate up to its last piece."""
        worth = sum(self.plates[fill.plate].worth for fill in nested.fills)
        if nested.fills:
            share = plates_used(nested, self.pieces, self.plates) - len(nested.fills)
            worth += share * self.plates[nested.fills[-1].plate].worth
        return len(nested.left_over), worth

    def fill_one(self, kind: int, order: Sequence[int]) -> PlateFill:
        """One plate of a kind with what it holds."""
        size = self.plates[kind].size
        grid = PlateGrid((size[0] - 2.0 * self._inset, size[1] - 2.0 * self._inset), self.cell)
        placed = [self._lay(grid, piece) for piece in order]
        return PlateFill(kind, tuple(one for one in placed if one is not None))

    def next_fill(self, waiting: Sequence[int], used: Sequence[int]) -> PlateFill | None:
        """The next plate to cut from and what it holds; None if nothing waits that fits."""
        for kind, plate in enumerate(self.plates):
            if plate.count is not None and used[kind] < plate.count:
                fill = self.fill_one(kind, waiting)
                if fill.placed:
                    return fill
        endless = [kind for kind, plate in enumerate(self.plates) if plate.count is None]
        fills = [fill for fill in (self.fill_one(k, waiting) for k in endless) if fill.placed]
        return max(fills, key=lambda fill: self._use(fill, len(waiting)), default=None)

    def _use(self, fill: PlateFill, waiting: int) -> tuple[bool, float]:
        """Whether it is the last plate needed, and area laid down for its worth."""
        laid = sum(self.areas[placed.piece] for placed in fill.placed)
        return len(fill.placed) == waiting, laid / self.plates[fill.plate].worth

    def _lay(self, grid: PlateGrid, piece: int) -> Placed | None:
        """The piece where it reaches least far along the plate; None if there is no room."""
        best = None
        for turn, mask, low in self._masks[piece]:
            at = grid.leftmost(mask)
            if at is not None and (best is None or (at[0] + mask.shape[1], at[1]) < best[0]):
                best = ((at[0] + mask.shape[1], at[1]), turn, mask, low, at)
        if best is None:
            return None
        _, turn, mask, low, at = best
        grid.take(mask, at)
        x, y = self._inset + self.cell * np.array(at) - low
        return Placed(piece, turn, (float(x), float(y)))
