"""The checking step against results that we did not compute.

Rigid registration: `scipy.spatial.transform.Rotation.align_vectors` (Kabsch's closed form on
known pairs). Distances: `igl.point_mesh_squared_distance` of libigl. Spots: a spherical cap with a
planted bump, whose heights, area and mean follow from the formula (exact).
"""

import igl
import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from buckwright.checking import check_survey
from buckwright.checking.seating import Region, seat_points
from buckwright.model.checking import Survey
from buckwright.model.skin import Skin
from buckwright.skin import span_skin
from networks_on_paper import network_of
from panels_on_paper import height, normal, panel, spread, survey
from skins_on_paper import grid_region, sphere
from truths_on_paper import grid_lines, grid_spec, wigley

TURN = Rotation.from_euler("zyx", [130.0, 20.0, -70.0], degrees=True)
SHIFT = np.array([-400.0, 2000.0, 90.0])


def test_the_seat_is_that_of_the_closed_form_on_known_pairs() -> None:
    x, y = spread(500, 11)
    home = np.column_stack([x, y, height(x, y)])
    moved = TURN.apply(home) + SHIFT
    best, _ = Rotation.align_vectors(home - home.mean(axis=0), moved - moved.mean(axis=0))
    result = check_survey(survey(moved, sigma=0.02), panel(12.0), tolerance=1.0)
    ours = Rotation.from_matrix(result.rotation)
    assert (ours * best.inv()).magnitude() < 2e-4
    assert np.abs(result.seated - home).max() < 0.05
    assert result.spots == ()


def test_distances_are_those_of_libigl_on_a_mesh_too_fine_to_differ() -> None:
    region = panel(8.0).regions[0]
    x, y = spread(400, 5)
    inner = (x / 380.0) ** 2 + (y / 160.0) ** 2 < 0.8
    lift = np.random.default_rng(2).uniform(-8.0, 8.0, len(x))
    points = np.column_stack([x, y, height(x, y)]) + lift[:, None] * normal(x, y)
    points = points[inner]
    touch = Region(region.vertices, region.triangles, edge_margin=1.0).touch(points)
    square, _, _ = igl.point_mesh_squared_distance(
        points, np.asarray(region.vertices), np.asarray(region.triangles)
    )
    assert np.abs(np.abs(touch.distance) - np.sqrt(square)).max() < 0.03
    assert np.abs(touch.distance - lift[inner]).max() < 0.03


def cap(radius: float) -> Skin:
    angle = np.linspace(-0.42, 0.42, 45)
    region = grid_region("cap", sphere(radius), angle, angle, outward=lambda p: p, side="left")
    return Skin(regions=(region,))


@pytest.mark.parametrize("peak", [5.0, -5.0])
def test_a_bump_on_a_sphere_has_its_exact_height_area_and_mean(peak: float) -> None:
    radius, reach, tolerance = 600.0, 90.0, 1.0
    angle = np.linspace(-0.40, 0.40, 61)
    u, v = (a.ravel() for a in np.meshgrid(angle, angle, indexing="ij"))
    place = sphere(radius)(u, v)
    arc = radius * np.arccos(np.clip(place @ np.array([1.0, 0.0, 0.0]) / radius, -1.0, 1.0))
    rise = peak * (1.0 - np.minimum(arc / reach, 1.0) ** 2)
    points = place * (1.0 + rise / radius)[:, None]
    told = Survey(name="cap", region="cap", points=TURN.apply(points), sigma=0.02, side="left")
    result = check_survey(told, cap(radius), tolerance=tolerance)
    # Heights do not depend on the turns about the centre that a sphere leaves free.
    assert np.abs(result.distance - rise).max() < 0.02
    assert len(result.spots) == 1
    spot = result.spots[0]
    assert spot.kind == ("high" if peak > 0.0 else "low")
    assert spot.height == pytest.approx(peak, abs=0.1)
    # Above the tolerance within arc s: peak (1 - (s / reach)^2) = tolerance; area of that cap.
    edge = reach * np.sqrt(1.0 - tolerance / abs(peak))
    disc = 2.0 * np.pi * radius**2 * (1.0 - np.cos(edge / radius))
    assert spot.area == pytest.approx(disc, rel=0.05)
    # A paraboloid's mean over its disc is half-way between rim and top.
    assert abs(spot.mean) == pytest.approx(0.5 * (abs(peak) + tolerance), rel=0.03)


