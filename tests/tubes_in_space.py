"""Whether a buck's tubes run into each other or the skin, worked out anew by points on tubes."""

from collections.abc import Sequence
from itertools import permutations

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.geometry.polyline import arc_lengths
from buckwright.model.buck import Buck, FrameMember, Post, Wire
from buckwright.model.skin import SkinRegion

Array = NDArray[np.float64]


def fine_axis(points: Array, *, closed: bool = False, step: float = 0.5) -> Array:
    """Points every half millimetre along an axis."""
    looped = np.vstack([points, points[:1]]) if closed else points
    along = arc_lengths(looped)
    at = np.linspace(0.0, along[-1], max(int(along[-1] / step), 2))
    return np.column_stack([np.interp(at, along, looped[:, k]) for k in range(3)])


def _tube_surface(axis: Array, radius: float) -> Array:
    tangents = np.gradient(axis, axis=0)
    tangents /= np.linalg.norm(tangents, axis=1, keepdims=True)
    aside = np.cross(tangents, np.eye(3)[np.argmin(np.abs(tangents).sum(axis=0))])
    aside /= np.linalg.norm(aside, axis=1, keepdims=True)
    other = np.cross(tangents, aside)
    rings = [
        axis + radius * (np.cos(a) * aside + np.sin(a) * other)
        for a in np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)
    ]
    return np.vstack(rings)


def depth_inside(
    points: Array, axis: Array, radius: float, *, closed: bool = False, tree: cKDTree | None = None
) -> float:
    """How deep the deepest of the points lies inside a tube with flat ends; 0 if outside."""
    gap, nearest = (tree or cKDTree(axis)).query(points)
    depth = radius - gap
    if not closed:
        for end, inner in ((0, 1), (len(axis) - 1, len(axis) - 2)):
            outward = axis[end] - axis[inner]
            beyond = (points - axis[end]) @ (outward / np.linalg.norm(outward))
            depth = np.where((nearest == end) & (beyond > -1e-9), -np.inf, depth)
    return max(float(depth.max()), 0.0)


def deepest_clash(wires: Sequence[Wire]) -> tuple[float, str]:
    """Deepest that any wire's tube runs into another's, mm, and which two."""
    axes = [fine_axis(w.axis, closed=w.closed) for w in wires]
    trees = [cKDTree(axis) for axis in axes]
    worst = (0.0, "")
    for i, j in permutations(range(len(wires)), 2):
        reach = 0.5 * (wires[i].diameter + wires[j].diameter) + 1.0
        coarse = axes[i][::8]
        near = trees[j].query(coarse, distance_upper_bound=reach + 4.0)[0] < np.inf
        for place in np.flatnonzero(near):
            piece = axes[i][max(8 * place - 5, 0) : 8 * place + 6]
            points = _tube_surface(piece, 0.5 * wires[i].diameter)
            radius, closed = 0.5 * wires[j].diameter, wires[j].closed
            depth = depth_inside(points, axes[j], radius, closed=closed, tree=trees[j])
            worst = max(worst, (depth, f"{wires[i].name} / {wires[j].name}"))
    return worst


def skin_points(regions: Sequence[SkinRegion], cuts: int = 4) -> Array:
    """Vertices, and points inside every triangle, on its flat face."""
    weights = np.array(
        [(i, j, cuts - i - j) for i in range(cuts + 1) for j in range(cuts + 1 - i)]
    ) / float(cuts)
    return np.vstack(
        [np.einsum("wk,mkd->mwd", weights, r.corners()).reshape(-1, 3) for r in regions]
    )


def member_frame(member: FrameMember, section: float) -> tuple[Array, Array, Array]:
    """Middle (3,), axes (3, 3) as rows, and half sizes (3,) of a member's square tube.

    Rails, cross tubes and uprights reach half a section past their nodes, diagonals to their
    long points.
    """
    along = member.end - member.start
    length = float(np.linalg.norm(along))
    past = 0.5 * section if member.role in ("rail", "cross", "upright") else 0.0
    past += 0.5 * section * float(np.tan(np.radians(member.start_mitre_deg)))
    across = np.eye(3)[int(np.argmin(np.abs(along)))]
    axes = np.linalg.qr(np.column_stack([along, across, np.cross(along, across)]))[0].T
    half = np.array([0.5 * length + past, 0.5 * section, 0.5 * section])
    return 0.5 * (member.start + member.end), axes, half


def frame_room(members: Sequence[FrameMember], section: float, points: Array) -> float:
    """Least distance from points to the members' square tubes, ends included."""
    least = np.inf
    for member in members:
        middle, axes, half = member_frame(member, section)
        outside = np.maximum(np.abs((points - middle) @ axes.T) - half, 0.0)
        least = min(least, float(np.linalg.norm(outside, axis=1).min()))
    return least


def deepest_post(posts: Sequence[Post], wires: Sequence[Wire], diameter: float) -> float:
    """Deepest that any post runs into a wire, mm."""
    worst, radius = 0.0, 0.5 * diameter
    axes = {wire.name: fine_axis(wire.axis, closed=wire.closed, step=1.0) for wire in wires}
    closed = {wire.name: wire.closed for wire in wires}
    for post in posts:
        surface = _tube_surface(fine_axis(np.vstack([post.start, post.end]), step=1.0), radius)
        low, high = surface.min(axis=0) - diameter, surface.max(axis=0) + diameter
        for name, axis in axes.items():
            if name != post.wire and np.all((axis > low) & (axis < high), axis=1).any():
                depth = depth_inside(surface, axis, radius, closed=closed[name])
                worst = max(worst, depth)
    return worst


def worst_tack_mark(buck: Buck) -> float:
    """Farthest that a tack mark on a wire lies from where the two axes are nearest, mm."""
    wires = {wire.name: wire for wire in buck.wires}
    worst = 0.0
    for tack in buck.tacks:
        marks = []
        for name, at in zip(tack.wires, tack.at, strict=True):
            wire = wires[name]
            looped = np.vstack([wire.axis, wire.axis[:1]]) if wire.closed else wire.axis
            along = arc_lengths(looped)
            marks.append(np.array([np.interp(at, along, looped[:, k]) for k in range(3)]))
        between = 0.5 * (marks[0] + marks[1])
        worst = max(worst, float(np.linalg.norm(between - tack.point)))
        gap = float(np.linalg.norm(marks[0] - marks[1]))
        fine = [fine_axis(wires[n].axis, closed=wires[n].closed, step=0.1) for n in tack.wires]
        near = [f[np.linalg.norm(f - tack.point, axis=1) < 40.0] for f in fine]
        least = float(cKDTree(near[0]).query(near[1])[0].min())
        worst = max(worst, gap - least)
    return worst
