"""How much metal each edge of a panel needs, and where it is bent: before the blank is known."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, pi, radians, sin

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.along_edge import shares_along, sizes_between
from buckwright.model.panels import (
    EdgeSpec,
    EdgeStation,
    Panel,
    PanelEdge,
    PanelSpec,
    Treatment,
)
from buckwright.model.skin import Skin
from buckwright.model.treatments import EdgeTreatment
from buckwright.panels.verdict import Metal
from buckwright.tables.bending import (
    bend_allowance,
    bend_rule,
    least_bend_radius,
    relief_hole,
    setback,
)
from buckwright.tables.edges import edge_allowance, wired_edge_metal

__all__ = ["ChangingEdge", "EdgePlan", "plan_edges", "unknown_edges", "with_skin_edges"]

Array = NDArray[np.float64]

_LEG = 4.0
"""A flange's leg is at least this many thicknesses and the bend's radius (from memory)."""
_MOST_TURN = 175.0
"""degrees; a flange turned farther is a hem."""


@dataclass(frozen=True, eq=False, slots=True)
class ChangingEdge:
    """A flange at each vertex of its edge (k,): allowance; bend_lines (l, k); free (k, 2)."""

    allowance: Array
    bend_lines: Array
    free: Array


@dataclass(frozen=True, slots=True)
class EdgePlan:
    """What becomes of one run of the rim; mm.

    Attributes: edge; treatment; allowance, metal beyond the net edge; bend_lines, distances beyond
    the net edge (negative inside it) where bends begin and end; free, where the most changed fibre
    ends up: how far out from the net edge and how far towards the way it is turned; fibre, how far
    beyond the net edge that fibre lies on the blank; turned; too_tight, whether the metal cracks in
    the bend; words, without what the free edge needs; doubt, what is wrong with the sizes; radius,
    inside, of a flange's bend; source of the allowance; changing, the same along the edge where
    the sizes differ, `allowance` and the rest being those of the widest place.
    """

    edge: PanelEdge
    treatment: Treatment
    allowance: float
    bend_lines: tuple[float, ...]
    fibre: float
    free: tuple[float, float]
    turned: bool
    too_tight: bool
    words: str
    doubt: str = ""
    radius: float = 0.0
    source: str = ""
    changing: ChangingEdge | None = None


def plan_edges(panel: Panel, spec: PanelSpec, metal: Metal) -> tuple[EdgePlan, ...]:
    """A plan for each run of the panel's rim: as its spec says, else trim or weld all along it."""
    plain = EdgeSpec(along="", treatment="trim", width=spec.trim_allowance)
    rest = next((edge for edge in spec.edges if edge.along == ""), None)
    plans = []
    for edge in panel.edges:
        named = next((e for e in spec.edges if e.along and e.along == edge.name), rest)
        if named is not None and named.stations:
            plans.append(_changing(panel, edge, named, metal))
        else:
            plans.append(_plan(edge, named, plain, metal))
    return tuple(_relieved(plan, plans, metal) for plan in plans)


def with_skin_edges(
    panel: Panel, spec: PanelSpec, treatments: Sequence[EdgeTreatment], skin: Skin
) -> PanelSpec:
    """The spec with the skin's treatments of edges that the panel has and does not name itself.

    Sizes that change along the skin's edge are those of the panel's stretch of it (of the longest
    one, where it has several).
    """
    own = {edge.along for edge in spec.edges}
    ends = {edge.name for edge in panel.edges} - own
    taken = [
        _on_panel(t.edge, panel, skin) if t.edge.stations else t.edge
        for t in treatments
        if t.region == spec.region and t.edge.along in ends
    ]
    return spec.model_copy(update={"edges": (*spec.edges, *taken)}) if taken else spec


