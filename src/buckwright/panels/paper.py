"""The paper pattern of a panel: straight strips that butt along a spine and show what differs."""

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.geometry.geodesic_rays import SurfaceRays, surface_rays
from buckwright.geometry.mesh import MeshLocator
from buckwright.model.finding import Finding
from buckwright.model.panels import Blank, Panel
from buckwright.model.papers import PaperJoint, PaperPattern, PaperStrip

__all__ = ["paper_pattern"]

Array = NDArray[np.float64]

Run = Literal["across", "along"]

_WAY = {"across": np.array([0.0, -1.0]), "along": np.array([1.0, 0.0])}
"""Direction of the strips on the blank: numbers grow with its x, or with its y."""
_CELLS = 9
"""Lines drawn to the width of a strip: odd, so that one is its middle."""
_STATION = 50.0
"""mm between the places where gaps are told."""
_TOLERANCE = 0.02


@dataclass(frozen=True, eq=False, slots=True)
class _Lines:
    """Lines across the spine, `cell` mm apart there.

    Attributes: across (k,) whole numbers of cells from the middle; ahead and behind, the lines
    towards the blank's positive and negative x; spine (k, 3).
    """

    across: NDArray[np.int64]
    ahead: SurfaceRays
    behind: SurfaceRays
    spine: Array
    cell: float


def paper_pattern(
    panel: Panel, blank: Blank, *, width: float = 50.0, run: Run = "across"
) -> PaperPattern:
    """Strips of paper `width` mm wide, and the gaps and overlaps between them on the panel.

    Stiff paper bends but does not stretch: a straight strip of it lies along a straight line of
    the surface. All strips cross one line through the panel's middle, the spine, squarely, and
    butt there. Away from it they drift apart where metal is missing, and over each other where it
    is in excess. They `run` across the blank (against its y, the spine along its x), or along it
    (with its x); short strips across a long panel reach more of it. Raises ValueError for a width
    that is not positive.
    """
    if width <= 0.0:
        message = "a strip needs a width"
        raise ValueError(message)
    surface = CurvedMesh(panel.vertices, panel.triangles)
    origin, start, along = _middle(panel, blank, run)
    lines = _lines(surface, start, along, width)
    stretched = [_spread(rays, lines.cell) for rays in (lines.ahead, lines.behind)]
    change = [
        _area_change(rays, spread, lines.cell)
        for rays, spread in zip((lines.ahead, lines.behind), stretched, strict=True)
    ]
    missing, excess = (sum(part[k] for part in change) for k in (0, 1))
    paper = float(lines.cell * (lines.ahead.reach + lines.behind.reach).sum())
    unaccounted = blank.area - paper - missing + excess
    joints = _joints(lines, stretched, width)
    return PaperPattern(
        panel=panel.name,
        width=width,
        run=run,
        strips=_strips(lines),
        joints=joints,
        spine=lines.spine,
        origin=origin,
        panel_area=blank.area,
        blank_area=blank.blank_area,
        paper_area=paper,
        missing=missing,
        excess=excess,
        unaccounted=unaccounted,
        tolerance=_TOLERANCE,
        words=_words(joints),
        findings=_doubts(panel.name, unaccounted / blank.area),
    )


def _middle(panel: Panel, blank: Blank, run: Run) -> tuple[tuple[float, float], Array, Array]:
    """The middle of the blank, the place (1, 3) of the panel there, and the way of the strips."""
    flat = np.column_stack([blank.flat, np.zeros(len(blank.flat))])
    middle = flat[panel.triangles].mean(axis=1)
    weights = blank.area_change + 1.0
    centre = np.average(middle, axis=0, weights=weights)
    _, on, triangle, share = MeshLocator(flat, panel.triangles).closest(centre[None])
    corners = panel.triangles[triangle[0]]
    u, v = np.diff(blank.flat[corners], axis=0)
    p, q = np.diff(panel.vertices[corners], axis=0)
    first, second = np.linalg.solve(np.column_stack([u, v]), _WAY[run])
    return (
        (float(on[0, 0]), float(on[0, 1])),
        share @ panel.vertices[corners],
        first * p + second * q,
    )


def _lines(surface: CurvedMesh, start: Array, along: Array, width: float) -> _Lines:
    cell = width / _CELLS
    longest = 2.0 * float(np.linalg.norm(np.ptp(surface.vertices, axis=0)))
    _, up = surface.lift(start)
    along = along - (up[0] @ along) * up[0]
    across = np.cross(up[0], along / np.linalg.norm(along))
    both = surface_rays(
        surface,
        np.repeat(start, 2, axis=0),
        np.stack([across, -across]),
        step=cell,
        longest=longest,
    )
    counts = [int(reach / cell) for reach in both.reach]
    places = [both.points[1 : counts[0] + 1, 0], both.points[1 : counts[1] + 1, 1]]
    ups = [both.normals[1 : counts[0] + 1, 0], both.normals[1 : counts[1] + 1, 1]]
    spine = np.vstack([places[1][::-1], both.points[:1, 0], places[0]])
    normals = np.vstack([ups[1][::-1], both.normals[:1, 0], ups[0]])
    ways = np.cross(np.gradient(spine, axis=0), normals)
    step = cell
    ahead, behind = (
        surface_rays(surface, spine, sign * ways, step=step, longest=longest) for sign in (1, -1)
    )
    number = np.arange(-counts[1], counts[0] + 1)
    return _Lines(number, ahead, behind, spine, cell)


