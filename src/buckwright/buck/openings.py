"""Wires in the way: of an opening part, of metal, of another wire; and those that are spliced.

Each is named with where along the rod, and with what would put it right.
"""

from collections.abc import Sequence
from math import ceil

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.buck.meeting import near_pairs
from buckwright.buck.metal import runs_in_metal
from buckwright.buck.paths import Path
from buckwright.buck.rods import Rod
from buckwright.buck.wires import Ground
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.spline import domain
from buckwright.model.buck import BuckSpec, Wire
from buckwright.model.finding import Finding
from buckwright.model.skin import SkinRegion

__all__ = ["doubts_about_places", "doubts_about_splices"]

Array = NDArray[np.float64]

CUT_BACK = 5.0
"""mm of a path's end cut away from metal that are worth a word."""
BESIDE, BESIDE_RUN = 2.5, 120.0
"""Diameters between axes, and mm along, that make two rods run side by side."""
BESIDE_APART = 5.0
"""Diameters from the other rod at which a section is clear of it."""
OPEN_RUN = 20.0
"""mm inside an opening that are worth a word."""


def doubts_about_places(
    spec: BuckSpec, ground: Ground, paths: Sequence[Path], rods: Sequence[Rod]
) -> tuple[Finding, ...]:
    """Ends cut back from metal, rods in metal, in openings that a part closes, side by side."""
    found = [doubt for path in paths for doubt in _cut_back_from_metal(path)]
    found += [doubt for rod in rods for doubt in _in_metal(rod, spec, ground)]
    found += [doubt for rod in rods for doubt in _in_openings(rod, ground, rods)]
    return (*found, *_side_by_side(rods, spec))


def _cut_back_from_metal(path: Path) -> list[Finding]:
    if path.closed or path.side == "right":
        return []
    start, end = domain(path.curve)
    cuts = [
        f"{by:.0f} mm at its {which}"
        for by, which in ((path.start - start, "start"), (end - path.end, "end"))
        if by > CUT_BACK
    ]
    if not cuts:
        return []
    return [
        Finding(
            code="cut-back",
            kind="note",
            where=path.name,
            message=f"It is cut back {' and '.join(cuts)}, where its rod would stand in the metal "
            "of another region.",
            remedy="Tack its ends to the wire that edges that region.",
        )
    ]


def _in_metal(rod: Rod, spec: BuckSpec, ground: Ground) -> list[Finding]:
    hit = runs_in_metal(rod, ground.metal)
    if hit is None:
        return []
    (low, high, deep), regions = hit
    layers = ceil(deep / spec.rod_diameter)
    inner = rod.path.axis(rod.at, rod.set_in + layers * spec.rod_diameter)
    if ground.metal.depth(rod.path, inner)[0].any():
        remedy = f"Cut it at {max(low - 5.0, 0.0):.0f} and at {high + 5.0:.0f} mm along it."
    else:
        remedy = (
            f"Give it layer {rod.layer + layers}, {layers * spec.rod_diameter:.1f} mm farther in, "
            f"or cut it at {max(low - 5.0, 0.0):.0f} and {high + 5.0:.0f} mm along it."
        )
    return [
        Finding(
            code="in-the-metal",
            where=rod.path.name,
            message=f"From {low:.0f} to {high:.0f} mm along it its rod stands up to {deep:.1f} mm "
            f"in the metal of '{regions[0]}'.",
            remedy=remedy,
        )
    ]


def _in_openings(rod: Rod, ground: Ground, rods: Sequence[Rod]) -> list[Finding]:
    """Where a rod passes behind a part that opens: inside a closed line that lies on its region.

    A piece that lies wholly inside belongs to the part itself.
    """
    if rod.path.side == "right":
        return []
    found = []
    for region, mesh in ground.meshes:
        if region.name != rod.path.region:
            continue
        for track in region.inner:
            if not track.closed or track.line == rod.path.spec.line:
                continue
            inside = _inside(rod.points, region, mesh, track.vertices)
            run = rod.along[inside]
            if inside.mean() > 0.9 or len(run) < 2 or run[-1] - run[0] < OPEN_RUN:
                continue
            named = [r.path.spec.name for r in rods if r.path.spec.line == track.line]
            found.append(_in_opening(rod, track.line, named, float(run[0]), float(run[-1])))
    return found


