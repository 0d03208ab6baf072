"""Bars filled one after the other as full as they can be, by subset sums on bit sets.

All lengths are whole numbers. Bit s of a Python integer says that the sum s can be made; adding
a piece shifts the bits, so a bar of 60,000 units and 80 pieces takes a fraction of a millisecond.
"""

from collections.abc import Sequence

__all__ = ["fill_bars", "fullest_subset"]

SHUFFLES = (0.0, 0.1, 0.3, 0.6, 1.0)
"""How far variants may move a piece in the order, as a share of the largest piece."""

Bars = list[tuple[int, list[int]]]
"""(which bar length, which pieces) of each bar."""


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


def fill_bars(
    sizes: Sequence[int], capacities: Sequence[int], costs: Sequence[int], *, variant: int
) -> Bars:
    """Every piece in a bar: each bar holds the first piece left and the fullest rest.

    Of several bar lengths that with the least cost for the length it holds is taken, and of the
    last bar the cheapest that holds all that is left. Variant 0 takes the largest piece first;
    higher ones shuffle the order of the pieces more or less, always in the same way. Raises
    ValueError if a piece fits no bar.
    """
    if sizes and max(sizes) > max(capacities):
        message = "a piece is longer than every bar"
        raise ValueError(message)
    much = SHUFFLES[variant % len(SHUFFLES)] * max(sizes, default=0)
    first, second = (_shuffle(len(sizes), variant, f) for f in (1.0, 1.4142135623730951))
    left = sorted(range(len(sizes)), key=lambda k: much * first[k] - sizes[k])
    rank = [much * second[k] - sizes[k] for k in range(len(sizes))]
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
        taken = set(chosen)
        left = [k for k in left if k not in taken]
    return bars


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
