"""Sweeps: the fewest arcs that touch a region everywhere, and which belongs where.

On the line of sagittas every place asks for a sweep within the tolerance on either side of its
own depth, so the fewest sweeps are the fewest points that serve a set of intervals.
"""

from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from buckwright.errors import JobError
from buckwright.gauges.cards import ACROSS
from buckwright.gauges.sagitta import Depths, chord_depths, radius_of, sagitta_of
from buckwright.geometry.interval_cover import fewest_offered, fewest_points
from buckwright.geometry.mesh import edges_of, vertex_areas
from buckwright.model.finding import Finding
from buckwright.model.gauges import Sweep, SweepArea, SweepSet, SweepSpec
from buckwright.model.skin import SkinRegion

__all__ = ["choose_sweeps", "mirrored_sweeps"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

ROUND_STEPS = (1000.0, 500.0, 250.0, 100.0, 50.0, 25.0, 10.0, 5.0, 2.5, 1.0, 0.5, 0.25, 0.1)
"""mm: a free radius is a multiple of the greatest of these that serves."""
BODY = 45.0
"""mm of card behind the working edge."""
ARC_STEP = 1.0
SMALL_AREA = 0.01
"""Share of the region below which an area is not worth a letter, unless it is its sweep's only."""


def choose_sweeps(region: SkinRegion, spec: SweepSpec) -> SweepSet:
    """The fewest sweeps for the outside of a region, tightest hollow first, and their areas.

    Raises JobError where no place of the region can be served.
    """
    depths = chord_depths(region.vertices, region.triangles, spec.chord)
    both = np.concatenate([depths.greater, depths.lesser])
    known = both[np.isfinite(both)]
    chosen = _chosen(known, spec)
    if not len(chosen):
        raise JobError(
            f"No sweep of {spec.chord:g} mm touches the {region.name} anywhere.",
            "Choose a shorter chord, or offer more radii.",
        )
    fits = [_fitting(depth, chosen, spec) for depth in (depths.greater, depths.lesser)]
    sweeps = tuple(_sweep(_letter(k), s, spec.chord) for k, s in enumerate(chosen.tolist()))
    gaps = [
        np.abs(depth - chosen[fit])[fit >= 0]
        for depth, fit in zip((depths.greater, depths.lesser), fits, strict=True)
    ]
    return SweepSet(
        region=region.name,
        side=region.side,
        chord=spec.chord,
        tolerance=spec.tolerance,
        sweeps=sweeps,
        gap=float(np.concatenate(gaps).max()),
        chart=region.chart,
        triangles=region.triangles,
        vertices=region.vertices,
        greater=np.nan_to_num(depths.greater),
        lesser=np.nan_to_num(depths.lesser),
        greater_sweep=fits[0],
        lesser_sweep=fits[1],
        areas=_areas(region, depths, (fits[0], fits[1]), sweeps),
        findings=_unserved(region, spec, fits),
    )


def _chosen(depths: Array, spec: SweepSpec) -> Array:
    """(k,) sagittas of the chosen sweeps, descending."""
    low, high = depths - spec.tolerance, depths + spec.tolerance
    if spec.series:
        radii = np.array([r for r in spec.series if r >= 0.5 * spec.chord])
        if any(r <= 0.0 for r in spec.series):
            raise JobError("A sweep's radius must be more than nothing.", "Mend the series.")
        bends = np.concatenate([1.0 / radii, -1.0 / radii, [0.0]])
        points, _, _ = fewest_offered(low, high, sagitta_of(bends, spec.chord))
    else:
        ranges, _ = fewest_points(low, high)
        points = np.array([_round_sagitta(a, b, spec.chord) for a, b in ranges.tolist()])
    return np.asarray(points[::-1])


def _round_sagitta(low: float, high: float, chord: float) -> float:
    """The sagitta within the range whose radius is roundest, a straight edge being roundest."""
    if low <= 0.0 <= high:
        return 0.0
    sign = 1.0 if low > 0.0 else -1.0
    small, large = sorted(radius_of(np.array([low, high]), chord).tolist())
    small, middle = max(small, 0.5 * chord), float(radius_of(np.array(0.5 * (low + high)), chord))
    for step in ROUND_STEPS:
        if np.floor(large / step) * step >= small:
            nearest = np.clip(np.round(middle / step), np.ceil(small / step), large // step)
            return float(sagitta_of(np.array(sign / (nearest * step)), chord))
    return 0.5 * (low + high)


def _fitting(depth: Array, chosen: Array, spec: SweepSpec) -> Index:
    """The sweep nearest in depth at each place, -1 where light would show by too much."""
    nearest = np.argmin(np.abs(np.nan_to_num(depth)[:, None] - chosen[None]), axis=1)
    gap = np.abs(depth - chosen[nearest])
    return np.where(gap <= spec.tolerance + 1e-9, nearest, -1).astype(np.int64)


def _letter(number: int) -> str:
    more, letter = divmod(number, 26)
    return chr(ord("A") + letter) + (str(more + 1) if more else "")


def _sweep(name: str, sagitta: float, chord: float) -> Sweep:
    half = 0.5 * chord
    x = np.linspace(-half, half, int(np.ceil(chord / ARC_STEP)) + 1)
    straight = abs(sagitta) < 1e-9
    radius = 0.0 if straight else round(float(radius_of(np.array(sagitta), chord)), 6)
    # Ends at y = 0; a hollow edge dips in the middle.
    bow = np.zeros_like(x) if straight else np.sqrt(radius**2 - x**2) - np.sqrt(radius**2 - half**2)
    edge = np.column_stack([x, -np.sign(sagitta) * bow])
    foot = min(0.0, -sagitta) - BODY
    return Sweep(
        name=name,
        radius=radius,
        bends="straight" if straight else "hollow" if sagitta > 0.0 else "round",
        outline=np.vstack([[[-half, foot], [half, foot]], edge[::-1]]),
        edge=edge,
    )


def _areas(
    region: SkinRegion, depths: Depths, fits: tuple[Index, Index], sweeps: tuple[Sweep, ...]
) -> tuple[SweepArea, ...]:
    edges, of_triangle = edges_of(region.triangles)
    rim = edges[np.bincount(of_triangle.ravel(), minlength=len(edges)) == 1]
    shares = vertex_areas(region.vertices, region.triangles)
    found: list[SweepArea] = []
    named: tuple[tuple[Literal["greater", "lesser"], Index, Array], ...] = (
        ("greater", fits[0], depths.greater_way),
        ("lesser", fits[1], depths.lesser_way),
    )
    for word, fit, ways in named:
        for members in _patches(edges, fit, shares):
            others = np.union1d(np.flatnonzero(fit != fit[members[0]]), rim)
            centre = _well_inside(region.vertices, members, others)
            found.append(
                SweepArea(
                    sweep=sweeps[fit[members[0]]].name,
                    way=word,
                    area=float(shares[members].sum()),
                    centre=region.vertices[centre],
                    direction=ways[centre],
                )
            )
    return tuple(found)


def _patches(edges: Index, fit: Index, shares: Array) -> list[Index]:
    """Connected places with one sweep, largest first; small ones only as their sweep's largest."""
    same = fit[edges[:, 0]] == fit[edges[:, 1]]
    a, b = edges[same].T
    graph = sparse.csr_matrix((np.ones(len(a)), (a, b)), shape=(len(fit), len(fit)))
    count, label = connected_components(graph, directed=False)
    areas = np.bincount(label, shares, minlength=count)
    kept, seen = [], set()
    for patch in np.argsort(-areas, kind="stable").tolist():
        members = np.flatnonzero(label == patch)
        sweep = int(fit[members[0]])
        if sweep >= 0 and (areas[patch] > SMALL_AREA * shares.sum() or sweep not in seen):
            kept.append(members)
        seen.add(sweep)
    return kept


def _well_inside(vertices: Array, members: Index, others: Index) -> int:
    """The member farthest from all that is not; without others the one nearest to the middle."""
    if not len(others):
        off = np.linalg.norm(vertices[members] - vertices[members].mean(axis=0), axis=1)
        return int(members[np.argmin(off)])
    gap, _ = cKDTree(vertices[others]).query(vertices[members])
    return int(members[np.argmax(gap)])


def _unserved(region: SkinRegion, spec: SweepSpec, fits: list[Index]) -> tuple[Finding, ...]:
    missed = np.mean(np.concatenate(fits) < 0)
    if missed == 0.0:
        return ()
    return (
        Finding(
            code="no-sweep",
            where=region.name,
            message=f"At {100.0 * missed:.1f} % of the places no sweep with a chord of "
            f"{spec.chord:g} mm touches within {spec.tolerance:g} mm: the metal is bent too tightly"
            f"{' for the radii offered' if spec.series else ''}.",
            remedy="Use the cards there, or choose a shorter chord"
            f"{' or more radii' if spec.series else ''}.",
        ),
    )


def mirrored_sweeps(chosen: SweepSet) -> SweepSet:
    """The same for the right: the sweeps are the same arcs, the areas are mirrored."""
    return chosen.model_copy(
        update={
            "side": "right",
            "chart": chosen.chart * np.array([-1.0, 1.0]),
            "triangles": chosen.triangles[:, ::-1],
            "vertices": chosen.vertices * ACROSS,
            "areas": tuple(
                area.model_copy(
                    update={"centre": area.centre * ACROSS, "direction": area.direction * ACROSS}
                )
                for area in chosen.areas
            ),
        }
    )
