"""Cutting from bars against published instances with known optimum, and against exact bounds."""

import random
from math import ceil
from pathlib import Path

import pytest

from buckwright.buck.stock import plan_cuts
from buckwright.model.buck import CuttingPlan, Piece, Remnant

DATA = Path(__file__).parents[1] / "data"


def _instances() -> list[tuple[str, int, int, list[int]]]:
    """(name, capacity, best known, sizes) of Falkenauer's class of 120 uniform sizes.

    Falkenauer, 'A hybrid grouping genetic algorithm for bin packing', Journal of Heuristics 2
    (1996); OR-Library, J. E. Beasley, file binpack1, read from a public copy.
    """
    words = (DATA / "binpack1.txt").read_text(encoding="ascii").split()
    found, at = [], 1
    for _ in range(int(words[0])):
        capacity, count, best = (int(word) for word in words[at + 1 : at + 4])
        sizes = [int(word) for word in words[at + 4 : at + 4 + count]]
        found.append((words[at], capacity, best, sizes))
        at += 4 + count
    return found


def _plan(
    lengths: list[float], bars: tuple[float, ...], kerf: float, rack: list[float]
) -> CuttingPlan:
    return plan_cuts(
        [Piece(name=f"rod {k}", length=length) for k, length in enumerate(lengths)],
        bar_lengths=bars,
        kerf=kerf,
        stock="rod",
        remnants=[Remnant(stock="rod", length=length) for length in rack],
    )


def _check(
    plan: CuttingPlan, lengths: list[float], bars: tuple[float, ...], rack: list[float]
) -> None:
    """Everything is cut once, every bar holds what is cut from it, no remnant is used twice."""
    cut = sorted(piece.name for bar in plan.bars for piece in bar.pieces)
    assert cut == sorted(f"rod {k}" for k in range(len(lengths)))
    left = list(rack)
    for bar in plan.bars:
        used = sum(p.length for p in bar.pieces) + plan.kerf * (len(bar.pieces) - 1)
        assert used <= bar.bar_length + 1e-6
        if bar.from_rack:
            left.remove(next(r for r in left if abs(r - bar.bar_length) < 0.05))
        else:
            assert min(abs(bar.bar_length - length) for length in bars) < 0.051
    bought = sum(bar.bar_length for bar in plan.bars if not bar.from_rack)
    assert plan.length_bought == pytest.approx(bought)
    assert plan.length_bound <= bought + 1e-6
    assert plan.proven == (plan.length_bound == pytest.approx(bought))


def test_all_twenty_published_lists_are_cut_from_their_known_least_number_of_bars() -> None:
    instances = _instances()
    assert len(instances) == 20
    for name, capacity, best, sizes in instances:
        lengths = [float(size) for size in sizes]
        plan = _plan(lengths, (float(capacity),), 0.0, [])
        assert (name, len(plan.bars), plan.bars_bound, plan.proven) == (name, best, best, True)
        _check(plan, lengths, (float(capacity),), [])


@pytest.mark.parametrize("case", range(5, 20))
def test_eighty_nearly_distinct_rods_reach_the_bound_of_their_material(case: int) -> None:
    draw = random.Random(case)
    lengths = [round(draw.uniform(200.0, 2800.0), 1) for _ in range(80)]
    plan = _plan(lengths, (6000.0,), 2.0, [])
    assert len(plan.bars) == ceil(sum(length + 2.0 for length in lengths) / 6002.0)
    assert plan.proven
    _check(plan, lengths, (6000.0,), [])


@pytest.mark.parametrize(
    "case", [0, 2, *(pytest.param(case, marks=pytest.mark.slow) for case in (1, 3))]
)
def test_two_bar_lengths_with_a_rack_come_within_half_a_percent_of_the_bound(case: int) -> None:
    draw = random.Random(case)
    lengths = [round(draw.uniform(200.0, 2800.0), 1) for _ in range(60)]
    rack = [float(draw.randint(500, 3000)) for _ in range(3 * case)]
    bars = (6500.0, 5050.0) if case % 2 else (6000.0, 4000.0)
    plan = _plan(lengths, bars, 2.0, rack)
    assert plan.length_bought <= 1.005 * plan.length_bound
    _check(plan, lengths, bars, rack)


def _least_bought(left: tuple[int, ...], rack: tuple[int, ...], bars: tuple[int, ...]) -> int:
    """Least length bought, trying each way to fill a bar round the first piece."""
    if not left:
        return 0
    first, rest = left[0], left[1:]
    best = 10**9
    for chosen in range(1 << len(rest)):
        held = first + sum(s for k, s in enumerate(rest) if chosen >> k & 1)
        others = tuple(s for k, s in enumerate(rest) if not chosen >> k & 1)
        for r, remnant in enumerate(rack):
            if held <= remnant:
                best = min(best, _least_bought(others, rack[:r] + rack[r + 1 :], bars))
        fitting = [bar for bar in bars if bar >= held]
        if fitting:
            best = min(best, min(fitting) + _least_bought(others, rack, bars))
    return best


@pytest.mark.parametrize("case", range(6))
def test_small_lists_with_a_rack_buy_no_more_than_trying_every_way(case: int) -> None:
    draw = random.Random(40 + case)
    lengths = tuple(sorted((draw.randint(500, 3500) for _ in range(7)), reverse=True))
    rack = tuple(draw.randint(600, 3000) for _ in range(2))
    bars = (6000, 4000)
    plan = _plan([float(v) for v in lengths], (6000.0, 4000.0), 0.0, [float(v) for v in rack])
    assert plan.length_bought == pytest.approx(_least_bought(lengths, rack, bars))
    _check(plan, [float(v) for v in lengths], (6000.0, 4000.0), [float(v) for v in rack])
