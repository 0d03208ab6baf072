"""The job as the page sees it: what was read last, until something changes."""

import threading
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from PIL import Image

from buckwright.model.job import Job, Products
from buckwright.store.history import Operation, undo_and_redo
from buckwright.web.contracts import JobStore

__all__ = ["Desk", "View"]

KEPT_PICTURES = 40
WIDTHS = (320, 1600, 4096)
"""Columns that a photograph is sent with; the last is the most that tablets can show."""


@dataclass(frozen=True, slots=True)
class View:
    """The job, what follows from it, and where it stands in its history."""

    job: Job
    products: Products
    states: dict[str, str]
    operations: tuple[Operation, ...]

    @property
    def revision_number(self) -> int:
        """Number of the last operation; 0 before the first."""
        return self.operations[-1].id if self.operations else 0

    def next_back_and_forth(self) -> tuple[str | None, str | None]:
        """Descriptions of what undo and redo would do, None where there is nothing."""
        standing, undone = undo_and_redo(self.operations)
        words = {operation.id: operation.description for operation in self.operations}
        back, forth = standing[-1:], undone[-1:]
        return (words[back[0]] if back else None, words[forth[0]] if forth else None)


class Desk:
    """Reads the store again only when it has changed; safe to use from several threads."""

    def __init__(self, store: JobStore) -> None:
        self.store = store
        self._lock = threading.Lock()
        self._key: object = None
        self._view: View | None = None
        self._pictures: dict[tuple[str, int], bytes] = {}

    def view(self) -> View:
        """The job as it stands."""
        with self._lock:
            operations = self.store.history()
            key = (operations[-1].id if operations else 0, self.store.product_digests())
            if self._view is None or key != self._key:
                self._view = View(
                    self.store.job(), self.store.products(), self.store.step_states(), operations
                )
                self._key = key
            return self._view

    def forget(self) -> None:
        """Read everything again next time: answers were worked out anew."""
        with self._lock:
            self._view = None

    def picture(self, digest: str, width: int) -> bytes:
        """A JPEG of the photograph, `width` columns wide or less, its rotation tag not applied.

        Traces are in pixels of the stored image, so it is shown as it is stored.
        """
        key = (digest, width)
        with self._lock:
            kept = self._pictures.get(key)
        if kept is None:
            kept = _scaled(self.store.picture_bytes(digest), width)
            with self._lock:
                while len(self._pictures) >= KEPT_PICTURES:
                    self._pictures.pop(next(iter(self._pictures)))
                self._pictures[key] = kept
        return kept


def _scaled(data: bytes, width: int) -> bytes:
    with Image.open(BytesIO(data)) as photograph:
        size = (width, max(round(photograph.height * width / photograph.width), 1))
        settings: dict[str, Any] = {"quality": 88}
        photograph.draft("RGB", size)
        picture = photograph.convert("RGB")
        if picture.width > width:
            picture = picture.resize(size, Image.Resampling.LANCZOS)
        out = BytesIO()
        picture.save(out, "JPEG", **settings)
        return out.getvalue()
