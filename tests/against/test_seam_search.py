"""Seams and their paths against libigl."""

import igl
import numpy as np
import pytest
from numpy.typing import NDArray

from buckwright.geometry.geodesic import Geodesics
from buckwright.geometry.polyline import polyline_length
from discs_on_paper import bumpy, cap, wing

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
