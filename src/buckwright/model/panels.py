"""Panels that the job asks for, their blanks and shape maps."""

from typing import Literal

from buckwright.model.fact import Fact, Indices, Numbers, Points2, Points3, Triangles
from buckwright.model.finding import Finding

__all__ = [
    "Blank",
    "MapArea",
    "Offcut",
    "Panel",
    "PanelSpec",
    "PanelVerdict",
    "Panels",
    "SheetStock",
]


class SheetStock(Fact):
    """Sheet that panels are cut from."""

    alloy: str
    """As in `tables`: `3003-H14`."""
    thickness: float
    size: tuple[float, float] = (1219.2, 2438.4)


class Offcut(Fact):
    """A piece of sheet left over in the rack: a rectangle that is whole inside."""

    alloy: str
    thickness: float
    size: tuple[float, float]
    """mm along the grain, and across it."""
    count: int = 1


class PanelSpec(Fact):
    """A region, or the part of it between seams, each seam a plane axis = value."""

    name: str
    region: str
    above: tuple[tuple[Literal["x", "y", "z"], float], ...] = ()
    """Only where axis > value."""
    below: tuple[tuple[Literal["x", "y", "z"], float], ...] = ()
    trim_allowance: float = 10.0
    """mm added all round for trimming and welding."""


class Panel(Fact):
    """One piece of sheet before welding, as it must finally lie."""

    name: str
    region: str
    vertices: Points3
    triangles: Triangles


class MapArea(Fact):
    """A connected area of a panel that needs the same treatment."""

    kind: Literal["stretch", "shrink", "leave"]
    area: float
    """mm^2 on the panel."""
    mean: float
    """Signed area change, 0.03 = 3 % more area than the blank had."""
    peak: float
    centre: Numbers
    """(3,) on the panel."""
    words: str
    """How the trade would do it."""


class PanelVerdict(Fact):
    """Whether this metal takes it, in three steps, and why."""

    step: Literal["takes it", "with care", "will not take it"]
    reason: str
    elongation: float
    """Least elongation of the table, as a fraction."""
    source: str


class Blank(Fact):
    """The flat piece for a panel and where metal must stretch or shrink."""

    panel: str
    flat: Points2
    """(n, 2) of the panel's vertices, in the panel's triangle order."""
    outline: Points2
    """Closed outline to cut, allowance included; first point not repeated."""
    net_outline: Points2
    """Outline without allowance."""
    area_change: Numbers
    """(triangles,) panel area / blank area - 1: positive where metal must stretch."""
    strain_major: Numbers
    """(triangles,) larger principal logarithmic strain from blank to panel."""
    strain_minor: Numbers
    major_direction: Points2
    """(triangles, 2) unit vector on the blank."""
    bend_radius: Numbers
    """(vertices,) mm, least principal radius of the panel."""
    work_density: float
    """Area mean of e1^2 + e2^2 + e1 e2."""
    area: float
    """mm^2 of the panel."""
    blank_area: float
    """mm^2 inside `net_outline`."""
    flipped: int
    areas: tuple[MapArea, ...]
    verdict: PanelVerdict
    mass: float
    """kg of the blank as cut, allowance included."""
    thickness: tuple[float, float] = (0.0, 0.0)
    """mm, least and greatest after forming, volume kept."""
    findings: tuple[Finding, ...] = ()


class Panels(Fact):
    """All panels with their blanks, in the same order."""

    panels: tuple[Panel, ...]
    blanks: tuple[Blank, ...]
    edge_vertices: tuple[Indices, ...]
    """For each panel the vertices round its outer edge, in order."""
    findings: tuple[Finding, ...] = ()
