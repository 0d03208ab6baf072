"""How sure faired lines are of themselves: against dense algebra of scipy, and known bodies."""

from collections.abc import Callable

import numpy as np
import pytest
from scipy.interpolate import BSpline
from scipy.linalg import cho_factor, cho_solve
from scipy.ndimage import gaussian_filter1d

from buckwright.lines import fair_line
from buckwright.lines.certainty import square_variance
from buckwright.lines.drafting import draft_line
from buckwright.model.lines import PlacedLine
from truths_on_paper import TRUTHS, Surface, grid_lines, parts_of, traced_lines

# Nychka, J. Am. Statist. Assoc. 83 (1988), doi:10.1080/01621459.1988.10478711: the covariance of a
# penalised fit read as Bayes would, B (B'WB + stiffness * bending)^-1 B', formed densely here.


def test_its_variance_is_that_of_the_penalised_fit_in_dense_algebra() -> None:
    along = np.linspace(0.0, 1200.0, 121)
    points = np.stack([along, 60.0 * np.sin(along / 250.0), 200.0 * np.cos(along / 500.0)], axis=1)
    points = points + np.random.default_rng(2).normal(0.0, 1.0, points.shape)
    sigma = np.linspace(0.7, 1.4, len(points))
    draft = draft_line(PlacedLine(name="l", points=points, sigma=sigma, closed=False))
    batten, knots = draft.batten, draft.batten.knots
    count = len(knots) - 4
    each = [BSpline(knots, np.eye(count)[k], 3) for k in range(count)]
    at = np.linspace(draft.start, draft.end, 33)
    seen = BSpline.design_matrix(batten.at, knots, 3).toarray()
    asked = BSpline.design_matrix(at, knots, 3).toarray()
    third = np.stack([one(batten.middles, nu=3) for one in each], axis=1)
    data = seen.T @ (seen / sigma[:, None] ** 2)
    bending = third.T @ (third * batten.limber[:, None])
    run = np.stack([one(at, nu=1) for one in each], axis=1) @ draft.control @ batten.axes.T
    square = 1.0 - (run / np.linalg.norm(run, axis=1, keepdims=True)) ** 2
    whole = np.zeros(len(at))
    for axis, stiffness in enumerate(draft.stiffness[[0, 0, 1]]):
        factor = cho_factor(data + stiffness * bending)
        whole += 0.5 * square[:, axis] * np.einsum("ki,ik->k", asked, cho_solve(factor, asked.T))
    found = square_variance(batten, draft.control, draft.stiffness, at)
    assert found == pytest.approx(whole, rel=1e-5)


def _normals(surface: Surface, s: np.ndarray, t: np.ndarray) -> np.ndarray:
    h = 1e-4
    along, across = surface(s + h, t) - surface(s - h, t), surface(s, t + h) - surface(s, t - h)
    normal = np.cross(along, across)
    return normal / np.linalg.norm(normal, axis=1, keepdims=True)


def _off(surface: Surface, name: str, points: np.ndarray) -> np.ndarray:
    """mm from the true line to points of the faired one, square to the body."""
    fine = np.linspace(0.0, 1.0, 1201)
    kind, number = name.split()
    other = np.full_like(fine, int(number) / 6.0)
    s, t = (other, fine) if kind == "arch" else (fine, other)
    true = surface(s, t)
    near = np.linalg.norm(points[:, None] - true, axis=2).argmin(axis=1)
    return np.einsum("ij,ij->i", points - true[near], _normals(surface, s, t)[near])


def test_the_truth_of_three_bodies_lies_within_twice_the_doubt_of_their_faired_lines() -> None:
    """Nychka: bands of 2 sigma hold 95 in 100 of the truth, taken over the line."""
    inside, ratio = [], []
    for body in list(TRUTHS)[:3]:
        surface = parts_of(body)[0]
        for line in traced_lines(surface, 3.0, 7).lines:
            off = _off(surface, line.name, line.points(50))
            inside.append(np.mean(np.abs(off) < 2.0 * line.doubt))
            ratio.append(np.sqrt(np.mean(off**2)) / line.doubt)
    assert len(inside) == 3 * 14
    assert 0.90 < np.mean(inside) < 0.99
    assert 0.8 < np.sqrt(np.mean(np.square(ratio))) < 1.2


def _alike(curve: Callable[[np.ndarray], np.ndarray], points: float, seed: int) -> PlacedLine:
    """Points 10 mm apart whose errors of 2 mm are alike over so many of them."""
    true = curve(np.linspace(0.0, 1.0, 160))
    noise = np.random.default_rng(seed).normal(size=true.shape)
    noise = gaussian_filter1d(noise, points / 2.0, axis=0)
    noise *= 2.0 / noise.std()
    sigma = np.full(len(true), 2.0)
    return PlacedLine(name="l", points=true + noise, sigma=sigma, closed=False)


def test_errors_that_neighbours_share_make_a_line_less_sure() -> None:
    curve = grid_lines(parts_of("Wigley form with crowned roof")[0])["long 2"]
    true = curve(np.linspace(0.0, 1.0, 4001))
    ratios = []
    for seed in range(6):
        line = fair_line(_alike(curve, 6.0, seed))
        points = line.points(60)
        gap = points - true[np.linalg.norm(points[:, None] - true, axis=2).argmin(axis=1)]
        ratios.append(np.sqrt(np.mean(gap**2) * 1.5) / line.doubt)
    assert 0.6 < np.sqrt(np.mean(np.square(ratios))) < 1.4
    alone = fair_line(_alike(curve, 0.01, 0))
    assert line.doubt > 1.5 * alone.doubt
