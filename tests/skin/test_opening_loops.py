"""Openings whose edge is of several lines that touch nothing else."""

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.geometry.mesh import boundary_loops, triangle_areas
from buckwright.model.fields import FieldChoice
from buckwright.model.lines import LineNetwork, LineSpec
from buckwright.model.skin import RegionSpec, loop_of
from buckwright.skin import propose_fields, span_region
from networks_on_paper import network_of

Curve = Callable[[np.ndarray], np.ndarray]


def _straight(start: tuple[float, ...], end: tuple[float, ...]) -> Curve:
    a, b = np.array(start), np.array(end)
    return lambda t: a + (b - a) * t[:, None]


def _wheel_arch(t: np.ndarray) -> np.ndarray:
    turn = np.pi * t
    return np.stack([700 - 160 * np.cos(turn), 60 + 160 * np.sin(turn), 0.0 * t], axis=-1)


def _arched(pieces: int) -> tuple[LineNetwork, tuple[LineSpec, ...]]:
    """A plate with a rib, and an arch whose sill is of so many lines; nothing touches it."""
    corners = {
        "bottom": ((0, 0, 0), (1000, 0, 0)),
        "right end": ((1000, 0, 0), (1000, 400, 0)),
        "top": ((1000, 400, 0), (0, 400, 0)),
        "left end": ((0, 400, 0), (0, 0, 0)),
        "rib": ((300, 0, 0), (300, 400, 0)),
    }
    curves = {name: _straight(*ends) for name, ends in corners.items()} | {
        "wheel arch": _wheel_arch
    }
    ends = np.linspace(540.0, 860.0, pieces + 1)
    curves |= {
        f"arch sill {k}": _straight((a, 60, 0), (b, 60, 0))
        for k, (a, b) in enumerate(pairwise(ends))
    }
    return network_of(curves), tuple(
        LineSpec(name=name, mark="tape" if name == "rib" else "edge") for name in curves
    )


@pytest.mark.parametrize("pieces", [1, 3])
def test_a_loop_of_several_lines_that_touches_nothing_is_cut_out(pieces: int) -> None:
    network, specs = _arched(pieces)
    found = propose_fields(network, specs)
    (spec,) = found.metal()
    around = {"wheel arch", *(f"arch sill {k}" for k in range(pieces))}
    assert set(spec.holes) == around
    assert spec.inner == ("rib",)
    (opened,) = [f for f in found.regions if set(f.spec.boundary) == around]
    assert not opened.metal
    assert "with 1 hole" in found.regions[0].why
    region = span_region(network, spec, edge_length=25.0)
    area = triangle_areas(region.vertices, region.triangles).sum()
    # The half disc is of chords of 25 mm: smaller by half of 25^2 / 6 for each radian.
    assert area == pytest.approx(400_000.0 - 0.5 * np.pi * 160.0**2, abs=0.5 * np.pi * 25.0**2 / 6)
    (ring,) = region.openings()
    assert {track.line for track in ring} == around
    loop = loop_of(ring)
    assert {frozenset(boundary.tolist()) for boundary in boundary_loops(region.triangles)} >= {
        frozenset(loop.tolist())
    }
    # By hand there is metal in it: then its lines lie on the plate.
    filled = FieldChoice(what="metal", lines=opened.spec.boundary, at=opened.at, bare=True)
    (whole,) = [s for s in propose_fields(network, specs, [filled]).metal() if "rib" in s.inner]
    assert whole.holes == ()
    assert around <= set(whole.inner)


def test_lines_that_are_to_be_a_hole_and_close_no_loop_are_refused() -> None:
    network, _ = _arched(3)
    spec = RegionSpec(
        name="plate",
        boundary=("bottom", "right end", "top", "left end"),
        holes=("wheel arch", "arch sill 0"),
    )
    with pytest.raises(JobError, match="do not close to a loop"):
        span_region(network, spec, edge_length=25.0)
    with pytest.raises(JobError, match="not a closed line"):
        span_region(network, spec.model_copy(update={"holes": ("wheel arch",)}), edge_length=25.0)