def _on_panel(edge: EdgeSpec, panel: Panel, skin: Skin) -> EdgeSpec:
    """The edge with a station at each vertex of the panel's stretch of it."""
    runs = [e for e in panel.edges if e.name == edge.along]
    run = max(runs, key=lambda e: len(e.vertices))
    points = panel.vertices[run.vertices]
    region = next(r for r in skin.regions if r.name == panel.region and r.side != "right")
    tracks = [t for t in (*region.boundary, *region.holes) if t.line == edge.along]
    if not tracks:
        return edge
    track = min(
        tracks,
        key=lambda t: float(np.linalg.norm(region.vertices[t.vertices] - points[0], axis=1).min()),
    )
    whole = region.vertices[track.vertices]
    sizes = _sizes(edge, shares_along(points, whole, closed=track.closed), closed=track.closed)
    own = shares_along(points, points, closed=run.closed)
    order = np.argsort(own, kind="stable")
    kept = order[np.append(True, np.diff(own[order]) > 1e-9)]
    stations = tuple(
        EdgeStation(at=min(float(own[k]), 1.0), width=float(w), angle_deg=float(a))
        for k, (w, a) in zip(kept, sizes[kept], strict=True)
    )
    return edge.model_copy(update={"stations": stations, "between": "straight"})


def _sizes(edge: EdgeSpec, shares: Array, *, closed: bool) -> Array:
    """(k, 2) width and angle at shares of the edge's length."""
    given = np.array([[s.at, s.width, s.angle_deg] for s in edge.stations])
    smooth = edge.between == "smooth"
    return sizes_between(given[:, 0], given[:, 1:], shares, smooth=smooth, closed=closed)


def unknown_edges(panel: Panel, spec: PanelSpec) -> tuple[str, ...]:
    """Edges that the spec names and the panel does not have."""
    names = {edge.name for edge in panel.edges}
    return tuple(edge.along for edge in spec.edges if edge.along and edge.along not in names)


def _relieved(plan: EdgePlan, plans: Sequence[EdgePlan], metal: Metal) -> EdgePlan:
    """The plan with words on the corners where its flange meets another turned edge."""
    if plan.treatment != "flange" or plan.edge.closed:
        return plan
    ends = {int(plan.edge.vertices[0]), int(plan.edge.vertices[-1])}
    others = [p for p in plans if p is not plan and p.turned and not p.edge.closed]
    met = ends & {int(p.edge.vertices[k]) for p in others for k in (0, -1)}
    if not met:
        return plan
    hole = relief_hole(plan.radius, metal.thickness)
    corners = "both corners" if len(met) == 2 else "the corner"
    words = f"{plan.words}; cut out {corners} to the next turned edge, relief hole {hole:.1f} mm"
    return replace(plan, words=words)


def _plan(edge: PanelEdge, spec: EdgeSpec | None, plain: EdgeSpec, metal: Metal) -> EdgePlan:
    if spec is None:
        return _left_on(edge, "weld" if edge.seam else "trim", plain.width)
    rule = edge_allowance(spec.treatment)
    width = spec.width or rule.usual
    if spec.treatment in ("trim", "weld"):
        return _left_on(edge, spec.treatment, width)
    if spec.treatment == "flange":
        return _flange(edge, spec, width, metal)
    if spec.treatment == "wired edge":
        return _wired(edge, spec.wire or rule.usual, metal)
    return _hem(edge, spec, width, rule.factor)


def _left_on(edge: PanelEdge, treatment: Treatment, width: float) -> EdgePlan:
    use = "trimming at fitting" if treatment == "trim" else "trimming to the weld"
    words = f"{_at(edge)}leave {width:g} mm on for {use}"
    source = edge_allowance(treatment).source
    return EdgePlan(edge, treatment, width, (), 0.0, (0.0, 0.0), False, False, words, source=source)


