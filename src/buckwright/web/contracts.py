"""What the page needs from its surroundings: a job's store, and work that takes long."""

from collections.abc import Callable, Mapping
from typing import Any, Protocol

from buckwright.model.job import Job, Products
from buckwright.store.history import Operation

__all__ = ["Asked", "JobStore", "Stopped", "Tell", "Work", "Works"]

Tell = Callable[[str, float], None]
"""Called with the step and the share of it that is done."""
Stopped = Callable[[], bool]
"""Whether the user has asked to stop."""
Asked = Mapping[str, Any]
"""What a work is told besides, as the page sent it: JSON."""
Work = Callable[..., bytes | None]
"""Something that takes long, on the job file at a path, called with the path, Tell and Stopped,
and `asked` where something was asked; it runs in a process of its own, so it must be a function of
a module. What it gives back is kept."""
Works = Mapping[str, Work]
"""'solve' works out what is stale or missing, 'anew' everything; 'packet' gives the zip for the
shop floor; 'seams' a study of a region's seams as JSON."""


class JobStore(Protocol):
    """An open job, as `buckwright.store.JobFile` is."""

    def job(self) -> Job:
        """The job as it stands now."""

    def products(self) -> Products:
        """What has been computed, stale answers included."""

    def product_digests(self) -> dict[str, str]:
        """What each kept answer was made from."""

    def step_states(self) -> dict[str, str]:
        """For each step 'done', 'stale' or 'not done'."""

    def keep_products(self, products: Products, digests: Mapping[str, str]) -> None:
        """Keep the answers of the steps named in `digests`, all or none."""

    def picture_bytes(self, digest: str) -> bytes:
        """The original bytes of a photograph."""

    def add_blob(self, data: bytes) -> str:
        """Keep these bytes; their SHA-256."""

    def change(self, description: str, job: Job, *, who: str = "") -> int:
        """Replace the job in one transaction that can be undone."""

    def undo(self, *, who: str = "") -> str | None:
        """Take back the last standing edit."""

    def redo(self, *, who: str = "") -> str | None:
        """Make the last undone edit again."""

    def history(self) -> tuple[Operation, ...]:
        """The whole log, oldest first."""