def test_the_printed_doubt_of_the_seat_is_that_of_many_repeated_surveys() -> None:
    x, y = spread(300, 21)
    home = np.column_stack([x, y, height(x, y)])
    body = panel().regions[0]
    region = Region(body.vertices, body.triangles, edge_margin=2.0)
    up, told, moved = normal(x, y), [], []
    for seed in range(12):
        noise = np.random.default_rng(seed).normal(0.0, 0.4, home.shape)
        seat = seat_points(home + noise, region, sigma=0.4)[0]
        told.append(np.mean(seat.distance_sigma(home, up) ** 2))
        moved.append(np.mean(np.einsum("nd,nd->n", seat.apply(home) - home, up) ** 2))
    assert np.sqrt(np.mean(told)) == pytest.approx(np.sqrt(np.mean(moved)), rel=0.35)


@pytest.mark.parametrize(("count", "sigma"), [(4, 1.0), (6, 0.6)])
def test_a_panel_of_the_true_shape_lies_within_two_of_the_told_doubts(
    count: int, sigma: float
) -> None:
    """Wigley's form with a crown, its lines off by a known smooth error; a scan of the truth.

    The doubt of the skin must account for what lines and the fields between them leave.
    """
    rng = np.random.default_rng(count)
    terms = [(a, b, *rng.uniform(0.0, 2.0 * np.pi, 2)) for a in range(1, 5) for b in range(1, 5)]
    weights = rng.normal(size=len(terms))
    size = 0.5 * np.sqrt(len(terms))

    def off(s: np.ndarray, t: np.ndarray) -> np.ndarray:
        waves = [
            w * np.cos(np.pi * a * s + p) * np.cos(np.pi * b * t + q)
            for w, (a, b, p, q) in zip(weights, terms, strict=True)
        ]
        return np.asarray(sigma * sum(waves) / size)

    def drawn(s: np.ndarray, t: np.ndarray) -> np.ndarray:
        points = wigley(s, t)
        points[..., 2] += off(s, t)
        return points

    network = network_of(grid_lines(drawn, count))
    network = network.model_copy(
        update={"lines": tuple(x.model_copy(update={"sigma": sigma}) for x in network.lines)}
    )
    skin = span_skin(network, (grid_spec(0, count - 1, count),), edge_length=50.0)
    s, t = rng.uniform(0.02, 0.98, (2, 600))
    points = wigley(s, t) + rng.normal(0.0, 0.2, (600, 3))
    told = Survey(name="roof", region=skin.regions[0].name, points=points, sigma=0.2, side="whole")
    sigmas = {line.name: line.sigma for line in network.lines}
    result = check_survey(told, skin, tolerance=2.0, sigmas=sigmas)
    inside = np.abs(result.distance) < 2.0 * result.sigma
    assert 0.9 < inside.mean() <= 1.0
    # And not by being far too wide: errors fill a good share of what is told.
    assert np.sqrt(np.mean(result.distance**2)) > 0.4 * np.sqrt(np.mean(result.sigma**2))
    without = check_survey(told, skin, tolerance=2.0)
    assert np.array_equal(without.distance, result.distance)
    assert without.skin_sigma == 0.0
    # Without the skin's part the told doubt would be plainly wrong.
    assert (np.abs(without.distance) < 2.0 * without.sigma).mean() < 0.8
    assert all(spot.doubt > 2.0 * 0.2 / np.sqrt(3.0) for spot in result.spots)
