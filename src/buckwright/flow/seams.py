"""Where seams should go, asked of a job file: searched on all cores, accepted as an edit."""

import multiprocessing
import os
import signal
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from buckwright.errors import JobError
from buckwright.model.job import Job
from buckwright.model.seams import SeamStudy, ShopReach
from buckwright.model.skin import Skin
from buckwright.panels.seam_search import Watch
from buckwright.panels.seam_study import accept, propose_seams
from buckwright.store import JobFile

__all__ = ["accept_seams", "study_seams"]


def study_seams(
    path: Path,
    region: str,
    *,
    reach: ShopReach | None = None,
    workers: int | None = None,
    progress: Callable[[float], None] = lambda share: None,
    stopped: Callable[[], bool] = lambda: False,
) -> SeamStudy:
    """Options for dividing a region of the job's skin; nothing is written.

    `workers` are processes, as many as the machine has cores if None; the answer is the same for
    any number. When `stopped` says so the best so far is given. Raises JobError where the job has
    no skin or sheet yet, or no such region.
    """
    with JobFile.open(path) as file:
        job, skin = file.job(), file.products(("skin",)).skin
    if skin is None:
        raise JobError("The job has no skin yet.", "Work it out first: buckwright solve.")
    return _studied(job, skin, region, reach, workers or os.cpu_count() or 1, progress, stopped)


def accept_seams(path: Path, study: SeamStudy, option: str) -> Job:
    """Make an option's seams and panels the job's own: one edit, which undo takes back."""
    with JobFile.open(path) as file:
        job = accept(study, option, file.job())
        file.change(f"seams of {study.region}: option {option}", job)
    return job


def _studied(
    job: Job,
    skin: Skin,
    region: str,
    reach: ShopReach | None,
    workers: int,
    progress: Callable[[float], None],
    stopped: Callable[[], bool],
) -> SeamStudy:
    if job.sheet is None:
        raise JobError("The job has no sheet yet.", "Choose alloy and thickness first.")
    allowances = [panel.trim_allowance for panel in job.panels if panel.region == region]
    context = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(workers, mp_context=context, initializer=_deaf)
    with pool as executor:
        return propose_seams(
            region,
            skin,
            job.sheet,
            watch=Watch(executor, progress, stopped),
            reach=reach,
            allowance=max(allowances, default=10.0),
        )


def _deaf() -> None:
    """Let only the first process hear Ctrl-C: it asks for the best so far, not for an end."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
