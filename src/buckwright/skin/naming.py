"""Names for what the lines bound, from the names of the lines."""

from collections.abc import Sequence

__all__ = ["found_name", "told_apart"]

PLAIN = frozenset(
    {"line", "centre", "center", "edge", "crown", "section", "left", "right", "crease", "of", "the"}
)
"""Words that say what kind of line it is, not of what."""
PLACES = frozenset({"front", "rear", "side", "top", "bottom", "upper", "lower", "middle", "inner"})
"""Words that need another: a 'rear panel'."""


def found_name(boundary: Sequence[str], inner: Sequence[str], *, metal: bool, down: bool) -> str:
    """What the lines that lie on it have in common, else those that bound it.

    Metal with lines of several kinds is the 'body', what opens `down` between several the
    'underside'.
    """
    if metal and len({_bare(name) for name in inner}) > 1 and not _common(inner):
        return "body"
    words = _common(inner) or _common(boundary)
    if not words and down:
        return "underside"
    if not words and boundary:
        words = _bare(min(boundary, key=len))
    if not words:
        words = tuple(boundary[0].split())[:1]
    if set(words) <= PLACES:
        words = (*words, "panel" if metal else "opening")
    elif not metal:
        words = (*words, "opening") if words[-1] not in ("window", "opening") else words
    return " ".join(words)


def told_apart(names: Sequence[str]) -> list[str]:
    """The names, with a number behind those that occurred before."""
    seen: dict[str, int] = {}
    found = []
    for name in names:
        seen[name] = seen.get(name, 0) + 1
        found.append(name if seen[name] == 1 else f"{name} {seen[name]}")
    return found


def _bare(name: str) -> tuple[str, ...]:
    return tuple(word for word in name.split() if word not in PLAIN)


def _common(names: Sequence[str]) -> tuple[str, ...]:
    """Leading words that all names share, kinds of line left out."""
    found: list[str] = []
    if not names:
        return ()
    for words in zip(*(_bare(name) for name in names), strict=False):
        if len(set(words)) > 1:
            break
        found.append(words[0])
    return tuple(found)
