"""Working out a job file: every answer is kept as soon as it is there."""

import multiprocessing
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from buckwright.flow.steps import Bench, Progress, solve_steps, solved_steps
from buckwright.model.job import STEPS, Products, step_digests
from buckwright.store import JobFile

__all__ = ["solve_file", "workbench"]


def workbench(
    workers: int, progress: Progress, stopped: Callable[[], bool] = lambda: False
) -> Bench:
    """A bench with its own processes; use `bench.executor` as a context manager."""
    # Spawned, not forked: the same on every platform, and no lock of the page's server is copied.
    context = multiprocessing.get_context("spawn")
    return Bench(ProcessPoolExecutor(workers, mp_context=context), progress, stopped)


def solve_file(
    path: Path,
    *,
    anew: bool = False,
    until: str | None = None,
    workers: int = 2,
    progress: Progress = lambda step, share: None,
    stopped: Callable[[], bool] = lambda: False,
) -> Products:
    """Work out what is stale or missing (everything, if `anew`) and keep it in the file.

    With `until` what comes after that step is left as it is.

    Raises JobError where a step has no answer, StoppedError when stopped; the steps finished
    before stand in the file either way.
    """
    with JobFile.open(path) as file:
        job = file.job()
        digests = step_digests(job)
        states = file.step_states()
        fresh = () if anew else tuple(step for step in STEPS if states[step] == "done")
        products = file.products(fresh)
        if set(solved_steps(job)) <= {*fresh, "drawings"} or until in fresh:
            return products
        bench = workbench(workers, progress, stopped)
        with bench.executor:
            for step, known in solve_steps(
                job, file.picture_bytes, have=products, fresh=fresh, bench=bench
            ):
                products = known
                file.keep_products(products, {step: digests[step]})
                if step == until:
                    break
    return products
