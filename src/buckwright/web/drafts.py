"""The skin in a moment: coarse where an edit moved lines, until the fine one is worked out.

What the fine skin was made from is remembered as long as the page's server runs; a skin that was
stale already when the server started is drafted as a whole.
"""

import threading
from contextlib import suppress

from buckwright.errors import JobError
from buckwright.flow.draft import Made, draft_skin
from buckwright.model.job import step_digests
from buckwright.model.skin import SkinRegion
from buckwright.skin.drafting import Draft
from buckwright.web.desk import View
from buckwright.web.frames import pack_frame
from buckwright.web.skin_arrays import region_arrays

__all__ = ["Drafts", "wants_draft"]

Shown = tuple[tuple[SkinRegion, bool], ...]


def wants_draft(view: View) -> bool:
    """Whether the lines are worked out and the skin over them is not."""
    states = view.states
    known = view.products.lines is not None and bool(view.job.regions)
    return known and states.get("lines") == "done" and states.get("skin") != "done"


class Drafts:
    """The draft of one job's skin; safe to use from several threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._fine_from: Made | None = None
        self._known: dict[str, Draft] = {}
        self._key = ""
        self._shown: Shown = ()
        self._trouble = ""

    def note(self, view: View) -> None:
        """Remember what the skin was made from, if it is up to date."""
        lines = view.products.lines
        if lines is not None and view.states.get("skin") == "done":
            self._fine_from = (lines.network, view.job.regions)

    def prepare(self, view: View) -> None:
        """Begin to draft regions from the lines as they stand, so that the next draft is quick."""
        if not self._known and view.states.get("skin") == "done":
            threading.Thread(target=self._ready, args=(view,), daemon=True).start()

    def frame(self, view: View) -> bytes:
        """Every region v<i>, t<i>, l<i> as in the frame of the skin; none where it is not wanted.

        What it is about says of each region whether it is coarse, and what stands in the way.
        """
        shown, trouble = self._drawn(view) if wants_draft(view) else ((), "")
        arrays = region_arrays([region for region, _ in shown])
        regions = [{"name": r.name, "side": r.side, "coarse": coarse} for r, coarse in shown]
        return pack_frame({"regions": regions, "trouble": trouble}, arrays)

    def _drawn(self, view: View) -> tuple[Shown, str]:
        key = step_digests(view.job)["skin"]
        with self._lock:
            if key != self._key:
                self._shown, self._trouble = (), ""
                try:
                    self._shown, self._known = draft_skin(
                        view.job, view.products, self._fine_from, self._known
                    )
                except JobError as error:
                    self._trouble = f"{error.problem} {error.remedy}"
                self._key = key
            return self._shown, self._trouble

    def _ready(self, view: View) -> None:
        # What is wrong with the lines is told when a draft of them is wanted.
        with self._lock, suppress(JobError):
            if not self._known:
                _, self._known = draft_skin(view.job, view.products, None, {})
