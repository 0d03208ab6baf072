"""Invented panels, gauges, skin and a check for the small job of these tests."""

from functools import cache

import numpy as np
from scipy.spatial import Delaunay

from buckwright.model.checking import CheckResult, Spot
from buckwright.model.gauges import Gauge, Gauges
from buckwright.model.panels import (
    Blank,
    MapArea,
    Panel,
    Panels,
    PanelVerdict,
)
from buckwright.model.skin import LineTrack, Skin, SkinRegion


def dome():
    """Polar points and triangles of a cap with R 600 to 35 degrees: flat, panel, triangles."""
    rings = np.linspace(0.0, np.radians(35.0), 12)[1:]
    polar = [(0.0, 0.0)]
    for number, away in enumerate(rings, 1):
        polar += [
            (away, angle) for angle in np.linspace(0.0, 2 * np.pi, 6 * number, endpoint=False)
        ]
    away, angle = np.array(polar).T
    flat = 600.0 * away[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    panel = 600.0 * np.column_stack(
        [np.sin(away) * np.cos(angle), np.sin(away) * np.sin(angle), np.cos(away)]
    )
    triangles = Delaunay(flat).simplices
    u, v = (
        flat[triangles[:, 1]] - flat[triangles[:, 0]],
        flat[triangles[:, 2]] - flat[triangles[:, 0]],
    )
    wrong = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0] < 0.0
    triangles[wrong] = triangles[wrong][:, ::-1]
    return flat * (1.4, 1.0), panel * (1.4, 1.0, 1.0), triangles.astype(np.int64)


def areas_of(points, triangles):
    a, b, c = (points[triangles[:, k]] for k in range(3))
    if points.shape[1] == 2:
        u, v = b - a, c - a
        return 0.5 * np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
    return 0.5 * np.linalg.norm(np.cross(b - a, c - a), axis=1)


@cache
def panels():
    flat, panel, triangles = dome()
    change = areas_of(panel, triangles) / areas_of(flat, triangles) - 1.0 + 0.03
    rim = flat[-66:]
    outline = rim * (1.0 + 10.0 / np.linalg.norm(rim, axis=1, keepdims=True))
    kinds = (("stretch", 0, "wheel the middle"), ("shrink", -1, "shrink the edge over 300 mm"))
    blank = Blank(
        panel="wing crown",
        flat=flat,
        outline=outline,
        net_outline=rim,
        area_change=change,
        strain_major=np.abs(change),
        strain_minor=-np.abs(change),
        major_direction=np.tile([1.0, 0.0], (len(triangles), 1)),
        bend_radius=np.full(len(flat), 600.0),
        work_density=1e-3,
        area=4e5,
        blank_area=4.1e5,
        flipped=0,
        areas=tuple(
            MapArea(kind=kind, area=1e4, mean=0.02, peak=0.05, centre=panel[i], words=text)
            for kind, i, text in kinds
        ),
        verdict=PanelVerdict(
            step="with care", reason="5 % against 23 % at least", elongation=0.23, source="B209"
        ),
        mass=1.4,
    )
    return Panels(
        panels=(
            Panel(name="wing crown", region="front wing", vertices=panel, triangles=triangles),
        ),
        blanks=(blank,),
        edge_vertices=(np.arange(len(flat) - 66, len(flat)),),
    )


@cache
def gauges():
    angle = np.linspace(np.radians(50.0), np.radians(130.0), 90)
    cards = []
    for hand, sign in (("left", -1.0), ("right", 1.0)):
        for axis, at in (("x", 1200.0), ("y", 500.0)):
            across = np.cos(angle) * 500.0 * (-sign if axis == "x" else 1.0)
            up = np.sin(angle) * 500.0
            order = np.argsort(across)
            profile = np.column_stack([across, up])[order]
            fixed = np.full(len(angle), at if axis == "x" else sign * at)
            section = (
                np.column_stack([fixed, -profile[:, 0], profile[:, 1]])
                if axis == "x"
                else np.column_stack([profile[:, 0], fixed, profile[:, 1]])
            )
            back = profile[::-1] * (560.0 / 500.0)
            cards.append(
                Gauge(
                    name=f"front wing {axis} {at:.0f}",
                    hand=hand,
                    plane=(axis, at if axis == "x" else sign * at),
                    section=section,
                    profile=profile,
                    outline=np.vstack([profile, back]),
                    marks=profile[[30, 60]],
                    mark_names=("front wing crown", "front wing section"),
                    origin=np.zeros(3),
                )
            )
    return Gauges(gauges=tuple(cards))


@cache
def skin():
    _, panel, triangles = dome()
    rim = np.arange(len(panel) - 66, len(panel))
    turn = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]])
    vertices = panel @ turn.T + (700.0, 0.0, 500.0)
    track = LineTrack(line="front wing edge", vertices=rim, closed=True)
    return Skin(
        regions=(
            SkinRegion(
                name="front wing",
                side="left",
                vertices=vertices,
                triangles=triangles,
                chart=panel[:, :2],
                boundary=(track,),
                inner=(),
                holes=(),
                line_error_most=0.3,
                line_error_rms=0.1,
            ),
        )
    )


@cache
def checks():
    vertices = skin().regions[0].vertices
    distance = 0.3 * np.sin(np.arange(len(vertices)))
    distance[:5] = 3.0
    spots = (
        Spot(kind="high", centre=vertices[0], height=3.2, mean=2.0, area=6000.0, points=5,
             words="knock it down from outside"),
        Spot(kind="low", centre=vertices[150], height=-2.4, mean=-1.9, area=9000.0, points=8,
             words="raise it from inside"),
    )  # fmt: skip
    return (
        CheckResult(
            survey="left front wing",
            region="front wing",
            rotation=np.eye(3),
            translation=np.zeros(3),
            seated=vertices,
            distance=distance,
            rms=0.21,
            seating_sigma=0.1,
            tolerance=1.5,
            spots=spots,
        ),
    )
