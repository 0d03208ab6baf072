"""Edges of a blank worked out: their metal, their bend lines, and what turning them asks."""

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.geometry.curved_mesh import quadric_normals
from buckwright.model.finding import Finding
from buckwright.model.panels import Blank, EdgeMake, Panel, PanelSpec
from buckwright.panels.edge_plan import EdgePlan, unknown_edges
from buckwright.panels.margins import Margin, beside, uneven_opening, uneven_outline
from buckwright.panels.notches import cut_notches
from buckwright.panels.order import edge_steps
from buckwright.panels.outline import allowed_outline
from buckwright.panels.verdict import Metal, Step, percent_of

__all__ = ["free_edge_strain", "with_edges"]

Array = NDArray[np.float64]

_WINDOW = 60.0
"""mm of edge over which a change of length is told: hands and tools do not work finer."""
_EASY = 0.5
"""As in the verdict on a panel."""
_NOTHING = 0.002
"""Change of length of a free edge that is not worth words."""


def with_edges(
    blank: Blank, panel: Panel, spec: PanelSpec, metal: Metal, plans: Sequence[EdgePlan]
) -> Blank:
    """The blank with the metal of each edge, bend lines, notches, and the work on its edges."""
    normals = quadric_normals(panel.vertices, panel.triangles)
    makes = tuple(_make(plan, panel, blank, normals, metal) for plan in plans)
    outer, openings = _by_ring(plans, blank)
    outline, notches = cut_notches(blank.net_outline, _outline(blank.net_outline, outer))
    cuts = [uneven_opening(r[::-1], m) for r, m in zip(blank.openings, openings, strict=True)]
    kept = tuple(cut for cut in cuts if cut is not None)
    area = shapely.Polygon(outline, holes=list(kept)).area
    lines = tuple(
        beside(_margin(plan, blank), distance)
        for plan in plans
        for distance in (plan.changing.bend_lines if plan.changing else plan.bend_lines)
    )
    return blank.model_copy(
        update={
            "outline": outline,
            "notches": notches,
            "opening_cuts": kept,
            "mass": area * metal.thickness * metal.alloy.density,
            "edges": makes,
            "bend_lines": lines,
            "work": edge_steps(blank.work, makes),
            "findings": (*blank.findings, *_doubts(panel, spec, plans, makes, metal)),
        }
    )


def _outline(net: Array, margins: Sequence[Margin]) -> Array:
    allowances = {margin.allowance for margin in margins}
    if len(allowances) == 1 and not any(margin.turned for margin in margins):
        return allowed_outline(net, allowances.pop())
    return uneven_outline(net, margins)


def free_edge_strain(
    edge: tuple[Array, Array, Array],
    *,
    fibre: float | Array,
    free: tuple[float, float] | Array,
    closed: bool,
) -> Array:
    """(k,) change of length of an edge's outer fibre as the edge is turned, as fractions.

    `edge` is the edge on the panel (k, 3), its outward normals (k, 3) and itself on the blank
    (k, 2), the panel on its left seen from outside. The fibre lies `fibre` mm beyond the edge on
    the blank; turned, it lies free[0] mm out from the edge along the panel and free[1] mm towards
    the inside; both may be given for each point, (k,) and (k, 2). Lengths are compared over
    `_WINDOW` mm.
    """
    points, normals, flat = edge
    tangent, step = _tangents(points, closed=closed)
    outward = np.cross(tangent, normals)
    outward /= np.linalg.norm(outward, axis=1, keepdims=True)
    out, inward = (np.reshape(value, (-1, 1)) for value in np.asarray(free).T)
    formed = _along(points + out * outward - inward * normals, points, closed=closed)
    along, _ = _tangents(flat, closed=closed)
    right = np.column_stack([along[:, 1], -along[:, 0]])
    blank = _along(flat + np.reshape(fibre, (-1, 1)) * right, flat, closed=closed)
    return _windowed(formed, step, closed=closed) / _windowed(blank, step, closed=closed) - 1.0


def _make(plan: EdgePlan, panel: Panel, blank: Blank, normals: Array, metal: Metal) -> EdgeMake:
    edge = plan.edge
    points = panel.vertices[edge.vertices]
    _, step = _tangents(points, closed=edge.closed)
    low = high = 0.0
    if plan.turned and len(points) > 2:
        strain = free_edge_strain(
            (points, normals[edge.vertices], blank.flat[edge.vertices]),
            fibre=plan.changing.allowance if plan.changing else plan.fibre,
            free=plan.changing.free if plan.changing else plan.free,
            closed=edge.closed,
        )
        low, high = float(strain.min()), float(strain.max())
    verdict = _step(metal, low, high)
    return EdgeMake(
        name=edge.name,
        treatment=plan.treatment,
        allowance=plan.allowance,
        allowance_least=float(plan.changing.allowance.min()) if plan.changing else None,
        bend_lines=plan.bend_lines,
        length=float(step.sum()),
        strain=(low, high),
        step="will not take it" if plan.too_tight else verdict,
        words=plan.words + _asked(low, high, verdict),
        source=plan.source,
    )


def _step(metal: Metal, low: float, high: float) -> Step:
    asked = max(float(np.expm1(abs(np.log1p(max(s, -0.99))))) for s in (low, high))
    share = asked / metal.row.least
    return "takes it" if share <= _EASY else "with care" if share <= 1.0 else "will not take it"


