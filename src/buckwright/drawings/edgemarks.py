"""What is bent at the edges of a blank, which side it is for, and which way it points."""

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import BIG, FIGURE, NAME, arrow, words
from buckwright.model.drawings import Label, Stroke
from buckwright.model.panels import Blank, Panel

__all__ = ["bend_strokes", "edge_lines", "side_words", "way_arrow"]

Array = NDArray[np.float64]

STEEP = 0.3
"""A panel that gains less than this along an axis for each mm does not run along it."""
LENGTH = 160.0


def bend_strokes(blank: Blank) -> list[Stroke]:
    """The lines at which bends begin and end."""
    return [Stroke(ink="crease", points=line, name="bend line") for line in blank.bend_lines]


def edge_lines(blank: Blank) -> list[tuple[str, float]]:
    """What is left on at each plain edge, where that is not the same all round."""
    plain = [edge for edge in blank.edges if edge.treatment in ("trim", "weld")]
    if len({edge.allowance for edge in blank.edges}) < 2:
        return []
    return [(text, FIGURE) for text in dict.fromkeys(edge.words for edge in plain)]


def side_words(panel: Panel) -> list[tuple[str, float]]:
    """`LEFT SIDE` for a panel that has another on the right, and so on."""
    return [] if panel.side == "whole" else [(f"{panel.side.upper()} SIDE", BIG)]


def way_arrow(panel: Panel, blank: Blank) -> tuple[list[Stroke], list[Label]]:
    """An arrow above the blank that points forward on the body, or up where it stands across.

    Nothing for a panel of no region: nobody knows how its mesh lies.
    """
    if not panel.region:
        return [], []
    off = blank.flat - blank.flat.mean(axis=0)
    slopes = np.linalg.lstsq(off, panel.vertices - panel.vertices.mean(axis=0), rcond=None)[0]
    text, way = "FORWARD", -slopes[:, 0]
    if np.linalg.norm(way) < STEEP:
        text, way = "UP", slopes[:, 2]
    if np.linalg.norm(way) < STEEP:
        return [], []
    way = way / np.linalg.norm(way)
    low, high = blank.outline.min(axis=0), blank.outline.max(axis=0)
    half = 0.5 * LENGTH * way
    middle = np.array([0.5 * (low[0] + high[0]), high[1] + 30.0 + abs(half[1])])
    strokes = list(arrow(middle - half, middle + half, head=20.0))
    beside = middle + np.array([abs(half[0]) + 12.0, -0.5 * NAME])
    side = "" if panel.side == "whole" else f" ({panel.side.upper()} SIDE)"
    return strokes, [words(beside, f"{text}{side}", NAME)]
