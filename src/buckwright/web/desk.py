"""The job as the page sees it: what was read last, until something changes."""

import threading
from collections.abc import Mapping
from dataclasses import dataclass, field

from buckwright.files.photographs import display_jpeg
from buckwright.model.job import Job, Products
from buckwright.model.seams import SeamStudy
from buckwright.store.history import Operation, undo_and_redo
from buckwright.web.contracts import JobStore

__all__ = ["Desk", "View"]

KEPT_PICTURES = 40
SIZES = (320, 1600, 4096)
"""Pixels of a photograph's longer side as it is sent; the last is the most that tablets show."""


@dataclass(frozen=True, slots=True)
class View:
    """The job, what follows from it, and where it stands in its history."""

    job: Job
    products: Products
    states: dict[str, str]
    operations: tuple[Operation, ...]
    studies: Mapping[str, SeamStudy] = field(default_factory=dict)
    """Searches for seams since the job was opened, by region."""

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
        self._products: tuple[dict[str, str], Products] | None = None
        self._pictures: dict[tuple[str, int], bytes] = {}
        self.studies: dict[str, SeamStudy] = {}

    def view(self) -> View:
        """The job as it stands."""
        with self._lock:
            operations = self.store.history()
            digests = self.store.product_digests()
            key = (operations[-1].id if operations else 0, digests)
            if self._view is None or key != self._key:
                # An edit leaves the answers as they are, and they take longest to read.
                if self._products is None or self._products[0] != digests:
                    self._products = digests, self.store.products()
                self._view = View(
                    self.store.job(),
                    self._products[1],
                    self.store.step_states(),
                    operations,
                    self.studies,
                )
                self._key = key
            return self._view

    def renew(self, products: Products) -> None:
        """Take these as what follows from the job as it stands, without reading them again."""
        with self._lock:
            operations = self.store.history()
            digests = self.store.product_digests()
            self._key = (operations[-1].id if operations else 0, digests)
            self._products = digests, products
            states = self.store.step_states()
            self._view = View(self.store.job(), products, states, operations)

    def forget(self) -> None:
        """Read everything again next time: answers were worked out anew."""
        with self._lock:
            self._view, self._products = None, None

    def picture(self, digest: str, most: int) -> bytes:
        """A JPEG of the photograph, its longer side `most` pixels or less, as it is stored.

        Traces are in pixels of the stored image, so its rotation tag is not applied.
        """
        key = (digest, most)
        with self._lock:
            kept = self._pictures.get(key)
        if kept is None:
            kept = display_jpeg(self.store.picture_bytes(digest), most=most)
            with self._lock:
                while len(self._pictures) >= KEPT_PICTURES:
                    self._pictures.pop(next(iter(self._pictures)))
                self._pictures[key] = kept
        return kept