def _inside(
    points: Array, region: SkinRegion, mesh: CurvedMesh, loop: NDArray[np.int64]
) -> NDArray[np.bool_]:
    """Which points (n,) of a rod lie under what a closed loop of vertices encloses."""
    rim = mesh.vertices[loop]
    reach = 30.0
    near = np.all((points > rim.min(axis=0) - reach) & (points < rim.max(axis=0) + reach), axis=1)
    inside = np.zeros(len(points), dtype=bool)
    if not near.any():
        return inside
    _, _, triangle, weights = mesh.locator.closest(points[near])
    flat = np.einsum("ki,kid->kd", weights, region.chart[region.triangles[triangle]])
    polygon = shapely.Polygon(region.chart[loop]).buffer(0.0)
    inside[near] = shapely.contains_xy(polygon, flat[:, 0], flat[:, 1])
    return inside


def _in_opening(rod: Rod, line: str, named: Sequence[str], low: float, high: float) -> Finding:
    where = f"from {low:.0f} to {high:.0f} mm along it"
    if named:
        remedy = (
            "Leave it whole while the metal is shaped; for the part to open, cut it there, at "
            f"'{named[0]}', and tack its ends to that."
        )
    else:
        remedy = f"Add a wire along '{line}' and cut this one at it."
    return Finding(
        code="in-an-opening",
        kind="note",
        where=rod.path.name,
        message=f"It passes behind '{line}', a part that opens, {where}.",
        remedy=remedy,
    )


def _side_by_side(rods: Sequence[Rod], spec: BuckSpec) -> list[Finding]:
    found = []
    reach = BESIDE * spec.rod_diameter
    for i, j in near_pairs(rods, reach=reach):
        first, second = rods[i], rods[j]
        if first.path.along_line and not second.path.along_line:
            first, second = second, first
        if first.path.side == "right":
            continue
        near = np.flatnonzero(second.locator.near(first.points) < reach)
        for group in np.split(near, np.flatnonzero(np.diff(near) > 1) + 1):
            if len(group) < 2:
                continue
            run = float(first.along[group[-1]] - first.along[group[0]])
            if run > BESIDE_RUN:
                found.append(_beside(first, second, first.points[group], run, spec))
    return found


def _beside(first: Rod, second: Rod, near: Array, run: float, spec: BuckSpec) -> Finding:
    remedy = "Leave one of the two out, or cut the one that carries less."
    plane = first.path.spec.plane
    if plane is not None:
        axis = "xyz".index(plane[0])
        _, feet, _ = second.locator.closest(near)
        beyond = float(feet[:, axis].mean()) > plane[1]
        clear = BESIDE_APART * spec.rod_diameter
        to = float(feet[:, axis].min()) - clear if beyond else float(feet[:, axis].max()) + clear
        remedy = f"Move it to {plane[0]} = {to:.0f} mm, or leave it out."
    return Finding(
        code="side-by-side",
        where=first.path.name,
        message=f"It runs beside '{second.path.name}' for {run:.0f} mm, closer than "
        f"{BESIDE * spec.rod_diameter:.0f} mm between their middles.",
        remedy=remedy,
    )


def doubts_about_splices(wires: Sequence[Wire], spec: BuckSpec) -> tuple[Finding, ...]:
    """Wires that are longer than the longest bar, and where they are spliced."""
    bar = max(spec.bar_lengths, default=0.0)
    found = []
    for wire in wires:
        if not wire.splices:
            continue
        places = [f"{s.at:.0f} mm ({s.tack_gap:.0f} mm from a tack)" for s in wire.splices]
        overlap = wire.splices[0].overlap
        found.append(
            Finding(
                code="spliced",
                kind="note",
                where=wire.name,
                message=f"It is {wire.length:.0f} mm long and the longest bar {bar:.0f} mm, so it "
                f"is spliced at {' and '.join(places)} along it.",
                remedy=f"Butt the parts there and weld a stub of {wire.splices[0].stub_length:.0f} "
                f"mm along their inner side, {overlap:.0f} mm on each.",
            )
        )
    return tuple(found)
