"""Long work in a process of its own, with its progress told to every open page."""

import asyncio
import multiprocessing
import threading
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from multiprocessing.queues import Queue
from multiprocessing.synchronize import Event
from pathlib import Path
from typing import Any, Literal

from buckwright.errors import BuckwrightError
from buckwright.web.contracts import Asked, Work, Works

__all__ = ["Status", "Workshop"]

State = Literal["idle", "running", "stopping", "done", "stopped", "failed"]
Line = tuple[str, float] | None
"""A step and its share; None ends the telling."""

_lines: "Queue[Line] | None" = None
_stop: Event | None = None


@dataclass(frozen=True, slots=True)
class Status:
    """What is being worked on and how far it is."""

    work: str = ""
    state: State = "idle"
    step: str = ""
    share: float = 0.0
    words: str = ""
    """Why it failed and what to do, in two sentences."""

    def json(self) -> dict[str, Any]:
        """As the page reads it."""
        return {
            "kind": "work",
            "work": self.work,
            "state": self.state,
            "step": self.step,
            "share": round(self.share, 3),
            "words": self.words,
        }


class Workshop:
    """Does one long work at a time; `tell` is called in the event loop at every change."""

    def __init__(self, path: Path, works: Works, tell: Callable[[Status], None]) -> None:
        self.path, self.works, self.tell = path, works, tell
        self.status = Status()
        self.products: dict[str, bytes] = {}
        """What works gave back, by their name."""
        self._stop: Event | None = None
        self._running: asyncio.Task[None] | None = None

    @property
    def busy(self) -> bool:
        """Whether something is being worked on."""
        return self.status.state in ("running", "stopping")

    def start(self, name: str, asked: Asked | None = None) -> None:
        """Begin the work of that name; ValueError if another is still going on."""
        if self.busy:
            message = f"{self.status.work} is still being worked on"
            raise ValueError(message)
        self._say(Status(name, "running"))
        self._running = asyncio.get_running_loop().create_task(self._run(name, asked))

    def stop(self) -> None:
        """Ask the work to stop; it does so before its next part."""
        if self._stop is not None and self.busy:
            self._stop.set()
            self._say(Status(self.status.work, "stopping", self.status.step, self.status.share))

    async def close(self) -> None:
        """Stop what is going on, and wait until it has."""
        self.stop()
        if self._running is not None:
            await self._running

    def _say(self, status: Status) -> None:
        self.status = status
        self.tell(status)

    def _heard(self, name: str, line: tuple[str, float]) -> None:
        if self.busy:
            self._say(Status(name, self.status.state, *line))

    async def _run(self, name: str, asked: Asked | None) -> None:
        context = multiprocessing.get_context("spawn")
        lines: Queue[Line] = context.Queue()
        self._stop = context.Event()
        loop = asyncio.get_running_loop()

        def hear(line: tuple[str, float]) -> None:
            loop.call_soon_threadsafe(self._heard, name, line)

        listener = threading.Thread(target=_listen, args=(lines, hear), daemon=True)
        listener.start()
        pool = ProcessPoolExecutor(
            1, mp_context=context, initializer=_settle_in, initargs=(lines, self._stop)
        )
        try:
            told = self.works[name]
            work = partial(_work, partial(told, asked=asked) if asked else told, self.path)
            given = await loop.run_in_executor(pool, work)
        except BuckwrightError as error:
            ended = Status(name, "failed", self.status.step, self.status.share, str(error))
        except Exception as error:
            # Whatever the work died of, the page must hear of it.
            ended = self._end_of(name, error)
        else:
            if given is not None:
                self.products[name] = given
            ended = Status(name, "done", share=1.0)
        finally:
            lines.put(None)
            await asyncio.to_thread(listener.join)
            pool.shutdown(wait=False, cancel_futures=True)
        self._say(ended)

    def _end_of(self, name: str, error: Exception) -> Status:
        if self._stop is not None and self._stop.is_set():
            return Status(name, "stopped", self.status.step, self.status.share)
        words = f"The work broke off ({type(error).__name__}: {error}). What was finished is kept."
        return Status(name, "failed", self.status.step, self.status.share, words)


def _listen(lines: "Queue[Line]", hear: Callable[[tuple[str, float]], object]) -> None:
    while (line := lines.get()) is not None:
        hear(line)


def _settle_in(lines: "Queue[Line]", stop: Event) -> None:
    """Runs once in the worker: how it speaks and how it is stopped."""
    global _lines, _stop
    _lines, _stop = lines, stop


def _work(work: Work, path: Path) -> bytes | None:
    lines, stop = _lines, _stop
    assert lines is not None
    assert stop is not None
    given = work(path, lambda step, share: lines.put((step, share)), stop.is_set)
    # Everything said must have left this process before the answer does.
    lines.close()
    lines.join_thread()
    return given
