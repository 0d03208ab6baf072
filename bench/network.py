"""Networks of many crossings: laid once, solved again after an edit, beside numpy.

Lines on a body like Wren's side: as many sections as levels, 24 points each with errors of 0.5 mm.
The edit pulls one section by 5 mm, and all lines and crossings are drawn anew. numpy is given the
dense system over the crossings, by which small networks are solved, as far as its matrix fits.
"""

from time import perf_counter, process_time

import numpy as np
from numpy.typing import NDArray

from buckwright.lines.crowd import pull_crowd, springs_of
from buckwright.lines.grips import find_grips
from buckwright.lines.laying import Laid, lay_network
from buckwright.lines.network import drawn_network
from buckwright.lines.pulling import make_system, settle, with_battens
from buckwright.model.lines import LineSpec, Pin, PlacedLine

Array = NDArray[np.float64]

SIZES = (10, 20, 40, 100)
"""Sections, and levels; the last has the 200 lines of the figure."""
DENSE = 1_700
"""Crossings beyond which the dense matrix is not tried: 10,000 need 7 GB."""
SIGMA = 0.5


def lattice(count: int) -> tuple[tuple[PlacedLine, ...], tuple[LineSpec, ...]]:
    """`count` sections and `count` levels of a body's left side."""
    rng = np.random.default_rng(0)
    up, along = np.linspace(0.03, 0.47, 24), np.linspace(0.005, 0.995, 24)
    lines = {f"section {k}": body(u, up) for k, u in enumerate(np.linspace(0.02, 0.98, count))}
    lines |= {f"level {k}": body(along, v) for k, v in enumerate(np.linspace(0.04, 0.46, count))}
    placed = tuple(
        PlacedLine(
            name=name,
            points=exact + rng.normal(scale=SIGMA, size=exact.shape),
            sigma=np.full(len(exact), SIGMA),
            closed=False,
        )
        for name, exact in lines.items()
    )
    return placed, tuple(LineSpec(name=name) for name in lines)


def body(along: Array | float, round_: Array | float) -> Array:
    """(n, 3) points of a swelling side: superellipse sections from sill to roof."""
    u, v = np.broadcast_arrays(along, round_)
    swell = np.sin(np.pi * (0.1 + 0.8 * u))
    c, s = np.cos(np.pi * v), np.sin(np.pi * v)
    half, height = 560.0 + 150.0 * swell, 1150.0 + 150.0 * swell
    return np.column_stack(
        [420.0 + 2480.0 * u, -half * c ** (2 / 3), 330.0 + height * s ** (2 / 3)]
    )


def edit(laid: Laid, share: float) -> Pin:
    """The middle section pulled out by 5 mm."""
    line = laid.lines[len(laid.lines) // 4]
    draft = line.draft
    at = np.array([draft.start + share * (draft.end - draft.start)])
    place = (draft.batten.rows(at) @ line.control)[0]
    return Pin(line=draft.name, share=share, point=(None, float(place[1]) - 5.0, None))


def main() -> None:
    """Print a line for each size."""
    print("network: lines, crossings | laid from nothing | factors, once | an edit, all told")
    for count in SIZES:
        placed, specs = lattice(count)
        start, wall = process_time(), perf_counter()
        laid = lay_network(placed, specs)
        first = process_time() - start, perf_counter() - wall
        hand = with_battens(laid, ())
        start = process_time()
        springs_of(hand)
        factors = process_time() - start
        drawn_network(laid, (edit(laid, 0.5),))
        again, spent, waited = edit(laid, 0.537), process_time(), perf_counter()
        drawn_network(laid, (again,))
        spent, waited = process_time() - spent, perf_counter() - waited
        print(
            f"  {2 * count:4d}, {len(laid.nodes):6d} | {first[0]:6.2f} s CPU, {first[1]:6.2f} s | "
            f"{factors:5.2f} s CPU | {spent:5.2f} s CPU, {waited:5.2f} s"
        )
        if len(laid.nodes) <= DENSE:
            peer(hand, again)


def peer(hand: Laid, pin: Pin) -> None:
    """The moves alone, by the dense system and by ours."""
    grips = find_grips(hand, (pin,))
    start = process_time()
    dense = settle(make_system(hand, grips)).reshape(-1, 3)[: len(hand.nodes)]
    theirs = process_time() - start
    start = process_time()
    _, ours = pull_crowd(hand, grips)
    spent = process_time() - start
    differ = float(np.abs(ours - dense).max())
    print(
        f"        moves: numpy dense {1e3 * theirs:.0f} ms, ours {1e3 * spent:.0f} ms "
        f"(x{theirs / max(spent, 1e-9):.1f}), {differ:.4f} mm apart"
    )
