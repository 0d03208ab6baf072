"""What all requests share: the desk, the workshop, the packet, and the open pages."""

import asyncio
import contextlib
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import BadZipFile, ZipFile

from starlette.websockets import WebSocket, WebSocketDisconnect

from buckwright.model.job import STEPS, step_digests
from buckwright.model.seams import SeamStudy
from buckwright.web.contracts import Asked, JobStore, Work, Works
from buckwright.web.darkroom import Darkroom
from buckwright.web.desk import Desk
from buckwright.web.drafts import Drafts, wants_draft
from buckwright.web.loft import Loft
from buckwright.web.tracedlines import TracedLines
from buckwright.web.work import Status, Workshop

__all__ = ["FOLLOW", "Packet", "PacketFile", "Room"]

FOLLOW = "skin"
"""The work that gives the fine skin after a draft."""
QUIET = 2.0
"""Seconds after the last edit before it begins: a hand that pulls on has the machine to itself."""


@dataclass(frozen=True, slots=True)
class PacketFile:
    """One file of the packet."""

    name: str
    size: int


@dataclass(frozen=True, eq=False, slots=True)
class Packet:
    """The packet made last, and a digest of all that it was made from."""

    data: bytes
    made_from: str
    revision: str

    def files(self) -> tuple[PacketFile, ...]:
        """Its files, in the order in which they were packed."""
        with ZipFile(BytesIO(self.data)) as archive:
            return tuple(
                PacketFile(entry.filename, entry.file_size)
                for entry in archive.infolist()
                if not entry.is_dir()
            )

    def read(self, name: str) -> bytes:
        """One file; KeyError if the packet does not hold it."""
        with ZipFile(BytesIO(self.data)) as archive:
            return archive.read(name)


class Room:
    """One open job with the pages that look at it."""

    def __init__(
        self, path: Path, store: JobStore, works: Works, follow: Work | None = None
    ) -> None:
        self.desk = Desk(store)
        self.loft = Loft(self.desk)
        self.drafts = Drafts()
        self.follows = follow is not None
        if follow is not None:
            works = {**works, FOLLOW: follow}
        self._next: tuple[str, Asked | None] | None = None
        self._waiting: asyncio.TimerHandle | None = None
        self.darkroom = Darkroom(store.picture_bytes)
        self.traced = TracedLines()
        self.workshop = Workshop(path, works, self._heard)
        self.packet: Packet | None = None
        self._asked_of = ("", "")
        self._pages: set[WebSocket] = set()
        self._sending: set[asyncio.Task[None]] = set()

    def start(self, work: str, asked: Asked | None = None) -> None:
        """Begin a long work; ValueError if another goes on.

        Where it is the skin that follows a draft which goes on, that is stopped first.
        """
        if self._gives_way(work, asked):
            return
        job = self.desk.view().job
        self._asked_of = (step_digests(job)[STEPS[-1]], job.revision)
        self.workshop.start(work, asked)

    def packet_state(self) -> str:
        """'done', 'stale' (the job changed since) or 'not done'."""
        if self.packet is None:
            return "not done"
        now = step_digests(self.desk.view().job)[STEPS[-1]]
        return "done" if now == self.packet.made_from else "stale"

    def changed(self) -> None:
        """Tell every page that the job is another; the skin follows."""
        self._tell({"kind": "changed"})
        if self.follows:
            loop = asyncio.get_running_loop()
            loop.run_in_executor(None, self._draft, loop)

    def _draft(self, loop: asyncio.AbstractEventLoop) -> None:
        """Draft the skin where it is stale, then have the fine one worked out."""
        view = self.desk.view()
        if wants_draft(view):
            self.drafts.frame(view)
            with contextlib.suppress(RuntimeError):
                # The loop may have been closed while the draft was made.
                loop.call_soon_threadsafe(self._follow)

    def _follow(self) -> None:
        """Begin the fine skin when no further edit comes for a while."""
        if self._waiting is not None:
            self._waiting.cancel()
        loop = asyncio.get_running_loop()
        self._waiting = loop.call_later(QUIET, self._begin_to_follow)

    def _begin_to_follow(self) -> None:
        self._waiting = None
        if not self.workshop.busy or self.workshop.status.work == FOLLOW:
            self.start(FOLLOW)

    def _gives_way(self, work: str, asked: Asked | None) -> bool:
        """Whether a skin that follows is being worked out: it stops, and this work is next."""
        if not (self.workshop.busy and self.workshop.status.work == FOLLOW):
            return False
        self._next = (work, asked)
        self.workshop.stop()
        return True

    async def listen(self, page: WebSocket) -> None:
        """Serve one page's socket until it goes away."""
        await page.accept()
        self._pages.add(page)
        try:
            await page.send_json(self.workshop.status.json())
            while True:
                # Nothing is expected from the page; this notices when it leaves.
                await page.receive_text()
        except (WebSocketDisconnect, RuntimeError, KeyError):
            pass
        finally:
            self._pages.discard(page)

    async def close(self) -> None:
        """Stop work, and let the pages go so that the server can end."""
        self._next = None
        if self._waiting is not None:
            self._waiting.cancel()
        await self.workshop.close()
        for page in tuple(self._pages):
            with contextlib.suppress(WebSocketDisconnect, RuntimeError):
                await page.close(code=1001)

    def _heard(self, status: Status) -> None:
        if status.state == "done" and status.work in self.workshop.products:
            self._take(status.work, self.workshop.products.pop(status.work))
        if not self.workshop.busy:
            self.desk.forget()
            if self._next is not None:
                work, self._next = self._next, None
                asyncio.get_running_loop().call_soon(self.start, *work)
        self._tell(status.json())

    def _take(self, work: str, data: bytes) -> None:
        if work == "seams":
            study = SeamStudy.model_validate_json(data)
            self.desk.studies[study.region] = study
        else:
            self._take_packet(data)

    def _take_packet(self, data: bytes) -> None:
        packet = Packet(data, *self._asked_of)
        with contextlib.suppress(BadZipFile):
            packet.files()
            self.packet = packet

    def _tell(self, message: dict[str, Any]) -> None:
        for page in tuple(self._pages):
            task = asyncio.get_running_loop().create_task(self._send(page, message))
            self._sending.add(task)
            task.add_done_callback(self._sending.discard)

    async def _send(self, page: WebSocket, message: dict[str, Any]) -> None:
        try:
            await page.send_json(message)
        except (WebSocketDisconnect, RuntimeError):
            self._pages.discard(page)
