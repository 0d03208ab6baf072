"""Panels of exact shape as meshes, for the guide: a roof corner, half of it, and a bonnet side.

Both are a section swept along a way that is straight or round, so that each piece of them is a
plane, a cylinder, a cone or a ring, whose curvature is known by heart.

    python examples/panels/make_meshes.py FOLDER
"""

import sys
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

STEP = 10.0
"""mm between vertices, about."""


def roof_corner(turned: float = np.pi / 2.0) -> tuple[Array, Array]:
    """Roof, side and end of a body meeting: edge radius 150, radius of the corner in plan 350.

    The section (100 flat, a quarter of a circle, 100 down) goes 250 straight, round a quarter
    turn, and 250 straight. Flat, cylinder and ring; the ring holds all the rounding: the turn in
    plan times the fall of the section, pi / 2. `turned` ends it earlier: pi / 4 is the half up to
    a seam across the middle of the corner.
    """
    out, up = _section([("straight", 100.0), ("arc", 150.0, 90.0), ("straight", 100.0)])
    ways = [(np.array([along - 250.0, 0.0]), 0.0) for along in _steps(250.0)]
    turns = np.linspace(0.0, turned, round(turned * 350.0 / STEP) + 1)[1:]
    ways += [(np.zeros(2), float(turn)) for turn in turns]
    if turned == np.pi / 2.0:
        ways += [(np.array([0.0, -along]), turned) for along in _steps(250.0)[1:]]
    rows = []
    for at, turn in ways:
        # Outward in plan: to the right at first, then rearward.
        plan = at + (100.0 + out)[:, None] * np.array([np.sin(turn), np.cos(turn)])
        rows.append(np.column_stack([plan, 1600.0 + up]))
    return _mesh(np.array(rows))


def roof_corner_half() -> tuple[Array, Array]:
    """The side's half of the roof corner, up to a seam across the middle of the corner."""
    return roof_corner(np.pi / 4.0)


def bonnet_side() -> tuple[Array, Array]:
    """Half a bonnet: 260 of top, a shoulder of 110 radius turning 80 degrees, 200 of side.

    Swept round an axis across the vehicle, 1800 below the top, for 900 along it. The top is a
    cylinder and the side a cone: both are only bent. The shoulder is a piece of a ring: all the
    rounding is there.
    """
    out, up = _section([("straight", 260.0), ("arc", 110.0, 80.0), ("straight", 200.0)])
    rows = []
    for turn in np.linspace(-0.25, 0.25, 91):
        radius = 1800.0 + up
        x, z = radius * np.sin(turn), radius * np.cos(turn) - 800.0
        rows.append(np.column_stack([x, out, z]))
    return _mesh(np.array(rows))


def _section(pieces: list[tuple]) -> tuple[Array, Array]:
    """How far out and how far up the section goes, from a level start."""
    points, heading = [np.zeros(2)], 0.0
    for kind, *sizes in pieces:
        if kind == "straight":
            for step in np.diff(_steps(sizes[0])):
                points.append(points[-1] + step * np.array([np.cos(heading), -np.sin(heading)]))
            continue
        radius, turn = sizes[0], np.radians(sizes[1])
        centre = points[-1] - radius * np.array([np.sin(heading), np.cos(heading)])
        for angle in np.linspace(0.0, turn, int(radius * turn / STEP) + 2)[1:]:
            now = heading + angle
            points.append(centre + radius * np.array([np.sin(now), np.cos(now)]))
        heading += turn
    out, up = np.array(points).T
    return out, up


def _steps(length: float) -> Array:
    return np.linspace(0.0, length, round(length / STEP) + 1)


def _mesh(grid: Array) -> tuple[Array, Array]:
    """Vertices and triangles of a grid of points (rows, columns, 3), the outside up."""
    rows, columns = grid.shape[:2]
    at = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]
    triangles = np.stack([np.stack([a, b, c], -1), np.stack([a, c, d], -1)]).reshape(-1, 3)
    vertices = grid.reshape(-1, 3)
    corners = vertices[triangles]
    upward = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])[:, 2].sum()
    return vertices, triangles if upward > 0.0 else triangles[:, ::-1]


def write_obj(path: Path, vertices: Array, triangles: Array) -> None:
    """A mesh as plain text that every program reads."""
    lines = [f"v {x:.6f} {y:.6f} {z:.6f}" for x, y, z in vertices]
    lines += [f"f {a} {b} {c}" for a, b, c in triangles + 1]
    path.write_text("\n".join(lines) + "\n")


def main(folder: Path) -> None:
    """Write all meshes into the folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for shape in (roof_corner, roof_corner_half, bonnet_side):
        write_obj(folder / f"{shape.__name__}.obj", *shape())


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path("demo") / "meshes")
