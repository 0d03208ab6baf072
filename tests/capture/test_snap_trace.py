"""Traces that run along tapes and edges by themselves."""

import numpy as np
import pytest
from numpy.typing import NDArray

from buckwright.capture.profiles import Kind
from buckwright.capture.snapping import snap_line, snap_stretches, touched_stretches
from lines_in_pictures import circle, clicks_near, photographed, straight

Array = NDArray[np.float64]

SIZE = (400, 300)
CENTRE, RADIUS = (203.3, 148.6), 120.0


def on_circle(angles_deg: Array) -> Array:
    angle = np.radians(angles_deg)
    return np.array(CENTRE) + RADIUS * np.column_stack([np.cos(angle), np.sin(angle)])


def straight_clicks(angle: float, *, apart: float = 90.0) -> Array:
    at = np.arange(-135.0, 136.0, apart)
    return np.array([200.4, 150.2]) + at[:, None] * [np.cos(angle), np.sin(angle)]


@pytest.mark.parametrize("tape", [1.5, 3.0, 5.0, 8.0])
def test_a_tape_of_any_width_is_found_to_a_twentieth_of_a_pixel(tape: float) -> None:
    away = straight((200.4, 150.2), 0.35)
    grey = photographed(away, size=SIZE, tape=tape)
    found = snap_line(grey, clicks_near(straight_clicks(0.35), by=2.0, seed=1), kind="tape")
    gap = away(found.points[:, 0], found.points[:, 1])
    assert np.sqrt(np.mean(gap**2)) < 0.05
    assert abs(gap.mean()) < 0.02
    assert found.seen.all()
    assert not found.findings


def test_an_edge_is_found_to_a_twentieth_of_a_pixel() -> None:
    away = straight((200.4, 150.2), -0.8)
    grey = photographed(away, size=SIZE)
    found = snap_line(grey, clicks_near(straight_clicks(-0.8), by=2.0, seed=2), kind="edge")
    gap = away(found.points[:, 0], found.points[:, 1])
    assert np.sqrt(np.mean(gap**2)) < 0.05


def test_the_doubt_of_the_points_holds_their_errors() -> None:
    shares = []
    for seed in range(4):
        away = straight((200.4, 150.2), 0.2 + 0.7 * seed)
        grey = photographed(away, size=SIZE, tape=4.0, seed=seed)
        clicks = clicks_near(straight_clicks(0.2 + 0.7 * seed), by=2.0, seed=seed)
        found = snap_line(grey, clicks, kind="tape")
        gap = away(found.points[:, 0], found.points[:, 1])
        shares.append(np.mean(np.abs(gap) < 2.0 * found.sigma))
    assert 0.9 <= np.mean(shares) <= 1.0
    assert np.median(found.sigma) < 0.06


def test_where_another_tape_runs_beside_it_the_trace_is_in_doubt() -> None:
    away, beside = straight((200.4, 150.2), 0.35), straight((200.4, 156.2), 0.35)
    clicks = straight_clicks(0.35) + np.array([0.0, 2.8])
    alone = photographed(away, size=SIZE, tape=2.5)
    both = np.minimum(alone, photographed(beside, size=SIZE, tape=2.5))
    sure, unsure = (snap_line(grey, clicks, kind="tape").sigma for grey in (alone, both))
    assert np.quantile(sure, 0.9) < 0.1
    assert np.median(unsure) > 0.4


def test_a_closed_trace_goes_round_once_and_does_not_repeat_its_first_point() -> None:
    away = circle(CENTRE, RADIUS)
    grey = photographed(away, size=SIZE, tape=4.0)
    clicks = on_circle(np.arange(0.0, 360.0, 45.0))
    found = snap_line(grey, clicks, kind="tape", closed=True)
    gap = np.abs(away(found.points[:, 0], found.points[:, 1]))
    turn = np.unwrap(np.arctan2(*(found.points - CENTRE).T[::-1]))
    assert gap.max() < 0.3
    assert 350.0 < np.degrees(turn[-1] - turn[0]) < 360.0
    assert np.linalg.norm(found.points[0] - found.points[-1]) > 1.0


def test_clicks_far_apart_are_joined_by_a_free_run() -> None:
    away = circle(CENTRE, RADIUS)
    grey = photographed(away, size=SIZE, tape=4.0)
    found = snap_line(grey, on_circle(np.array([180.0, 270.0, 360.0])), kind="tape")
    gap = np.abs(away(found.points[:, 0], found.points[:, 1]))
    assert np.linalg.norm(on_circle(np.array([180.0]))[0] - on_circle(np.array([270.0]))[0]) > 150
    assert np.quantile(gap, 0.95) < 0.15


