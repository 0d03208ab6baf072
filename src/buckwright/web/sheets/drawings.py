"""What goes to the floor?"""

from typing import Any

from buckwright.model.job import Job, Products
from buckwright.web.words import Words, counted, figure

__all__ = ["answer", "detail"]


def answer(job: Job, products: Products) -> Words | None:
    """What a packet made now would hold."""
    buck, panels, gauges = products.buck, products.panels, products.gauges
    parts: list[Words] = []
    if buck is not None:
        parts.append([counted(len(buck.wires), "wire")])
    if panels is not None:
        parts.append([counted(len(panels.blanks), "blank")])
    if gauges is not None:
        parts.append([counted(len(gauges.gauges), "gauge")])
    if not parts:
        return None
    words: Words = ["Revision ", figure(job.revision), " goes to the floor with "]
    for place, part in enumerate(parts):
        words += ["" if place == 0 else " and " if place == len(parts) - 1 else ", ", *part]
    return [*words, ", all at full size."]


def detail(job: Job, products: Products) -> dict[str, Any]:
    """The revision; the files of the packet are told apart, when it has been made."""
    return {"revision": job.revision}
