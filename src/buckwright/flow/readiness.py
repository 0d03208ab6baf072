"""Which lines their traces can already give, while others are still being traced."""

from collections.abc import Sequence

from buckwright.model.finding import Finding
from buckwright.model.pictures import Calibration, Trace

__all__ = ["ready_lines"]


def ready_lines(
    traces: Sequence[Trace], calibration: Calibration
) -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    """Names of the lines traced in two placed pictures or more, and a word on the others.

    Where there is none at all every name is given: working them out then says why it cannot be.
    """
    placed = {picture.name for picture in calibration.pictures}
    seen: dict[str, set[str]] = {}
    for trace in traces:
        seen.setdefault(trace.line, set()).update({trace.picture} & placed)
    ready = tuple(name for name, pictures in seen.items() if len(pictures) >= 2)
    if not ready:
        return tuple(seen), ()
    waiting = [name for name in seen if name not in ready]
    return ready, tuple(_not_yet(name, sorted(seen[name])) for name in waiting)


def _not_yet(name: str, pictures: list[str]) -> Finding:
    where = f"one picture only, {pictures[0]}" if pictures else "no placed picture"
    return Finding(
        code="not-traced-twice",
        where=name,
        message=f"It is traced in {where}, so it is not measured yet.",
        remedy="Trace it in another picture from a different side or height; four are better.",
    )
