"""Areas of a panel that need the same treatment, and how the trade would do it, in words."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.mesh import triangle_areas
from buckwright.geometry.mesh_faults import triangle_pieces
from buckwright.model.panels import MapArea
from buckwright.panels.bend import Bends
from buckwright.panels.bend_words import anvil_words, bend_of, bend_words

__all__ = ["FlatPanel", "map_areas", "percent"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Kind = Literal["stretch", "shrink", "leave"]

_LEAVE = 0.01
"""Change of area, or of length, that needs no treatment of its own."""
_SMALL = 0.005
"""Areas smaller than this share of the panel are not listed."""


@dataclass(frozen=True, eq=False, slots=True)
class FlatPanel:
    """A panel beside its blank, with what each triangle needs; lengths mm.

    Attributes: vertices (n, 3), flat (n, 2), triangles (m, 3), rim (k,) vertices in order round
    the edge; area_change, major, minor (m,) and direction (m, 2) as in `Blank`; bends, at the
    vertices; thickness of the sheet.
    """

    vertices: Array
    flat: Array
    triangles: Index
    rim: Index
    area_change: Array
    major: Array
    minor: Array
    direction: Array
    bends: Bends
    thickness: float


def map_areas(panel: FlatPanel) -> tuple[MapArea, ...]:
    """Connected areas of stretch, of shrink, and of neither: what to shrink most comes first.

    Peaks are means over a triangle's neighbours. Each edge of the panel counts with its own
    change of length, because that is what a tape shows and what a shrinker works on.
    """
    areas = triangle_areas(panel.vertices, panel.triangles)
    smooth = _smoothed(panel, areas)
    kinds: tuple[Kind, ...] = ("shrink", "stretch", "leave")
    masks = (smooth < -_LEAVE, smooth > _LEAVE, np.abs(smooth) <= _LEAVE)
    found = []
    for kind, mask in zip(kinds, masks, strict=True):
        members = np.flatnonzero(mask)
        if not len(members):
            continue
        label = triangle_pieces(panel.triangles[members])
        for piece in range(int(label.max()) + 1):
            inside = members[label == piece]
            if areas[inside].sum() >= _SMALL * areas.sum():
                found.append(_area(panel, areas, smooth, inside, kind))
    order = {"shrink": 0, "stretch": 1, "leave": 2}
    return tuple(sorted(found, key=lambda a: (order[a.kind], -abs(a.peak), -a.area)))


def _smoothed(panel: FlatPanel, areas: Array) -> Array:
    """Area change as the mean over each triangle's neighbours: no speckle of single triangles."""
    corners, count = panel.triangles.ravel(), len(panel.vertices)
    weight = np.bincount(corners, np.repeat(areas, 3), minlength=count)
    total = np.bincount(corners, np.repeat(areas * panel.area_change, 3), minlength=count)
    at_vertex = total / np.where(weight > 0.0, weight, 1.0)
    return np.asarray(at_vertex[panel.triangles].mean(axis=1))


def _area(panel: FlatPanel, areas: Array, smooth: Array, inside: Index, kind: Kind) -> MapArea:
    here, near = areas[inside], smooth[inside]
    total = float(here.sum())
    # The blank's area is the panel's over 1 + change, so the whole area changes by this:
    mean = total / float((here / (1.0 + panel.area_change[inside])).sum()) - 1.0
    extreme = {"shrink": near.argmin(), "stretch": near.argmax(), "leave": np.abs(near).argmax()}
    peak = float(near[extreme[kind]])
    middles = panel.vertices[panel.triangles[inside]].mean(axis=1)
    middle = np.average(middles, axis=0, weights=here)
    centre = middles[int(np.argmin(np.linalg.norm(middles - middle, axis=1)))]
    along, across, way = _mean_strain(panel, here, inside)
    bend = bend_of(panel.bends, np.unique(panel.triangles[inside]))
    if kind == "leave":
        words = _leave_words(along, across) or bend_words(bend)
    else:
        words = _words(panel, inside, kind, mean)
    if kind == "stretch" and bend.anvil > 0.0:
        words += f" (wheel: {anvil_words(bend.anvil)})"
    return MapArea(
        kind=kind,
        area=total,
        mean=mean,
        peak=peak,
        centre=centre,
        words=words,
        triangles=inside,
        strain=(float(np.expm1(along)), float(np.expm1(across))),
        direction=way,
        thickness=panel.thickness / (1.0 + peak),
        radii=bend.radii,
        bend=bend.kind,
        anvil=bend.anvil if kind != "shrink" else 0.0,
    )


