"""Lines in the hand: what the page needs to pull one, and the answer when it lets go.

The lines are laid once and kept as long as what they were laid from stays the same.
"""

import threading
from contextlib import suppress
from hashlib import sha256
from typing import Any

import numpy as np

from buckwright.errors import JobError
from buckwright.flow.loft import feel, lay_lines, pull_lines
from buckwright.lines.condensing import Felt, Follower
from buckwright.lines.grips import NEAR, Grip
from buckwright.lines.reference import Lofted
from buckwright.model.job import Job, Reference, step_digests
from buckwright.web.desk import Desk, View

__all__ = ["Loft", "felt_json", "moves_by_hand"]


def moves_by_hand(before: Job, after: Job) -> bool:
    """Whether pins, battens, departures or what lines keep are others: all but the measuring."""
    return _pulls(before, after) or before.departures != after.departures


def _pulls(before: Job, after: Job) -> bool:
    shown = {"pins", "battens", "holds"}
    return before.model_dump_json(include=shown) != after.model_dump_json(include=shown)


class Loft:
    """The laid lines of one job; safe to use from several threads."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._lock = threading.Lock()
        self._key = ""
        self._lofted: Lofted | None = None

    def line(self, view: View, name: str) -> dict[str, Any]:
        """The line of that name as the page pulls it; KeyError if there is none.

        Raises JobError where there is no batten to pull.
        """
        return felt_json(feel(view.job, self._laid(view, view.job), name))

    def prepare(self, view: View) -> None:
        """Begin to lay the lines, which takes seconds, so that they are ready for the hand."""
        if view.states.get("pictures") == "done" and (view.job.datum or view.job.tables):
            key = self._made_from(view.job)
            threading.Thread(target=self._ready, args=(view, key), daemon=True).start()

    def answer(self, view: View, job: Job) -> Reference | None:
        """The answer of the lines step for a job that differs from the view's only by the hand.

        None where it has not been worked out before. Raises JobError where a pin cannot be.
        """
        if view.products.lines is None or not moves_by_hand(view.job, job):
            return None
        try:
            laid = self._laid(view, job)
        except JobError:
            # A departure may be decided before its lines can be laid; a pull may not.
            if _pulls(view.job, job):
                raise
            return None
        return pull_lines(job, laid)

    def keep(self, view: View, job: Job, reference: Reference) -> None:
        """Keep this answer of the lines step for the job as it now stands in the store."""
        products = view.products.model_copy(update={"lines": reference})
        self._desk.store.keep_products(products, {"lines": step_digests(job)["lines"]})
        self._desk.renew(products)

    def _laid(self, view: View, job: Job) -> Lofted:
        if view.states.get("pictures") != "done":
            raise JobError(
                "The pictures changed since they were worked out, so the lines may not lie so.",
                "Work them out again, then pull.",
            )
        return self._lay(view, job, self._made_from(job))

    def _made_from(self, job: Job) -> str:
        asked = {"scale", "lines", "datum", "holds", "tables", "tape_scale"}
        text = job.model_dump_json(include=asked)
        made_from = self._desk.store.product_digests().get("pictures", "")
        return sha256(f"{made_from} {text}".encode()).hexdigest()

    def _ready(self, view: View, key: str) -> None:
        # What is wrong is told when somebody takes a line into the hand.
        with suppress(JobError):
            self._lay(view, view.job, key)

    def _lay(self, view: View, job: Job, key: str) -> Lofted:
        with self._lock:
            if self._lofted is None or key != self._key:
                self._lofted, self._key = lay_lines(job, view.products), key
            return self._lofted


def felt_json(felt: Felt) -> dict[str, Any]:
    """All that the page needs to pull the line itself, in full precision."""
    line, draft = felt.line, felt.line.draft
    batten, held = draft.batten, felt.line.held
    number = {node: place for place, node in enumerate(felt.nodes)}
    return {
        "name": line.sided.placed.name,
        "partner": line.sided.partner,
        "mirrored": felt.mirrored,
        "kind": line.sided.kind,
        "closed": draft.closed,
        "start": draft.start,
        "end": draft.end,
        "near": NEAR,
        "share": line.sided.share,
        "knots": batten.knots.tolist(),
        "control": line.control.tolist(),
        "modes": batten.modes.tolist(),
        "give": batten.give(draft.stiffness).tolist(),
        "axes": batten.axes.tolist(),
        "places": [
            {"at": float(at), "node": number[int(node)], "side": float(side)}
            for at, node, side in zip(held.at, held.node, held.side, strict=True)
        ],
        "nodes": felt.points.tolist(),
        "firm": felt.firm.tolist(),
        "load": felt.load.tolist(),
        "given": felt.given.tolist(),
        "moves": felt.moves.tolist(),
        "pins": [
            {"place": place, **_grip_json(grip, number)}
            for place, grip in enumerate(felt.grips)
            if grip is not None
        ],
        "followers": [_follower_json(follower) for follower in felt.followers],
    }


def _grip_json(grip: Grip, number: dict[int, int]) -> dict[str, Any]:
    return {
        "at": grip.at,
        "point": [float(v) if np.isfinite(v) else None for v in grip.point],
        "node": None if grip.node is None else number[grip.node],
        "onPlane": grip.on_plane,
    }


def _follower_json(follower: Follower) -> dict[str, Any]:
    return {
        "names": follower.names,
        "points": follower.points.round(3).tolist(),
        "response": follower.response.round(5).tolist(),
    }
