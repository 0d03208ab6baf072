"""The log of operations: what can be undone and redone follows from it alone."""

from collections.abc import Iterable
from typing import Literal

from buckwright.model.fact import Fact

__all__ = ["Operation", "undo_and_redo"]


class Operation(Fact):
    """One entry of the log."""

    id: int
    made: str
    """UTC, ISO 8601."""
    who: str
    description: str
    kind: Literal["edit", "undo", "redo"]
    subject: int | None
    """The edit that an undo or redo is about."""


def undo_and_redo(operations: Iterable[Operation]) -> tuple[list[int], list[int]]:
    """Edits that stand, and edits that were undone and may be redone; the next is last in each.

    A new edit ends the chance to redo what was undone before it.
    """
    standing: list[int] = []
    undone: list[int] = []
    for operation in operations:
        if operation.kind == "edit":
            standing.append(operation.id)
            undone.clear()
        elif operation.kind == "undo":
            undone.append(standing.pop())
        else:
            standing.append(undone.pop())
    return standing, undone
