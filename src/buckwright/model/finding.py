"""Doubts that leave an answer standing."""

from buckwright.model.fact import Fact

__all__ = ["Finding"]


class Finding(Fact):
    """A doubt about an answer: printed on the sheet with what to do about it."""

    code: str
    """Short and stable, words joined by hyphens: `few-pictures`."""
    where: str
    """The named thing it is about: a line, a picture, a wire."""
    message: str
    """One sentence: what is in doubt, with its number."""
    remedy: str
    """One sentence: what to do."""
