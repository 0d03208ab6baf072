import numpy as np
import pytest
from scipy import sparse

from buckwright.geometry.factor import OrderedFactor, elimination_order
from buckwright.geometry.flat_energy import FlatEnergy
from buckwright.geometry.flat_start import fan_openings
from buckwright.geometry.flatten import flatten_least_work
from buckwright.geometry.mesh import boundary_loops
from buckwright.geometry.mesh_faults import mesh_form
from buckwright.geometry.strain import hencky_measure
from discs_on_paper import cap, opened, wing


def test_the_order_holds_every_unknown_once_x_before_y() -> None:
    _, triangles = wing(9)
    count = int(triangles.max()) + 1
    order = elimination_order(triangles, count)
    assert np.array_equal(np.sort(order), np.arange(2 * count))
    assert np.array_equal(order[1::2], order[::2] + 1)
    assert (order[::2] % 2 == 0).all()


def test_ordered_factors_solve_what_dense_ones_solve() -> None:
    mesh = wing(6)
    energy = FlatEnergy(*mesh, hencky_measure)
    _, slope, second = energy.derivatives(flatten_least_work(*mesh).points)
    held = second.tocsr() + 1e-3 * second.diagonal().mean() * sparse.identity(len(slope))
    right = np.random.default_rng(3).normal(size=len(slope))
    found = OrderedFactor(held, energy.elimination).solve(right)
    assert found == pytest.approx(np.linalg.solve(held.toarray(), right), rel=1e-8)


def test_fans_close_every_opening() -> None:
    vertices, triangles = opened(cap(16, 0.8), (80.0, 0.0, 50.0), (-120.0, 60.0, 40.0))
    loops = boundary_loops(triangles)
    filled = fan_openings(vertices, triangles, loops[1:])
    assert mesh_form(filled[1]).is_disc
    assert np.array_equal(filled[0][: len(vertices)], vertices)
    assert np.array_equal(filled[1][: len(triangles)], triangles)
    assert set(boundary_loops(filled[1])[0].tolist()) == set(loops[0].tolist())
