"""What the people see: over the scuttle, under the header, and past the screen posts."""

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.mesh import section_mesh
from buckwright.model.lines import LineNetwork
from buckwright.model.package import PackageSpec, PostSight, Sight
from buckwright.model.skin import Skin
from buckwright.people.seating import Seated

__all__ = [
    "crossings_at",
    "hidden_angles",
    "line_points",
    "rise_to",
    "sights_of",
    "view_past_posts",
]

Array = NDArray[np.float64]
LINE_POINTS = 801


def crossings_at(points: Array, axis: int, value: float) -> Array:
    """(k, 3) points where a polyline (n, 3) crosses the plane at `value` on that axis."""
    off = points[:, axis] - value
    crossed = np.flatnonzero((off[:-1] * off[1:] < 0.0) | (off[:-1] == 0.0))
    first, second = off[crossed], off[crossed + 1]
    apart = first - second
    share = np.divide(first, apart, out=np.zeros_like(first), where=apart != 0.0)
    found = points[crossed] + share[:, None] * (points[crossed + 1] - points[crossed])
    return np.vstack([found, points[-1:]]) if off[-1] == 0.0 else found


def rise_to(eye: Array, points: Array) -> Array:
    """Angles (n,) above level of points (n, 2) of x and z ahead of an eye (2,) that looks to -x."""
    return np.asarray(np.arctan2(points[:, 1] - eye[1], eye[0] - points[:, 0]))


def hidden_angles(eyes: Array, outline: Array) -> tuple[float, float, float]:
    """Angles (rad) that a convex body in plan hides: from each eye, and far away from both.

    `eyes` is (2, 2) and `outline` (n, 2), x and y. Far away is where the two eyes' directions are
    the same; a body narrower than the distance between the eyes hides nothing there from both.
    """
    spans = []
    middle = outline.mean(axis=0)
    for eye in eyes:
        facing = np.arctan2(*(middle - eye)[::-1])
        ways = np.arctan2(outline[:, 1] - eye[1], outline[:, 0] - eye[0]) - facing
        ways = (ways + np.pi) % (2.0 * np.pi) - np.pi
        spans.append((facing + ways.min(), facing + ways.max()))
    (a, b), (c, d) = spans
    turn = 2.0 * np.pi * np.round((0.5 * (a + b - c - d)) / (2.0 * np.pi))
    both = max(0.0, min(b, d + turn) - max(a, c + turn))
    return float(b - a), float(d - c), float(both)


def sights_of(
    seated: Seated, network: LineNetwork, skin: Skin, spec: PackageSpec
) -> tuple[Sight, ...]:
    """Over the scuttle, with the eyes at ease, and under the header, with the eyes erect.

    What a job has no line for is left out.
    """
    found = []
    for sight in (
        _over_scuttle(seated, network, skin, spec),
        _under_header(seated, network, spec),
    ):
        if sight is not None:
            found.append(sight)
    return tuple(found)


def view_past_posts(
    seated: Seated, network: LineNetwork, spec: PackageSpec
) -> tuple[PostSight, ...]:
    """What each screen post hides at the height of the eyes at ease.

    A post reaches from the screen's edge to the front of the side window, trim on both edges.
    """
    edge, window = line_points(network, spec.screen_edge), line_points(network, spec.window)
    if edge is None:
        return ()
    eyes = seated.eyes(spec.relaxed)
    z = float(eyes[0, 2])
    front = crossings_at(edge, 2, z)
    glass = np.zeros((0, 3)) if window is None else crossings_at(window, 2, z)
    found = []
    for side, sign in (("left", -1.0), ("right", 1.0)):
        here = front[front[:, 1] * sign > 0.0]
        if len(here) == 0:
            continue
        outline = _post(here[:, :2].mean(axis=0), glass, sign, spec.post_trim)
        left, right, both = hidden_angles(eyes[:, :2], outline)
        found.append(
            PostSight(
                person=seated.name,
                post="left" if side == "left" else "right",
                eyes=eyes[:, :2],
                outline=outline,
                hidden=(left, right),
                both=both,
                z=z,
            )
        )
    return tuple(found)


