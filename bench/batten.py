"""A batten in the hand: the page's step of a drag, and Python's answer when the hand lets go.

The page's own TypeScript is run by Node on a line of 100 points with 100 control points, the
greatest that there are; the peer is SciPy solving the same line as one dense system (control
points and pins together) in the same run.
"""

import importlib.util
import json
import subprocess
import tempfile
from pathlib import Path
from time import perf_counter, process_time

import numpy as np

from buckwright.lines.condensing import feel_line
from buckwright.lines.laying import Laid, lay_network
from buckwright.lines.network import drawn_network
from buckwright.lines.pulling import with_battens
from buckwright.model.lines import LineSpec, Pin, PlacedLine
from buckwright.web.loft import felt_json

ROOT = Path(__file__).parents[1]
RUNNER = ROOT / "tests" / "typescript" / "drag_steps.ts"


def one_line() -> PlacedLine:
    """A roof's arch of 130 points, over so many bends that it needs 100 control points."""
    half = np.pi * np.linspace(0.0, 1.0, 130)
    c, s = np.cos(half), np.sin(half)
    power = 2 / 3.5
    arch = np.column_stack(
        [20 * s, -660 * np.sign(c) * np.abs(c) ** power, 330 + 1290 * np.abs(s) ** power]
    )
    error = np.random.default_rng(0).normal(scale=0.3, size=arch.shape)
    return PlacedLine(name="arch", points=arch + error, sigma=np.full(130, 0.3), closed=False)


def grid(count: int) -> tuple[PlacedLine, ...]:
    """So many lines, half along and half across a vault, that all cross each other."""
    rng = np.random.default_rng(1)
    half = count // 2
    u = np.linspace(0.0, 1.0, 40)
    lines = []
    for k in range(half):
        share = (k + 0.5) / half
        at, bow = share + 0 * u, np.sin(np.pi * u)
        high = 900 + 200 * np.sin(np.pi * share)
        lines.append((f"along {k}", np.column_stack([3000 * u, -200 - 800 * at, high + 300 * bow])))
        high = 900 + 300 * np.sin(np.pi * share)
        lines.append(
            (f"across {k}", np.column_stack([3000 * at, -200 - 800 * u, high + 200 * bow]))
        )
    return tuple(
        PlacedLine(
            name=name,
            points=points + rng.normal(scale=0.4, size=points.shape),
            sigma=np.full(len(points), 0.5),
            closed=False,
        )
        for name, points in lines
    )


def laid_of(lines: tuple[PlacedLine, ...]) -> Laid:
    """The lines laid fair."""
    return lay_network(lines, tuple(LineSpec(name=line.name) for line in lines))


def page_step(laid: Laid, name: str) -> dict[str, float]:
    """Milliseconds of the page for one step of a drag, of CPU and on the clock."""
    spec = importlib.util.spec_from_file_location("hatch_build", ROOT / "hatch_build.py")
    assert spec is not None
    assert spec.loader is not None
    hatch_build = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(hatch_build)
    felt = felt_json(feel_line(laid, name, ()))
    with tempfile.TemporaryDirectory() as folder:
        case = Path(folder) / "felt.json"
        case.write_text(json.dumps(felt))
        command = [*hatch_build.node_command(), str(RUNNER), str(case)]
        done = subprocess.run(command, capture_output=True, text=True, check=True)
    found: dict[str, float] = json.loads(done.stdout)
    return found


def pin_of(laid: Laid, name: str) -> Pin:
    """A pin in the middle third of a line, 15 mm higher than it lies."""
    line = drawn_network(laid).line(name)
    x, y, z = line.curve()(0.4)
    return Pin(line=name, share=0.4, point=(float(x), float(y), float(z) + 15.0))


def answer_time(laid: Laid, pin: Pin) -> tuple[float, float]:
    """Seconds of CPU and on the clock for the network with one pin."""
    start, clock = process_time(), perf_counter()
    drawn_network(laid, (pin,))
    return process_time() - start, perf_counter() - clock


def dense_time(laid: Laid) -> float:
    """Milliseconds of CPU of the peer: one dense system for control points and a pin, by LAPACK."""
    line = with_battens(laid, ()).lines[0]
    batten, m = line.draft.batten, len(line.control)
    data = (batten.basis * batten.weights[:, None]).T @ batten.basis
    bending = (batten.third * batten.limber[:, None]).T @ batten.third
    row = batten.rows(np.array([0.4 * line.draft.end]))
    start = process_time()
    for _ in range(10):
        for stiff in line.draft.stiffness[[0, 0, 1]]:
            system = np.block([[data + stiff * bending, row.T], [row, np.zeros((1, 1))]])
            np.linalg.solve(system, np.append(np.zeros(m), 15.0))
    return 100.0 * (process_time() - start)


def main() -> None:
    """Print what a step of a drag and an answer cost."""
    arch = laid_of((one_line(),))
    count = len(arch.lines[0].control)
    step = page_step(arch, "arch")
    print(f"a step of a drag of a line with {count} control points, drawn at 121 with its comb:")
    print(
        f"  the page (Node)            {step['cpu']:.2f} ms of CPU (95 % of steps below "
        f"{step['cpu95']:.2f}, the first {step['first']:.1f}); {step['median']:.2f} ms on the clock"
    )
    print(f"  numpy, one dense system    {dense_time(arch):.2f} ms of CPU, line only")
    start = process_time()
    laid = laid_of(grid(24))
    print(f"24 lines, {len(laid.nodes)} crossings: laid fair in {process_time() - start:.1f} s")
    cpu, clock = answer_time(laid, pin_of(laid, "along 5"))
    print(f"  answer to one pull         {cpu:.2f} s of CPU, {clock:.2f} s on the clock")


if __name__ == "__main__":
    main()
