"""Bars filled one after the other as full as they can be, by subset sums on bit sets.

All lengths are whole numbers. Bit s of a Python integer says that the sum s can be made; adding
a piece shifts the bits, so a bar of 60,000 units and 80 pieces takes a fraction of a millisecond.
"""

from collections.abc import Sequence

__all__ = ["Bars", "fill_bars", "fill_rack", "fill_row", "fullest_subset"]

SHUFFLES = (0.0, 0.1, 0.3, 0.6, 1.0)
"""How far variants may move a piece in the order, as a share of the largest piece."""

Bars = list[tuple[int, list[int]]]
"""(which kind of bar, which pieces) of each bar."""


def fullest_subset(sizes: Sequence[int], order: Sequence[int], capacity: int) -> list[int]:
    """Numbers of the pieces whose sum comes nearest to the capacity without passing it.

    Of equal sums that with the earlier pieces of `order` is taken.
    """
    mask = (1 << (capacity + 1)) - 1
    reach = [1]
    for k in order:
        reach.append(reach[-1] | (reach[-1] << sizes[k]) & mask)
    left = reach[-1].bit_length() - 1
    chosen = []
    for place in range(len(order), 0, -1):
        if not reach[place - 1] >> left & 1:
            chosen.append(order[place - 1])
            left -= sizes[order[place - 1]]
    return chosen


def _shuffle(count: int, turn: int, factor: float) -> list[float]:
    """Numbers in (-1, 1) that scatter evenly, the same each time: multiples of the golden ratio."""
    step = 0.6180339887498949 * turn * factor
    return [2.0 * ((k + 1) * step % 1.0) - 1.0 for k in range(count)]


def _orders(
    sizes: Sequence[int], pieces: Sequence[int], variant: int
) -> tuple[list[int], list[float]]:
    """The pieces, those to be placed first first, and the rank of every piece as a filler."""
    much = SHUFFLES[variant % len(SHUFFLES)] * max(sizes, default=0)
    first, second = (_shuffle(len(sizes), variant, f) for f in (1.0, 1.4142135623730951))
    ordered = sorted(pieces, key=lambda k: much * first[k] - sizes[k])
    return ordered, [much * second[k] - sizes[k] for k in range(len(sizes))]


def fill_bars(
    sizes: Sequence[int],
    pieces: Sequence[int],
    capacities: Sequence[int],
    costs: Sequence[int],
    *,
    variant: int,
) -> Bars:
    """Each of the pieces in a bar: a bar holds the first piece left and the fullest rest.

    Of several bar lengths that with the least cost for the length it holds is taken, and of the
    last bar the cheapest that holds all that is left. Variant 0 takes the largest piece first;
    higher ones shuffle the order of the pieces more or less, always in the same way. Raises
    ValueError if a piece fits no bar.
    """
    if pieces and max(sizes[k] for k in pieces) > max(capacities):
        message = "a piece is longer than every bar"
        raise ValueError(message)
    left, rank = _orders(sizes, pieces, variant)
    bars: Bars = []
    while left:
        total = sum(sizes[k] for k in left)
        whole = [b for b, capacity in enumerate(capacities) if capacity >= total]
        if whole:
            bars.append((min(whole, key=lambda b: costs[b]), left))
            break
        rest = sorted(left[1:], key=lambda k: rank[k])
        bar, chosen = _next_bar(sizes, left[0], rest, capacities, costs)
        bars.append((bar, chosen))
        left = _without(left, chosen)
    return bars


def fill_row(
    sizes: Sequence[int], pieces: Sequence[int], row: Sequence[int], *, variant: int
) -> list[list[int]]:
    """What lies in each bar of these capacities, filled in that order; some pieces may be left."""
    left, rank = _orders(sizes, pieces, variant)
    held: list[list[int]] = []
    for capacity in row:
        first = next((k for k in left if sizes[k] <= capacity), None)
        if first is None:
            held.append([])
            continue
        rest = sorted((k for k in left if k != first), key=lambda k: rank[k])
        room = capacity - sizes[first]
        fitting = [k for k in rest if sizes[k] <= room]
        held.append([first, *fullest_subset(sizes, fitting, room)])
        left = _without(left, held[-1])
    return held


def fill_rack(
    sizes: Sequence[int], row: Sequence[int], *, variant: int
) -> tuple[list[list[int]], list[int]]:
    """Bars with these capacities, each as full as can be, and the pieces that are left.

    Even variants fill them in order, odd ones from the end.
    """
    left, rank = _orders(sizes, range(len(sizes)), variant // 2)
    left = sorted(left, key=lambda k: rank[k])
    held: list[list[int]] = [[] for _ in row]
    numbers = range(len(row))
    for number in reversed(numbers) if variant % 2 else numbers:
        fitting = [k for k in left if sizes[k] <= row[number]]
        held[number] = fullest_subset(sizes, fitting, row[number])
        left = _without(left, held[number])
    return held, left


def _without(pieces: Sequence[int], taken: Sequence[int]) -> list[int]:
    gone = set(taken)
    return [k for k in pieces if k not in gone]


def _next_bar(
    sizes: Sequence[int],
    first: int,
    rest: Sequence[int],
    capacities: Sequence[int],
    costs: Sequence[int],
) -> tuple[int, list[int]]:
    found = []
    for bar, capacity in enumerate(capacities):
        room = capacity - sizes[first]
        if room >= 0:
            chosen = [first, *fullest_subset(sizes, [k for k in rest if sizes[k] <= room], room)]
            found.append((costs[bar] / sum(sizes[k] for k in chosen), bar, chosen))
    _, bar, chosen = min(found, key=lambda f: f[:2])
    return bar, chosen