def _spread(rays: SurfaceRays, cell: float) -> Array:
    """(n, k - 1) mm by which neighbouring lines lie farther apart than on the spine.

    Not a number beyond the end of either. Between two lines the surface is taken for an arc.
    """
    points, normals = rays.points, rays.normals
    chord = np.linalg.norm(np.diff(points, axis=1), axis=2)
    half = np.arcsin(np.clip(0.5 * np.linalg.norm(np.diff(normals, axis=1), axis=2), 0.0, 1.0))
    arc = chord * np.where(half > 1e-6, half / np.sin(np.maximum(half, 1e-9)), 1.0)
    at = rays.step * np.arange(len(points))[:, None]
    both = at <= np.minimum(rays.reach[:-1], rays.reach[1:])[None, :]
    return np.where(both, arc - cell, np.nan)


def _area_change(rays: SurfaceRays, spread: Array, cell: float) -> tuple[float, float]:
    """mm^2 of all gaps, and of all overlaps, on one side of the spine."""
    # Each line stands for a cell on both sides; the outermost has its neighbour on one side only.
    padded = np.pad(np.nan_to_num(spread), ((0, 0), (1, 1)))
    known = np.pad(np.isfinite(spread), ((0, 0), (1, 1))).astype(np.float64)
    count = known[:, :-1] + known[:, 1:]
    mean = (padded[:, :-1] + padded[:, 1:]) / np.maximum(count, 1.0)
    # Half a step belongs to the spine, the rest of the last step to the rim.
    at = rays.step * np.arange(len(spread))[:, None]
    low = np.maximum(at - 0.5 * rays.step, 0.0)
    high = np.minimum(at + 0.5 * rays.step, rays.reach[None, :])
    area = mean * np.maximum(high - low, 0.0)
    return float(area[area > 0.0].sum()), float(-area[area < 0.0].sum())


def _joints(lines: _Lines, spread: list[Array], width: float) -> tuple[PaperJoint, ...]:
    """For each two strips the gaps every 50 mm, from behind the spine to ahead of it."""
    step = lines.ahead.step
    every = max(1, round(_STATION / step))
    numbers = _numbers(lines)
    joints = []
    for low, high in pairwise(numbers):
        first = int(np.flatnonzero(lines.across == low * _CELLS)[0])
        sums = [part[:, first : first + _CELLS].sum(axis=1) for part in spread]
        ahead, behind = (part[np.isfinite(part)] for part in sums)
        at = step * np.arange(-len(behind) + 1, len(ahead))
        gap = np.concatenate([behind[:0:-1], ahead])
        told = np.arange(len(at))[(len(behind) - 1) % every :: every]
        if len(told):
            joints.append(PaperJoint(strips=(low, high), at=at[told], gap=gap[told]))
    return tuple(joints)


def _numbers(lines: _Lines) -> list[int]:
    """Numbers of the strips whose middle line crosses the panel."""
    return [int(j) // _CELLS for j in lines.across if j % _CELLS == 0]


def _strips(lines: _Lines) -> tuple[PaperStrip, ...]:
    half = _CELLS // 2
    strips = []
    for number in _numbers(lines):
        inside = np.flatnonzero(np.abs(lines.across - number * _CELLS) <= half)
        offset = lines.cell * (lines.across[inside] - number * _CELLS).astype(np.float64)
        ends = np.concatenate([[offset[0] - 0.5 * lines.cell], [offset[-1] + 0.5 * lines.cell]])
        offset = np.concatenate([ends[:1], offset, ends[1:]])
        ahead = np.pad(lines.ahead.reach[inside], 1, mode="edge")
        behind = np.pad(lines.behind.reach[inside], 1, mode="edge")
        outline = np.vstack(
            [
                np.column_stack([ahead, offset]),
                np.column_stack([-behind[::-1], offset[::-1]]),
            ]
        )
        middle = int(np.flatnonzero(lines.across == number * _CELLS)[0])
        strips.append(
            PaperStrip(number=number, outline=outline, middle=_middle_line(lines, middle))
        )
    return tuple(strips)


def _middle_line(lines: _Lines, index: int) -> Array:
    """Points of one whole line, behind the spine to ahead of it."""
    step = lines.ahead.step
    counts = [int(rays.reach[index] / step) for rays in (lines.ahead, lines.behind)]
    ahead = lines.ahead.points[: counts[0] + 1, index]
    behind = lines.behind.points[1 : counts[1] + 1, index]
    return np.vstack([behind[::-1], ahead])


def _words(joints: tuple[PaperJoint, ...]) -> str:
    gaps = np.concatenate([np.zeros(1), *(joint.gap for joint in joints)])
    if np.abs(gaps).max() < 0.05:
        return "The strips butt everywhere: the panel only bends."
    said = []
    if gaps.min() < -0.05:
        said.append(
            f"strips lap over each other by up to {-gaps.min():.1f} mm, where metal is in excess "
            "and must be shrunk"
        )
    if gaps.max() > 0.05:
        said.append(
            f"they stand apart by up to {gaps.max():.1f} mm, where metal is missing and must be "
            "stretched"
        )
    words = "; ".join(said)
    return words[:1].upper() + words[1:] + "."


def _doubts(name: str, share: float) -> tuple[Finding, ...]:
    if abs(share) <= _TOLERANCE:
        return ()
    return (
        Finding(
            code="paper-leaves-area",
            where=name,
            message=f"Strips, gaps and overlaps explain all but {100.0 * abs(share):.0f} % of the "
            "panel: straight strips from its middle do not reach every corner of it.",
            remedy="Lay further strips over the corners left bare and mark them by hand, or "
            "divide the panel by a seam.",
        ),
    )