def test_a_stretch_without_a_feature_follows_the_clicks_and_says_so() -> None:
    grey = photographed(straight((200.4, 150.2), 0.0), size=SIZE, tape=4.0, contrast=0.0)
    clicks = straight_clicks(0.0)
    found = snap_line(grey, clicks, kind="tape")
    assert not found.seen.any()
    assert {f.code for f in found.findings} == {"trace-lost"}
    assert found.findings[0].where == "clicks 1 and 2"
    assert np.all(found.sigma >= 3.0)
    assert np.abs(found.points[:, 1] - 150.2).max() < 14.0


def test_a_weak_tape_is_found_beside_a_strong_edge() -> None:
    tape = photographed(straight((200.0, 150.0), 0.0), size=SIZE, tape=4.0, contrast=0.35)
    edge = photographed(straight((200.0, 161.0), np.pi), size=SIZE)
    grey = np.where(np.arange(SIZE[1])[:, None] < 157, tape, edge)
    found = snap_line(grey, straight_clicks(0.0) - [0.4, 0.2], kind="tape")
    assert grey[170, 200] < 0.6 * grey[140, 200]
    assert np.abs(found.points[:, 1] - 150.0).max() < 0.4


@pytest.mark.parametrize(("kind", "tape"), [("tape", 4.0), ("edge", None), ("silhouette", None)])
def test_a_shift_turn_and_mirror_of_picture_and_clicks_carry_the_trace_along(
    kind: Kind, tape: float | None
) -> None:
    away = straight((200.4, 150.2), 0.35)
    grey = photographed(away, size=SIZE, tape=tape, noise=0.0)
    clicks = straight_clicks(0.35)
    found = snap_line(grey, clicks, kind=kind)
    last = np.array(SIZE, dtype=float) - 1.0
    moved = snap_line(np.roll(grey, (3, 5), axis=(0, 1)), clicks + np.array([5.0, 3.0]), kind=kind)
    turned = snap_line(grey[::-1, ::-1].copy(), last - clicks, kind=kind)
    mirrored = snap_line(grey[:, ::-1].copy(), [last[0], 0.0] + clicks * [-1.0, 1.0], kind=kind)
    back = snap_line(grey, clicks[::-1].copy(), kind=kind)
    for other in (
        moved.points - [5.0, 3.0],
        last - turned.points,
        (mirrored.points - [last[0], 0.0]) * [-1.0, 1.0],
        back.points[::-1],
    ):
        gap = away(other[:, 0], other[:, 1]) - away(found.points[:, 0], found.points[:, 1])
        assert np.abs(gap).max() < 0.1


def test_only_the_stretches_beside_a_moved_click_change() -> None:
    away = circle(CENTRE, RADIUS)
    grey = photographed(away, size=SIZE, tape=4.0)
    clicks = on_circle(np.arange(10.0, 331.0, 40.0))
    before = snap_stretches(grey, clicks, range(8), kind="tape")
    clicks[4] += [1.5, -1.0]
    after = snap_stretches(grey, clicks, range(8), kind="tape")
    touched = touched_stretches(4, len(clicks), closed=False)
    assert touched == (2, 3, 4, 5)
    for k in set(range(8)) - set(touched):
        assert np.array_equal(before[k].points, after[k].points)
    again = snap_stretches(grey, clicks, touched, kind="tape")
    assert all(
        np.array_equal(a.points, after[k].points) for a, k in zip(again, touched, strict=True)
    )


def test_the_first_click_of_a_closed_trace_touches_its_last_stretches() -> None:
    assert touched_stretches(0, 9, closed=True) == (0, 1, 7, 8)
    assert touched_stretches(0, 9, closed=False) == (0, 1)


GREY = np.full((40, 60), 128, dtype=np.uint8)


@pytest.mark.parametrize(
    ("grey", "clicks", "message"),
    [
        (GREY.astype(float), [[5.0, 5.0], [30.0, 30.0]], "8 bits"),
        (GREY[:4], [[1.0, 1.0], [3.0, 3.0]], "8 x 8"),
        (GREY, [[5.0, 5.0]], "two clicks"),
        (GREY, [[5.0, 5.0], [np.nan, 3.0]], "finite"),
        (GREY, [[5.0, 5.0], [5.0, 5.0]], "at one place"),
        (GREY, [[5.0, 5.0], [61.0, 5.0]], "outside"),
    ],
)
def test_nonsense_is_refused(
    grey: NDArray[np.uint8], clicks: list[list[float]], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        snap_line(grey, np.array(clicks), kind="tape")
