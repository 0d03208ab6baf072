"""Seams, their paths and paper patterns against libigl and closed forms."""

import igl
import numpy as np
import pytest
from numpy.typing import NDArray

from buckwright.geometry.geodesic import Geodesics
from buckwright.geometry.polyline import polyline_length
from buckwright.model.panels import SheetStock
from buckwright.panels.blank import flatten_panel
from buckwright.panels.paper import paper_pattern
from discs_on_paper import as_panel, bumpy, cap, wing

NONE = np.zeros(0, dtype=np.int64)


def exact_distance(vertices: NDArray, triangles: NDArray, start: int, end: int) -> float:
    """libigl's exact geodesics: Mitchell, Mount and Papadimitriou, 'The discrete geodesic
    problem', SIAM Journal on Computing 16 (1987)."""
    ends = np.array([start]), np.array([end])
    found = igl.exact_geodesic(vertices, triangles, ends[0], NONE, ends[1], NONE)
    return float(np.ravel(found)[0])


@pytest.mark.parametrize(
    ("mesh", "longer"),
    # On a bumpy sheet the way may lie on the other side of a hill.
    [(cap(14, 1.0), 1e-5), (wing(12), 1e-5), (bumpy(7, 14), 5e-3)],
    ids=["cap", "wing", "bumpy"],
)
def test_geodesics_are_as_short_as_libigls_exact_ones(
    mesh: tuple[NDArray, NDArray], longer: float
) -> None:
    vertices, triangles = mesh
    ways, random = Geodesics(vertices, triangles), np.random.default_rng(5)
    for _ in range(25):
        start, end = (int(k) for k in random.choice(len(vertices), 2, replace=False))
        ours = polyline_length(ways.between(start, end).points)
        exact = exact_distance(vertices, triangles, start, end)
        assert exact * (1.0 - 1e-9) <= ours <= exact * (1.0 + longer)


@pytest.mark.parametrize("width", [40.0, 60.0])
def test_paper_strips_on_a_sphere_overlap_as_great_circles_draw_together(width: float) -> None:
    """Lines that leave a great circle squarely, w apart, are w cos(s / R) apart after s
    (geodesic deviation with constant curvature: do Carmo, 'Riemannian geometry', ch. 5)."""
    radius = 500.0
    panel = as_panel(cap(30, np.radians(30.0), radius))
    blank = flatten_panel(panel, SheetStock(alloy="3003-H14", thickness=1.27), allowance=0.0)
    pattern = paper_pattern(panel, blank, width=width)
    assert len(pattern.joints) > 5
    for joint in pattern.joints:
        exact = width * (np.cos(joint.at / radius) - 1.0)
        assert np.abs(joint.gap - exact).max() < 0.03
    # The cap's area: 2 pi R^2 (1 - cos a).
    area = 2.0 * np.pi * radius**2 * (1.0 - np.cos(np.radians(30.0)))
    told = pattern.paper_area + pattern.missing - pattern.excess
    assert told == pytest.approx(area, rel=0.01)
