"""A row of bars that does not quite hold all pieces, refilled a few bars at a time until it does.

Two to four bars are emptied and filled again by subset sums, together with the pieces that found
no place, as long as no less is placed than before. Which bars, and in which order the pieces are
tried, runs through multiples of the golden ratio: it scatters evenly and is the same each time.
"""

from collections.abc import Iterator, Sequence

from buckwright.buck.fill import fill_row, fullest_subset

__all__ = ["refill_row"]

MOST_BARS = 4


def _scattered() -> Iterator[float]:
    """Numbers in (0, 1), evenly scattered."""
    value = 0.5
    while True:
        value = (value + 0.6180339887498949) % 1.0
        # A second, incommensurable factor, so that neighbours are not in step.
        yield value * 1.4142135623730951 * 997.0 % 1.0


def refill_row(
    sizes: Sequence[int], row: Sequence[int], *, moves: int
) -> tuple[list[list[int]], list[int]]:
    """What lies in each bar of these capacities, and what found no place after so many moves."""
    held, left = _first_filling(sizes, row)
    turn = _scattered()
    for _ in range(moves):
        if not left or len(row) < 2:
            break
        chosen = _some_bars(sizes, row, held, turn)
        pool = [*left, *(k for b in chosen for k in held[b])]
        filled, rest = _refilled(sizes, pool, [row[b] for b in chosen], turn)
        if sum(sizes[k] for k in rest) <= sum(sizes[k] for k in left):
            left = rest
            for b, pieces in zip(chosen, filled, strict=True):
                held[b] = pieces
    return held, left


def _first_filling(sizes: Sequence[int], row: Sequence[int]) -> tuple[list[list[int]], list[int]]:
    held = fill_row(sizes, range(len(sizes)), row, variant=0)
    placed = {k for pieces in held for k in pieces}
    return held, [k for k in range(len(sizes)) if k not in placed]


def _some_bars(
    sizes: Sequence[int], row: Sequence[int], held: Sequence[Sequence[int]], turn: Iterator[float]
) -> list[int]:
    """Two to four bars, every other time with the one that has the most room, which comes last."""
    wanted = min(2 + int(next(turn) * (MOST_BARS - 1)), len(row))
    chosen: dict[int, None] = {}
    if next(turn) < 0.5:
        room = [capacity - sum(sizes[k] for k in held[b]) for b, capacity in enumerate(row)]
        chosen[max(range(len(row)), key=room.__getitem__)] = None
    while len(chosen) < wanted:
        chosen[int(next(turn) * len(row))] = None
    return list(reversed(chosen))


def _refilled(
    sizes: Sequence[int], pool: Sequence[int], row: Sequence[int], turn: Iterator[float]
) -> tuple[list[list[int]], list[int]]:
    """Bars of these capacities filled in turn; every other time each with the largest piece."""
    left = sorted(pool, key=lambda k: (0.5 + next(turn)) * -sizes[k])
    largest = next(turn) < 0.5
    filled = []
    for capacity in row:
        first = [k for k in left[:1] if largest and sizes[k] <= capacity]
        room = capacity - sum(sizes[k] for k in first)
        fitting = [k for k in left if k not in first and sizes[k] <= room]
        filled.append([*first, *fullest_subset(sizes, fitting, room)])
        gone = set(filled[-1])
        left = [k for k in left if k not in gone]
    return filled, left
