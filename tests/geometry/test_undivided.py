import numpy as np
import pytest

from buckwright.geometry.mesh import triangle_normals
from buckwright.geometry.refine import refined_places
from buckwright.geometry.undivided import undivided_mesh
from meshes_on_paper import over_rectangle


def _board(step: float):
    return over_rectangle(lambda u, v: np.column_stack([u, v, 0.0 * u]), 300.0, 200.0, step)


@pytest.mark.parametrize("parts", [2, 3, 5])
@pytest.mark.parametrize("turned", [False, True])
def test_a_divided_mesh_with_a_hole_comes_back_undivided(parts: int, turned: bool) -> None:
    points, triangles, _ = _board(40.0)
    owner, weights, fine = refined_places(triangles, len(points), parts)
    finer = np.einsum("ki,kid->kd", weights, points[triangles[owner]])
    keep = np.ones(len(triangles), dtype=bool)
    keep[5:9] = False
    fine = fine[np.repeat(keep, parts**2)]
    fine, before = (m[:, ::-1] if turned else m for m in (fine, triangles[keep]))
    used, found = undivided_mesh(fine)
    again = finer[used][found]
    # The same triangles, each begun at any of its corners, and facing the same way.
    same = [np.allclose(np.roll(again, k, axis=1), points[before]) for k in range(3)]
    assert any(same)
    assert np.allclose(
        triangle_normals(finer[used], found), triangle_normals(points, before), atol=1e-12
    )


def test_a_mesh_that_was_not_divided_comes_back_as_it_is() -> None:
    _, triangles, _ = _board(40.0)
    used, found = undivided_mesh(triangles)
    assert np.array_equal(used[found], triangles)