def _flange(edge: PanelEdge, spec: EdgeSpec, height: float, metal: Metal) -> EdgePlan:
    thickness = metal.thickness
    least = least_bend_radius(metal.alloy.name, thickness)
    radius = spec.radius or max(thickness, least.radius if least else 0.0)
    angle = radians(min(spec.angle_deg, _MOST_TURN))
    # Beyond a right angle the edge is the outermost place of the bend: no setback grows past it.
    back = setback(radius, thickness, min(angle, 0.5 * pi))
    bend = bend_allowance(radius, thickness, angle)
    allowance = max(height - 2.0 * back + bend, 0.0)
    tight = least is not None and radius < least.radius - 1e-9
    rule = bend_rule("aircraft")
    words = (
        f"{_at(edge)}turn a flange of {height:g} mm {_way(spec)} by {spec.angle_deg:g}° over a "
        f"radius of {radius:.1f} mm: {allowance:.1f} mm of metal beyond the edge; the bend begins "
        f"{back:.1f} mm inside it and takes {bend:.1f} mm"
    )
    if tight and least is not None:
        words += f"; the metal cracks below {least.radius:.1f} mm"
    doubt = ""
    if height < _LEG * thickness + radius:
        doubt = f"a flange of {height:g} mm is too short to turn in {thickness:.2f} mm sheet"
    free = (height * cos(angle), _sign(spec) * height * sin(angle))
    lines = (-back, bend - back)
    source = f"({rule.radius_factor:g} R + {rule.thickness_factor:g} T) a degree, {rule.source}" + (
        f"; least radius {least.source}" if least else ""
    )
    return EdgePlan(
        edge, "flange", allowance, lines, allowance, free, True, tight, words, doubt, radius, source
    )


def _changing(panel: Panel, edge: PanelEdge, spec: EdgeSpec, metal: Metal) -> EdgePlan:
    """A flange whose width or angle differs along the edge, told for its widest place."""
    points = panel.vertices[edge.vertices]
    sizes = _sizes(spec, shares_along(points, points, closed=edge.closed), closed=edge.closed)
    plans = [
        _flange(edge, spec.model_copy(update={"angle_deg": angle}), width, metal)
        for width, angle in sizes.tolist()
    ]
    widest = max(plans, key=lambda plan: plan.allowance)
    narrowest = min(plans, key=lambda plan: plan.allowance)
    width, angle = (_spread(column) for column in sizes.T)
    words = (
        f"{_at(edge)}turn a flange of {width} mm {_way(spec)} by {angle}° over a radius of "
        f"{widest.radius:.1f} mm: {narrowest.allowance:.1f} to {widest.allowance:.1f} mm of metal "
        "beyond the edge, between the bend lines drawn"
    )
    doubts = [plan.doubt for plan in plans if plan.doubt]
    changing = ChangingEdge(
        allowance=np.array([plan.allowance for plan in plans]),
        bend_lines=np.array([plan.bend_lines for plan in plans]).T,
        free=np.array([plan.free for plan in plans]),
    )
    return replace(widest, words=words, doubt=doubts[0] if doubts else "", changing=changing)


def _spread(sizes: Array) -> str:
    low, high = round(float(sizes.min()), 1), round(float(sizes.max()), 1)
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"


def _hem(edge: PanelEdge, spec: EdgeSpec, width: float, folds: float) -> EdgePlan:
    allowance = folds * width
    lines = (0.0,) if folds == 1.0 else (0.0, width)
    words = (
        f"{_at(edge)}fold a {spec.treatment} of {width:g} mm {_way(spec)}: {allowance:g} mm of "
        "metal beyond the edge"
    )
    source = f"{folds:g} x width, {edge_allowance(spec.treatment).source}"
    # Folded, what lay a width outside the edge lies a width inside it.
    return EdgePlan(
        edge,
        spec.treatment,
        allowance,
        lines,
        width,
        (-width, 0.0),
        True,
        False,
        words,
        source=source,
    )


def _wired(edge: PanelEdge, wire: float, metal: Metal) -> EdgePlan:
    allowance = wired_edge_metal(wire, metal.thickness)
    rule = edge_allowance("wired edge")
    words = (
        f"{_at(edge)}turn the edge round a wire of {wire:g} mm: {allowance:.1f} mm of metal beyond "
        "the edge"
    )
    # The free edge comes back beside the edge, one wire in.
    free = (0.0, wire)
    source = f"{rule.factor:g} x wire diameter, {rule.source}"
    return EdgePlan(
        edge, "wired edge", allowance, (0.0,), allowance, free, True, False, words, source=source
    )


def _at(edge: PanelEdge) -> str:
    return f"along {edge.name}: " if edge.name else "along the edge: "


def _way(spec: EdgeSpec) -> str:
    return "to the inside" if spec.way == "in" else "to the outside"


def _sign(spec: EdgeSpec) -> float:
    return 1.0 if spec.way == "in" else -1.0
