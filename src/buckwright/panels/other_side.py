"""The other side's panels and blanks as mirror images, with names of their own."""

import re

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.model.fact import frozen
from buckwright.model.panels import Blank, MapArea, Panel, PanelEdge, PanelSpec
from buckwright.panels.marks import centre_lines, datum_marks

__all__ = ["for_side", "mirrored_blank", "mirrored_panel"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_ACROSS = np.array([1.0, -1.0, 1.0])
_OVER = np.array([1.0, -1.0])
_ON_CENTRE = 1.0
"""mm off the centre plane that still count as on it."""


def for_side(panel: Panel, spec: PanelSpec) -> Panel:
    """The panel with its side at the end of its name, if it is to be made for both sides.

    Raises JobError for a panel that is wanted on both sides and lies across the centre plane.
    """
    if panel.side == "whole" and spec.both_sides:
        y = panel.vertices[:, 1]
        if y.min() < -_ON_CENTRE and y.max() > _ON_CENTRE:
            raise JobError(
                f"'{panel.name}' is to be made for both sides, but it lies across the centre "
                "plane.",
                "End it at the centre line, or take it for one piece.",
            )
        panel = panel.model_copy(update={"side": "left" if y.mean() < 0.0 else "right"})
    return _named(panel)


def _named(panel: Panel) -> Panel:
    if panel.side == "whole":
        return panel
    return panel.model_copy(update={"name": f"{panel.spec or panel.name} {panel.side}"})


def mirrored_panel(panel: Panel) -> Panel:
    """The panel for the other side, mirrored in the centre plane, outside still outside."""
    return _named(
        panel.model_copy(
            update={
                "side": "left" if panel.side == "right" else "right",
                "vertices": frozen(panel.vertices * _ACROSS),
                "triangles": frozen(panel.triangles[:, ::-1]),
                "edges": tuple(_turned(edge) for edge in panel.edges[::-1]),
                "lines": tuple(
                    line.model_copy(update={"name": other_name(line.name)}) for line in panel.lines
                ),
            }
        )
    )


def other_name(name: str) -> str:
    """The name of a line, seam or plane on the other side: `belt right`, `y = 700`."""
    plane = re.fullmatch(r"y = (-?)(.+)", name)
    if plane is not None:
        sign = "" if plane[1] or float(plane[2]) == 0.0 else "-"
        return f"y = {sign}{plane[2]}"
    swapped = {"left": "right", "right": "left"}
    return " ".join(swapped.get(word, word) for word in name.split(" "))


def mirrored_blank(blank: Blank, panel: Panel, other: Panel) -> Blank:
    """The other panel's blank: the panel's turned over, outside up again, every number the same.

    Marks are made anew for that side; match marks and the grid are the whole set's business.
    """
    top = float(blank.flat[:, 1].max())

    def over(points: Array) -> Array:
        return frozen(points * _OVER + [0.0, top])

    def ring(points: Array) -> Array:
        return frozen(over(points)[::-1])

    def notch_ring(points: Array) -> Array:
        return frozen(over(points)[::-1])

    flat = over(blank.flat)
    return blank.model_copy(
        update={
            "panel": other.name,
            "flat": flat,
            "outline": ring(blank.outline),
            "net_outline": ring(blank.net_outline),
            "major_direction": frozen(blank.major_direction * _OVER),
            "tight_direction": frozen(blank.tight_direction * _OVER),
            "areas": tuple(_area(area) for area in blank.areas),
            "edges": tuple(
                edge.model_copy(
                    update={
                        "name": other_name(edge.name),
                        "words": edge.words.replace(edge.name, other_name(edge.name))
                        if edge.name
                        else edge.words,
                    }
                )
                for edge in blank.edges[::-1]
            ),
            "bend_lines": tuple(ring(line) for line in blank.bend_lines),
            "openings": tuple(ring(line) for line in blank.openings),
            "opening_cuts": tuple(ring(line) for line in blank.opening_cuts),
            "notches": tuple(
                notch.model_copy(
                    update={
                        "ring": notch_ring(notch.ring),
                        "corner": (notch.corner[0], top - notch.corner[1]),
                    }
                )
                for notch in blank.notches
            ),
            "marks": datum_marks(other, flat),
            "centre_line": centre_lines(other, flat),
            "work": tuple(
                step.model_copy(update={"words": _words(step.words, blank)}) for step in blank.work
            ),
            "findings": tuple(
                finding.model_copy(
                    update={
                        "where": other.name,
                        "message": finding.message.replace(panel.name, other.name),
                        "remedy": finding.remedy.replace(panel.name, other.name),
                    }
                )
                for finding in blank.findings
            ),
        }
    )


def _words(words: str, blank: Blank) -> str:
    for edge in blank.edges:
        if edge.name:
            words = words.replace(edge.name, other_name(edge.name))
    return words


def _area(area: MapArea) -> MapArea:
    return area.model_copy(
        update={
            "centre": frozen(area.centre * _ACROSS),
            "direction": (area.direction[0], -area.direction[1]),
        }
    )


def _turned(edge: PanelEdge) -> PanelEdge:
    return edge.model_copy(
        update={"name": other_name(edge.name), "vertices": frozen(edge.vertices[::-1])}
    )
