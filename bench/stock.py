"""Cutting bars: ours beside CP-SAT on the plain model, with kerf, two bar lengths and a rack."""

import random
from collections.abc import Callable
from math import ceil
from time import perf_counter, process_time

from ortools.sat.python import cp_model

from buckwright.buck import plan_cuts
from buckwright.model.buck import CuttingPlan, Piece, Remnant

KERF = 2.0
PEER_SECONDS = 15.0


def main() -> None:
    one_length()
    two_lengths()


def one_length() -> None:
    """80 nearly distinct rods on 6 m bars: is the least number of bars reached and proven?"""
    print("80 nearly distinct rods, 6 m bars, kerf 2 mm; CPU seconds")
    times, proven = [], 0
    for case in range(30):
        plan, _, cpu = timed(lambda case=case: planned(rods(80, 2800.0, case), (6000.0,), []))
        times.append(cpu)
        proven += plan.proven
    times.sort()
    print(f"ours: proven {proven} of 30; median {times[15]:.4f}, longest {times[-1]:.4f}")
    lengths = rods(80, 2800.0, 0)
    bars, wall, cpu = timed(lambda: peer(lengths, (6000.0,), []))
    bound = 6000.0 * ceil(sum(length + KERF for length in lengths) / (6000.0 + KERF))
    print(f"CP-SAT, first of them: {bars:.0f} mm, bound {bound:.0f}, {cpu:.1f} CPU, {wall:.1f} s\n")


def two_lengths() -> None:
    """Rods of 200 to 3,400 mm from two bar lengths and a rack."""
    head = ("bars", "rods", "rack", "bought m", "bound m", "gap %", "CPU s", "wall s", "CP-SAT m")
    print(("{:<12}" + "{:>10}" * 8).format(*head))
    for bars in ((6000.0, 4000.0), (6096.0, 3657.6), (6500.0, 5050.0)):
        for count, remnants in ((40, 0), (80, 8), (120, 8)):
            lengths, rack = rods(count, 3400.0, count), rack_of(remnants)
            plan, wall, cpu = timed(
                lambda lengths=lengths, bars=bars, rack=rack: planned(lengths, bars, rack)
            )
            gap = 100.0 * (plan.length_bought / plan.length_bound - 1.0)
            other = peer(lengths, bars, rack)
            print(
                f"{bars[0]:.0f}/{bars[1]:.0f}".ljust(12)
                + f"{count:>10}{remnants:>10}{plan.length_bought / 1e3:>10.2f}"
                f"{plan.length_bound / 1e3:>10.2f}{gap:>10.2f}{cpu:>10.2f}{wall:>10.2f}"
                f"{other / 1e3:>10.2f}",
                flush=True,
            )


def rods(count: int, longest: float, seed: int) -> list[float]:
    draw = random.Random(seed)
    return [round(draw.uniform(200.0, longest), 1) for _ in range(count)]


def rack_of(count: int) -> list[float]:
    draw = random.Random(7)
    return [float(draw.randint(500, 3000)) for _ in range(count)]


def planned(lengths: list[float], bars: tuple[float, ...], rack: list[float]) -> CuttingPlan:
    return plan_cuts(
        [Piece(name=str(k), length=length) for k, length in enumerate(lengths)],
        bar_lengths=bars,
        kerf=KERF,
        stock="rod",
        remnants=[Remnant(stock="rod", length=length) for length in rack],
    )


def peer(lengths: list[float], bars: tuple[float, ...], rack: list[float]) -> float:
    """mm bought by CP-SAT with one worker in 15 s: each piece in a bar, nothing else told."""
    model = cp_model.CpModel()
    cut = round(10.0 * KERF)
    sizes = [round(10.0 * length) + cut for length in lengths]
    slots = ceil(sum(sizes) / (10.0 * min(bars))) + 3
    kinds = [round(10.0 * bar) for bar in bars]
    inside = [[model.new_bool_var("") for _ in range(slots + len(rack))] for _ in sizes]
    for row in inside:
        model.add_exactly_one(row)
    costs = []
    for b in range(slots + len(rack)):
        load = sum(size * inside[k][b] for k, size in enumerate(sizes))
        if b >= slots:
            model.add(load <= round(10.0 * rack[b - slots]) + cut)
            continue
        chosen = [model.new_bool_var("") for _ in kinds]
        model.add_at_most_one(chosen)
        model.add(load <= sum((kind + cut) * var for kind, var in zip(kinds, chosen, strict=True)))
        costs.append(sum(kind * var for kind, var in zip(kinds, chosen, strict=True)))
    model.minimize(sum(costs))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = PEER_SECONDS
    status = solver.solve(model)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return 0.1 * solver.objective_value if found else float("nan")


def timed(run: Callable[[], object]) -> tuple[object, float, float]:
    wall, cpu = perf_counter(), process_time()
    answer = run()
    return answer, perf_counter() - wall, process_time() - cpu
