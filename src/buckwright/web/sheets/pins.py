"""Pins on the sheet of lines: where each holds its line, and how far it moved it."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from buckwright.model.job import Job, Reference
from buckwright.model.lines import LineNetwork
from buckwright.web.line_edits import BATTENS

__all__ = ["batten_names", "pin_rows"]


def pin_rows(job: Job, reference: Reference) -> list[dict[str, Any]]:
    """Each pin with its line's place on the reference, before the hand, after it, and now."""
    fair = reference.unpulled or reference.reference
    rows = []
    for place, pin in enumerate(job.pins):
        measured = _point(fair, pin.line, pin.share)
        pulled = _point(reference.reference, pin.line, pin.share)
        if measured is None or pulled is None:
            continue
        # Departures keep a line's parameter.
        now = _point(reference.network, pin.line, pin.share)
        rows.append(
            {
                "place": place,
                "line": pin.line,
                "share": pin.share,
                "point": pin.point,
                "reason": pin.reason,
                "measured": measured.round(4).tolist(),
                "pulled": pulled.round(4).tolist(),
                "now": (pulled if now is None else now).round(4).tolist(),
                "by": float(np.linalg.norm(pulled - measured)),
            }
        )
    return rows


def batten_names(job: Job) -> dict[str, str]:
    """The batten chosen for each line, and for its mirror image, where one was."""
    words = {stiffness: name for name, stiffness in BATTENS.items()}
    named = {c.line: words.get(c.stiffness, f"{c.stiffness:g} times") for c in job.battens}
    mirrors = {spec.name: spec.mirror for spec in job.lines if spec.mirror}
    return named | {mirrors[line]: name for line, name in named.items() if line in mirrors}


def _point(network: LineNetwork, name: str, share: float) -> NDArray[np.float64] | None:
    try:
        line = network.line(name)
    except KeyError:
        return None
    return np.asarray(line.curve()(share), dtype=np.float64)
