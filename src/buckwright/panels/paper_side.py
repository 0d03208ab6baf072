"""Paper patterns of all panels, the right side's turned over from the left's."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.model.fact import frozen
from buckwright.model.panels import Blank, Panel
from buckwright.model.papers import PaperJoint, PaperPattern, PaperStrip
from buckwright.panels.paper import paper_pattern

__all__ = ["mirrored_pattern", "paper_patterns"]

Array = NDArray[np.float64]

_ACROSS = np.array([1.0, -1.0, 1.0])


def paper_patterns(pairs: Sequence[tuple[Panel, Blank]]) -> tuple[PaperPattern, ...]:
    """A pattern for each panel, in order; a right panel is the mirror image of the one before."""
    patterns: list[PaperPattern] = []
    for number, (panel, blank) in enumerate(pairs):
        before = pairs[number - 1][0] if number else None
        if panel.side == "right" and before is not None and before.spec == panel.spec:
            patterns.append(mirrored_pattern(patterns[-1], pairs[number - 1][1], blank))
        else:
            patterns.append(paper_pattern(panel, blank))
    return tuple(patterns)


def mirrored_pattern(pattern: PaperPattern, left: Blank, right: Blank) -> PaperPattern:
    """The right panel's pattern: each strip of the left's turned over, every figure the same.

    `right` is the mirror image of the blank `left`, x kept. Strips keep their numbers where they
    run across the blank, and change sign where they run along it.
    """
    across = pattern.run == "across"
    strips = [_strip(strip, across=across) for strip in pattern.strips]
    joints = [_joint(joint, across=across) for joint in pattern.joints]
    top = float(left.flat[:, 1].max())
    return pattern.model_copy(
        update={
            "panel": right.panel,
            "strips": tuple(strips if across else strips[::-1]),
            "joints": tuple(joints if across else joints[::-1]),
            "spine": frozen((pattern.spine if across else pattern.spine[::-1]) * _ACROSS),
            "origin": (pattern.origin[0], top - pattern.origin[1]),
            "findings": tuple(
                finding.model_copy(update={"where": right.panel}) for finding in pattern.findings
            ),
        }
    )


def _strip(strip: PaperStrip, *, across: bool) -> PaperStrip:
    over = np.array([-1.0, 1.0]) if across else np.array([1.0, -1.0])
    middle = strip.middle * _ACROSS
    return strip.model_copy(
        update={
            "number": strip.number if across else -strip.number,
            "outline": frozen((strip.outline * over)[::-1]),
            "middle": frozen(middle[::-1] if across else middle),
        }
    )


def _joint(joint: PaperJoint, *, across: bool) -> PaperJoint:
    if not across:
        return joint.model_copy(update={"strips": (-joint.strips[1], -joint.strips[0])})
    return joint.model_copy(update={"at": frozen(-joint.at[::-1]), "gap": frozen(joint.gap[::-1])})