def _mean_strain(
    panel: FlatPanel, here: Array, inside: Index
) -> tuple[float, float, tuple[float, float]]:
    """Mean principal log strains of an area, and the middle of the larger's directions."""
    x, y = panel.direction[inside].T
    major, minor = panel.major[inside], panel.minor[inside]
    pull = (major - minor) * here
    # Directions have no sense, so they are averaged as turns of twice their angle.
    angle = 0.5 * np.arctan2(2.0 * (pull * x * y).sum(), (pull * (x * x - y * y)).sum())
    way = (float(np.cos(angle)), float(np.sin(angle)))
    return float(np.average(major, weights=here)), float(np.average(minor, weights=here)), way


def _words(panel: FlatPanel, inside: Index, kind: Kind, mean: float) -> str:
    before, after, whole = _edge_run(panel, inside)
    change = after / before - 1.0 if before > 0.0 else 0.0
    wanted = change < -0.5 * _LEAVE if kind == "shrink" else change > 0.5 * _LEAVE
    if before > 0.0 and wanted:
        how = "all round" if whole else "here"
        over = "" if whole else f" over {_rounded(before)} mm"
        lengths = f"{before:.0f} mm of blank edge become {after:.0f} mm"
        return f"{kind} the edge {how} by {percent(change)}{over}: {lengths}"
    if before == 0.0:
        return f"{kind} the middle by {percent(mean)}"
    return f"{kind} here by {percent(mean)} in area"


def _leave_words(along: float, across: float) -> str:
    """What to do where the metal keeps its area but not its shape; empty where it keeps both."""
    if along > _LEAVE and across < -_LEAVE:
        return (
            f"keep the area: lengthen one way by {percent(along)}, "
            f"gather the other way by {percent(across)}"
        )
    return ""


def _edge_run(panel: FlatPanel, inside: Index) -> tuple[float, float, bool]:
    """Length on the blank and on the panel of the longest run of the rim in this area.

    Also whether the run is the whole rim. All zero where the area does not reach the rim.
    """
    rim, following = panel.rim, np.roll(panel.rim, -1)
    triangles, count = panel.triangles[inside], len(panel.vertices)
    sides = np.concatenate([triangles[:, k] * count + triangles[:, (k + 1) % 3] for k in range(3)])
    ours = np.isin(rim * count + following, sides)
    before = np.linalg.norm(panel.flat[following] - panel.flat[rim], axis=1)
    after = np.linalg.norm(panel.vertices[following] - panel.vertices[rim], axis=1)
    if ours.all():
        return float(before.sum()), float(after.sum()), True
    # Begin the round where the rim is not ours, so that no run is broken.
    turn = -int(np.flatnonzero(~ours)[0])
    ours, before, after = (np.roll(part, turn) for part in (ours, before, after))
    run = np.cumsum(~ours)[ours]
    if not len(run):
        return 0.0, 0.0, False
    lengths = np.bincount(run, before[ours])
    longest = int(np.argmax(lengths))
    return float(lengths[longest]), float(np.bincount(run, after[ours])[longest]), False


def percent(change: float) -> str:
    """A share without its sign, as `3.4 %`, or `12 %` from ten on."""
    share = 100.0 * abs(change)
    return f"{share:.1f} %" if share < 9.95 else f"{share:.0f} %"


def _rounded(length: float) -> int:
    step = 10 if length < 500.0 else 50
    return max(step, step * round(length / step))