def _asked(low: float, high: float, step: Step) -> str:
    parts = []
    if low < -_NOTHING:
        parts.append(f"shrink its free edge by up to {percent_of(-low)}")
    if high > _NOTHING:
        parts.append(f"stretch its free edge by up to {percent_of(high)}")
    if not parts:
        return ""
    how = {
        "takes it": "",
        "with care": ", with care",
        "will not take it": ", which the metal will not take: anneal the edge, turn less, or "
        "relieve it with cuts",
    }[step]
    return f"; {' and '.join(parts)} as it is turned{how}"


def _by_ring(plans: Sequence[EdgePlan], blank: Blank) -> tuple[list[Margin], list[list[Margin]]]:
    """Margins of the outer edge, and of each opening, in order along them."""
    outer: list[Margin] = []
    openings: list[list[Margin]] = [[] for _ in blank.openings]
    for plan in plans:
        margin = _margin(plan, blank)
        homes = [k for k, ring in enumerate(blank.openings) if _on_ring(margin.points, ring)]
        (openings[homes[0]] if homes else outer).append(margin)
    return outer, openings


def _on_ring(points: Array, ring: Array) -> bool:
    return bool((np.abs(ring - points[0]).max(axis=1) < 1e-9).any())


def _margin(plan: EdgePlan, blank: Blank) -> Margin:
    points = blank.flat[plan.edge.vertices]
    along = plan.changing.allowance if plan.changing else None
    return Margin(points, plan.allowance, plan.edge.closed, plan.turned, along)


def _doubts(
    panel: Panel,
    spec: PanelSpec,
    plans: Sequence[EdgePlan],
    makes: Sequence[EdgeMake],
    metal: Metal,
) -> list[Finding]:
    found = [
        Finding(
            code="edge-not-on-panel",
            where=panel.name,
            message=f"'{panel.name}' has no edge along '{name}', which is to be treated.",
            remedy=f"It has {', '.join(sorted({e.name for e in panel.edges if e.name}))}.",
        )
        for name in unknown_edges(panel, spec)
    ]
    for plan, make in zip(plans, makes, strict=True):
        if plan.doubt:
            found.append(
                Finding(
                    code="flange-too-short",
                    where=panel.name,
                    message=f"Along {make.name or 'its edge'} {plan.doubt}.",
                    remedy="Make it four thicknesses and the bend's radius at least.",
                )
            )
        if make.step == "will not take it":
            found.append(_refused(panel, make, metal, tight=plan.too_tight))
    return found


def _refused(panel: Panel, make: EdgeMake, metal: Metal, *, tight: bool) -> Finding:
    what = f"The {make.treatment} along {make.name or 'the edge'}"
    if tight:
        message = f"{what} is bent more tightly than {metal.alloy.name} takes."
        remedy = "Give it a larger radius, or anneal the edge."
    else:
        low, high = make.strain
        how = f"shrink by {percent_of(-low)}" if -low > high else f"stretch by {percent_of(high)}"
        message = (
            f"{what} must {how} at its free edge; {metal.alloy.name} gives "
            f"{percent_of(metal.row.least)}."
        )
        remedy = "Anneal the edge, turn less metal, or relieve it with cuts."
    return Finding(code="edge-will-not-take-it", where=panel.name, message=message, remedy=remedy)


def _tangents(points: Array, *, closed: bool) -> tuple[Array, Array]:
    """Unit tangents at the points, and the lengths of the sides (one fewer if open)."""
    side = np.diff(np.vstack([points, points[:1]]) if closed else points, axis=0)
    step = np.linalg.norm(side, axis=1)
    unit = side / np.maximum(step, 1e-12)[:, None]
    if closed:
        mean = unit + np.roll(unit, 1, axis=0)
    else:
        mean = np.vstack([unit[:1], unit]) + np.vstack([unit, unit[-1:]])
    return mean / np.maximum(np.linalg.norm(mean, axis=1, keepdims=True), 1e-12), step


def _along(moved: Array, points: Array, *, closed: bool) -> Array:
    """Lengths of the moved sides, counted along the sides that they came from."""
    side = np.diff(np.vstack([points, points[:1]]) if closed else points, axis=0)
    unit = side / np.maximum(np.linalg.norm(side, axis=1, keepdims=True), 1e-12)
    shifted = np.diff(np.vstack([moved, moved[:1]]) if closed else moved, axis=0)
    return np.asarray(np.einsum("kd,kd->k", shifted, unit))


def _windowed(lengths: Array, step: Array, *, closed: bool) -> Array:
    """(k,) total of the lengths of the sides within half a window of each side."""
    whole = float(step.sum())
    if whole <= _WINDOW:
        return np.full(len(lengths), lengths.sum())
    if closed:
        lengths, tripled = np.tile(lengths, 3), np.tile(step, 3)
    else:
        tripled = step
    ends = np.concatenate([[0.0], np.cumsum(tripled)])
    total = np.concatenate([[0.0], np.cumsum(lengths)])
    middle = 0.5 * (ends[1:] + ends[:-1])
    middle = middle[len(step) : 2 * len(step)] if closed else middle
    # At the ends of an open edge the window stays whole and looks inward.
    start = np.clip(middle - 0.5 * _WINDOW, 0.0, ends[-1] - _WINDOW)
    return np.asarray(np.interp(start + _WINDOW, ends, total) - np.interp(start, ends, total))