def _post(front: Array, glass: Array, sign: float, trim: float) -> Array:
    """(2, 2) the post's chord in plan, from the screen to the side window."""
    if len(glass) == 0:
        return np.asarray(front + np.array([[-trim, 0.0], [trim, 0.0]]))
    x, y, _ = glass[np.argmin(glass[:, 0])]
    back = np.array([x, sign * abs(y)])
    along = (back - front) / max(float(np.linalg.norm(back - front)), 1e-9)
    return np.stack([front - trim * along, back + trim * along])


def _over_scuttle(
    seated: Seated, network: LineNetwork, skin: Skin, spec: PackageSpec
) -> Sight | None:
    eye = seated.eyes(spec.relaxed).mean(axis=0)
    base = line_points(network, spec.screen_base)
    crossed = np.zeros((0, 3)) if base is None else crossings_at(base, 1, float(eye[1]))
    if len(crossed) == 0:
        centre = line_points(network, spec.scuttle)
        if centre is None:
            return None
        crossed = centre[[np.argmax(centre[:, 0])]]
    last = float(crossed[:, 0].max())
    ahead = np.vstack(
        [crossed, _metal_ahead(skin, float(eye[1]), last, _header(network, spec, eye))]
    )
    rise = rise_to(eye[[0, 2]], ahead[:, [0, 2]])
    place = int(np.argmax(rise))
    angle = float(rise[place])
    front = min(float(r.vertices[:, 0].min()) for r in skin.regions)
    end, words = ahead[place], "sees no ground ahead: the scuttle is as high as the eyes"
    if angle < -1e-6:
        ground = eye[0] - eye[2] / np.tan(-angle)
        end = np.array([ground, eye[1], 0.0])
        words = f"sees the ground from {(front - ground) / 1000.0:.1f} m ahead of the body on"
    return _sight("over the scuttle", seated, eye, end, angle, words)


def _metal_ahead(skin: Skin, y: float, last: float, header: float) -> Array:
    """(n, 3) points of the skin's section at y, ahead of the screen and below its header."""
    found = [np.zeros((0, 3))]
    for region in skin.regions:
        for points, _ in section_mesh(
            region.vertices,
            region.triangles,
            origin=np.array([0.0, y, 0.0]),
            normal=np.array([0.0, 1.0, 0.0]),
        ):
            found.append(points[(points[:, 0] <= last) & (points[:, 2] < header)])
    return np.vstack(found)


def _header(network: LineNetwork, spec: PackageSpec, eye: Array) -> float:
    """Height of the screen's upper edge before the eye; infinite if the job has no such line."""
    edge = line_points(network, spec.screen_edge)
    above = np.zeros((0, 3)) if edge is None else crossings_at(edge, 1, float(eye[1]))
    return float(above[:, 2].max()) if len(above) else np.inf


def _under_header(seated: Seated, network: LineNetwork, spec: PackageSpec) -> Sight | None:
    edge = line_points(network, spec.screen_edge)
    eye = seated.eyes().mean(axis=0)
    if edge is None:
        return None
    above = crossings_at(edge, 1, float(eye[1]))
    above = above[above[:, 0] < eye[0]]
    if len(above) == 0:
        return None
    header = above[np.argmax(above[:, 2])]
    angle = float(rise_to(eye[[0, 2]], header[None, [0, 2]])[0])
    lamp = eye[2] + 10_000.0 * np.tan(angle)
    words = f"sees up to {lamp / 1000.0:.1f} m above the ground 10 m ahead"
    return _sight("under the header", seated, eye, header, angle, words)


def _sight(name: str, seated: Seated, start: Array, end: Array, angle: float, words: str) -> Sight:
    first, last = (tuple(float(v) for v in p) for p in (start, end))
    return Sight(
        name=name,
        person=seated.name,
        start=(first[0], first[1], first[2]),
        end=(last[0], last[1], last[2]),
        angle=angle,
        words=words,
    )


def line_points(network: LineNetwork, name: str) -> Array | None:
    """(n, 3) points along the line of that name, a closed one joined up; None if there is none."""
    for line in network.lines:
        if line.name == name:
            points = line.points(LINE_POINTS)
            return np.vstack([points, points[:1]]) if line.closed else points
    return None
