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
from buckwright.web.contracts import Asked, JobStore, Works
from buckwright.web.darkroom import Darkroom
from buckwright.web.desk import Desk
from buckwright.web.loft import Loft
from buckwright.web.tracedlines import TracedLines
from buckwright.web.work import Status, Workshop

__all__ = ["Packet", "PacketFile", "Room"]


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

    def __init__(self, path: Path, store: JobStore, works: Works) -> None:
        self.desk = Desk(store)
        self.loft = Loft(self.desk)
        self.darkroom = Darkroom(store.picture_bytes)
        self.traced = TracedLines()
        self.workshop = Workshop(path, works, self._heard)
        self.packet: Packet | None = None
        self._asked_of = ("", "")
        self._pages: set[WebSocket] = set()
        self._sending: set[asyncio.Task[None]] = set()

    def start(self, work: str, asked: Asked | None = None) -> None:
        """Begin a long work; ValueError if another goes on."""
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
        """Tell every page that the job is another."""
        self._tell({"kind": "changed"})

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
        await self.workshop.close()
        for page in tuple(self._pages):
            with contextlib.suppress(WebSocketDisconnect, RuntimeError):
                await page.close(code=1001)

    def _heard(self, status: Status) -> None:
        if status.state == "done" and status.work in self.workshop.products:
            self._take(status.work, self.workshop.products.pop(status.work))
        if not self.workshop.busy:
            self.desk.forget()
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
