"""Snapped traces beside OpenCV, SciPy and formulas of optics."""

import cv2
import numpy as np
from scipy.ndimage import gaussian_filter1d
from scipy.optimize import curve_fit
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra
from scipy.special import erf

from buckwright.capture.profiles import fit_profiles
from buckwright.capture.snapping import snap_line
from buckwright.geometry.cheapest_path import cheapest_path, cheapest_through
from lines_in_pictures import circle, photographed, straight


def test_the_way_is_that_of_scipys_shortest_path() -> None:
    """scipy.sparse.csgraph.dijkstra on the same table as a graph."""
    rows, columns, reach, bend = 60, 31, 3, 0.07
    cost = np.random.default_rng(3).uniform(0.0, 1.0, (rows, columns))
    r, c, k = (g.ravel() for g in np.mgrid[0 : rows - 1, 0:columns, -reach : reach + 1])
    fits = (c + k >= 0) & (c + k < columns)
    r, c, k = r[fits], c[fits], k[fits]
    start, end = 1 + r * columns + c, 1 + (r + 1) * columns + c + k
    weight = cost[r + 1, c + k] + bend * k**2
    first = np.arange(columns)
    graph = coo_array(
        (
            np.concatenate([weight, cost[0]]),
            (np.concatenate([start, np.zeros(columns, int)]), np.concatenate([end, 1 + first])),
        ),
        shape=(rows * columns + 1, rows * columns + 1),
    ).tocsr()
    least = dijkstra(graph, indices=0)[-columns:].min()
    assert abs(cheapest_path(cost, reach=reach, bend=bend)[1] - least) < 1e-9
    # Through a cell: there from the first row, and on from it to the last.
    through = cheapest_through(cost, reach=reach, bend=bend)
    row, column = 27, 11
    there = dijkstra(graph, indices=0)[1 + row * columns + column]
    on = dijkstra(graph, indices=1 + row * columns + column)[-columns:].min()
    assert abs(through[row, column] - (there + on)) < 1e-9
    assert np.abs(through.min(axis=1) - least).max() < 1e-9


def test_a_fitted_step_is_that_of_scipys_curve_fit() -> None:
    """scipy.optimize.curve_fit with a blurred step (erf) on a slope, same profiles."""
    random, across = np.random.default_rng(4), np.arange(-26, 27) * 0.5
    for place in (-1.3, 0.0, 0.4, 2.1):
        clean = 40.0 + 0.3 * across + 90.0 * 0.5 * (1 + erf((across - place) / (1.2 * 2**0.5)))
        rows = clean + random.normal(0.0, 1.0, (8, len(across)))
        ours = fit_profiles(rows, across, kind="edge", start=np.full(8, place + 0.6))
        near = np.abs(across - place) < 5.0
        theirs = [
            curve_fit(
                lambda t, a, b, c, p: a + b * t + c * 0.5 * (1 + erf((t - p) / (1.2 * 2**0.5))),
                across[near],
                row[near],
                p0=(40.0, 0.0, 90.0, place),
            )[0][3]
            for row in rows
        ]
        assert np.abs(ours.place - place).max() < 0.08
        assert np.abs(ours.place - theirs).max() < 0.04


def test_a_traced_circle_has_the_radius_that_opencv_finds_from_its_pixels() -> None:
    """cv2.findContours on the same disc, thresholded half way in light, and its area's radius."""
    centre, radius = (151.3, 148.7), 110.4
    grey = photographed(circle(centre, radius), size=(300, 300), noise=0.0)
    light = (grey / 255.0) ** 2.2
    fine = cv2.resize(light, None, fx=4, fy=4, interpolation=cv2.INTER_CUBIC)
    inside = (fine < 0.35).astype(np.uint8)
    contour = max(
        cv2.findContours(inside, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)[0], key=cv2.contourArea
    )
    theirs = np.sqrt(cv2.countNonZero(inside) / np.pi) / 4.0
    (x, y), _ = cv2.minEnclosingCircle(contour)
    angle = np.radians(np.arange(0.0, 360.0, 40.0))
    clicks = np.array(centre) + (radius + 1.5) * np.column_stack([np.cos(angle), np.sin(angle)])
    found = snap_line(grey, clicks, kind="edge", closed=True)
    # Algebraic circle fit: least squares of x^2 + y^2 + d x + e y + f = 0.
    table = np.column_stack([found.points, np.ones(len(found.points))])
    d, e, f = np.linalg.lstsq(table, -(found.points**2).sum(axis=1), rcond=None)[0]
    ours = np.sqrt(0.25 * (d * d + e * e) - f)
    assert abs(ours - radius) < 0.03
    assert abs(theirs - radius) < 0.05
    assert abs(ours - theirs) < 0.05
    assert np.hypot(-d / 2 - centre[0], -e / 2 - centre[1]) < 0.03
    assert np.hypot((x + 0.5) / 4 - 0.5 - centre[0], (y + 0.5) / 4 - 0.5 - centre[1]) < 0.3


def test_errors_are_near_the_least_that_the_noise_allows() -> None:
    """Cramer-Rao: the place of a known profile f in noise s, read at spacing h along the line,
    cannot be known better than s / sqrt(sum f'^2 / h). S. Kay, Estimation Theory (1993), 3.5."""
    errors, noise, away = [], 4.0, straight((160.3, 120.4), 0.4)
    clicks = np.array([160.3, 120.4]) + np.arange(-90, 91, 90)[:, None] * [np.cos(0.4), np.sin(0.4)]
    for seed in range(5):
        grey = photographed(away, size=(320, 240), noise=noise, seed=seed)
        points = snap_line(grey, clicks, kind="edge").points
        errors.append(away(points[:, 0], points[:, 1]))
    clean = photographed(away, size=(320, 240), noise=0.0).astype(float)
    slope = np.gradient(gaussian_filter1d(clean, 0.3, axis=0), axis=0)[:, 160]
    # One column holds the whole edge once for every cos(angle) px of its length.
    bound = noise / np.sqrt(np.sum(slope**2) * 3.0)
    reached = float(np.sqrt(np.mean(np.concatenate(errors) ** 2)))
    assert bound < reached < 3.0 * bound
