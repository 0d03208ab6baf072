"""Points that stand out are gathered into spots; words and areas."""

import re

import numpy as np
import pytest

from buckwright.checking.spots import find_heaps, point_areas, point_spacing
from buckwright.checking.words import place_words, width_words
from panels_on_paper import panel
from skins_on_paper import grid_region, sphere


def grid(step: float = 10.0) -> np.ndarray:
    x, y = np.meshgrid(np.arange(0.0, 200.1, step), np.arange(0.0, 200.1, step))
    return np.column_stack([x.ravel(), y.ravel(), np.zeros(x.size)])


def test_spacing_of_a_grid_is_its_step_and_of_scattered_points_much_the_same() -> None:
    assert point_spacing(grid()) == pytest.approx(10.0)
    scattered = np.random.default_rng(1).uniform(0.0, 1000.0, (10_000, 2))
    points = np.column_stack([scattered, np.zeros(10_000)])
    assert point_spacing(points) == pytest.approx(10.0, rel=0.1)


def test_points_share_the_whole_area_between_them() -> None:
    region = grid_region(
        "cap",
        sphere(400.0),
        np.linspace(-0.4, 0.4, 20),
        np.linspace(-0.4, 0.4, 20),
        outward=lambda p: p,
    )
    area = point_areas(region.vertices[::2], region.vertices, region.triangles, spacing=40.0)
    # Between longitudes -0.4 and 0.4 and latitudes likewise: R^2 * 0.8 * 2 sin(0.4).
    assert area.sum() == pytest.approx(400.0**2 * 0.8 * 2.0 * np.sin(0.4), rel=2e-3)


def test_high_and_low_neighbours_are_two_spots() -> None:
    points = grid()
    distance = np.where(np.abs(points[:, 0] - 95.0) < 20.0, np.sign(points[:, 0] - 95.0), 0.0) * 3.0
    heaps, lone = find_heaps(
        points, distance, np.full(len(points), 1.0), np.full(len(points), 100.0), spacing=10.0
    )
    assert sorted(heap.height for heap in heaps) == [-3.0, 3.0]
    assert len(lone) == 0


def test_quiet_points_make_no_spot() -> None:
    points = grid()
    none, lone = find_heaps(
        points, np.full(len(points), 0.5), np.ones(len(points)), np.ones(len(points)), spacing=10.0
    )
    assert none == ()
    assert len(lone) == 0


def test_two_points_are_lone_three_are_a_spot() -> None:
    points, distance = grid(), np.zeros(21 * 21)
    distance[[0, 1]] = 5.0
    distance[[400, 401, 402]] = -5.0
    heaps, lone = find_heaps(
        points, distance, np.ones(len(points)), np.full(len(points), 100.0), spacing=10.0
    )
    assert [heap.height for heap in heaps] == [-5.0]
    assert heaps[0].area == pytest.approx(300.0)
    assert sorted(lone) == [0, 1]


@pytest.mark.parametrize(
    ("width", "words"),
    [(15.0, "a fingertip (15 mm)"), (60.0, "three fingers' width (60 mm)"),
     (100.0, "a hand's width (100 mm)"), (700.0, "more than a forearm's length (700 mm)")],
)  # fmt: skip
def test_widths_are_told_in_hands(width: float, words: str) -> None:
    assert width_words(np.pi * width**2 / 4.0).endswith(words)


def test_a_place_is_told_from_the_two_nearest_lines() -> None:
    region = panel().regions[0]
    words = place_words(np.array([120.0, -60.0, 0.0]), region)
    told = re.fullmatch(
        r"(\d+) mm outboard of the lid centre line and (\d+) mm behind the lid section", words
    )
    assert told is not None
    # The section's track runs from vertex to vertex, within half a triangle of x = 0.
    assert float(told[1]) == pytest.approx(60.0, abs=2.0)
    assert float(told[2]) == pytest.approx(120.0, abs=9.0)
    inboard = place_words(np.array([-90.0, 40.0, 0.0]), region)
    assert "inboard of the lid centre line" in inboard
    assert "ahead of the lid section" in inboard
    assert place_words(np.array([0.0, 0.0, 0.0]), region).startswith("on the lid")
