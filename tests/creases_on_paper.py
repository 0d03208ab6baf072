"""Surfaces with creases known in closed form, and lines on them."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from buckwright.model.creases import CreaseSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import RegionSpec
from networks_on_paper import network_of

Array = NDArray[np.float64]
Curve = Callable[[Array], Array]

RADIUS, LONG, TURN = 500.0, 1200.0, 1.0
"""Of two round sheets that meet in a ridge, mm; and how far each turns, radians."""


def straight(a: tuple[float, ...], b: tuple[float, ...]) -> Curve:
    start, end = np.array(a), np.array(b)
    return lambda t: start + (end - start) * t[:, None]


def gable(x: Array, turn: Array, side: float, angle: float) -> Array:
    """A round sheet on one side of the ridge, down to `turn` = TURN; the ridge breaks by angle."""
    lean = 0.5 * angle
    y = RADIUS * (np.sin(lean + turn) - np.sin(lean))
    z = RADIUS * (np.cos(lean + turn) - np.cos(lean))
    return np.stack([x, side * y, z], axis=-1)


def _arch(x: float, side: float, angle: float, down: bool = True) -> Curve:
    def curve(t: Array) -> Array:
        turn = TURN * (t if down else 1.0 - t)
        return gable(np.full_like(t, x), turn, side, angle)

    return curve


def _sill(side: float, angle: float) -> Curve:
    return lambda t: gable(LONG * t, np.full_like(t, TURN), side, angle)


def gabled(
    angle: float, *, rear: float | None = None, creases: tuple[CreaseSpec, ...] = ()
) -> tuple[LineNetwork, RegionSpec]:
    """Two round sheets meeting in a ridge along x; the arch at the rear breaks by `rear`."""
    names = {"left": -1.0, "right": 1.0}
    places = {"front": 0.0, "middle": 0.5 * LONG, "rear": LONG}
    curves: dict[str, Curve] = {"ridge": straight((0.0, 0.0, 0.0), (LONG, 0.0, 0.0))}
    for name, side in names.items():
        for place, x in places.items():
            if rear is not None and place != "front":
                continue
            curves[f"{place} {name}"] = _arch(x, side, angle)
        if rear is None:
            curves[f"sill {name}"] = _sill(side, angle)
        else:
            curves[f"rear {name}"] = _arch(LONG, side, rear)
            ends = [
                gable(np.array([x]), np.array([TURN]), side, a)[0]
                for x, a in ((0.0, angle), (LONG, rear))
            ]
            curves[f"sill {name}"] = straight(*(tuple(end) for end in ends))
    boundary = ("front left", "sill left", "rear left", "rear right", "sill right", "front right")
    inner = ("ridge", "middle left", "middle right") if rear is None else ("ridge",)
    spec = RegionSpec(name="gable", boundary=boundary, inner=inner, creases=creases)
    return network_of(curves), spec


def pyramid(half: float = 400.0, height: float = 300.0) -> tuple[LineNetwork, RegionSpec]:
    """A roof of four flat sheets with four sharp hips."""
    corners = [(-half, -half, 0.0), (half, -half, 0.0), (half, half, 0.0), (-half, half, 0.0)]
    curves: dict[str, Curve] = {}
    for k, corner in enumerate(corners):
        curves[f"eave {k}"] = straight(corner, corners[(k + 1) % 4])
        curves[f"hip {k}"] = straight(corner, (0.0, 0.0, height))
    hips = tuple(f"hip {k}" for k in range(4))
    spec = RegionSpec(
        name="roof",
        boundary=tuple(f"eave {k}" for k in range(4)),
        inner=hips,
        creases=tuple(CreaseSpec(line=hip) for hip in hips),
    )
    return network_of(curves), spec
