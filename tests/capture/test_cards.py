"""Cards taped on and around a part: where they lie is found, to scale by a bar of any card."""

import cv2
import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from buckwright.capture import calibrate
from buckwright.errors import JobError
from buckwright.geometry.board import inner_corners
from buckwright.geometry.camera import camera_centre
from buckwright.model.mats import printed_bars, printed_mat, typed_bar
from buckwright.model.pictures import Bar, Corners
from sights_on_paper import FOCAL, LENS, PRINCIPAL, SIZE

CARDS = 8
MAT = printed_mat("A3 cards", CARDS)
BOARD = inner_corners(MAT.squares, MAT.square_mm)
MATRIX = np.array([[FOCAL, 0, PRINCIPAL[0]], [0, FOCAL, PRINCIPAL[1]], [0, 0, 1.0]])
STANDS = [(36 * k, (15, 40)[k % 2], 3200) for k in range(10)]


def laid():
    """(cards, corners, 3): round a part of 2.2 m, some on the floor, some upright and askew."""
    random = np.random.default_rng(0)
    points = []
    for k in range(CARDS):
        a = 2.0 * np.pi * k / CARDS
        out = np.array([np.cos(a), np.sin(a), 0.0])
        if k % 2:
            turn = np.column_stack([np.cross([0.0, 0.0, 1.0], out), [0.0, 0.0, 1.0], out])
            turn = turn @ Rotation.from_euler("xyz", random.normal(0.0, 0.1, 3)).as_matrix()
            at = out * [1100.0, 600.0, 0.0] + [0.0, 0.0, 500.0]
        else:
            turn = Rotation.from_euler("z", random.uniform(0.0, 6.28)).as_matrix()
            at = out * [1500.0, 900.0, 0.0]
        points.append(BOARD @ turn.T + at)
    return np.array(points)


def camera(azimuth, height, distance):
    a, h = np.radians([azimuth, height])
    centre = distance * np.array([np.cos(a) * np.cos(h), np.sin(a) * np.cos(h), np.sin(h)])
    forward = np.array([0.0, 0.0, 300.0]) - centre
    forward /= np.linalg.norm(forward)
    right = np.cross(forward, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    turn = np.array([right, np.cross(forward, right), forward])
    return centre, turn, -turn @ centre


def shoot(points, *, stands=STANDS, noise=0.05, seed=1):
    """Corners of every card that faces the camera from this side of the part."""
    random = np.random.default_rng(seed)
    found = []
    for number, stand in enumerate(stands):
        centre, turn, shift = camera(*stand)
        ids, px = [np.zeros(0, int)], [np.zeros((0, 2))]
        for k, card in enumerate(points):
            middle = card.mean(axis=0)
            normal = np.cross(card[1] - card[0], card[0] - card[6])
            towards = centre - middle
            if normal @ towards < 0.25 * np.linalg.norm(normal) * np.linalg.norm(towards):
                continue
            if centre[:2] @ middle[:2] < 0.0:
                continue
            seen = cv2.projectPoints(card, cv2.Rodrigues(turn)[0], shift, MATRIX, LENS)[0][:, 0]
            seen += noise * random.normal(size=seen.shape)
            inside = np.all((seen > 10) & (seen < np.array(SIZE) - 10), axis=1)
            ids.append(k * len(BOARD) + np.flatnonzero(inside))
            px.append(seen[inside])
        found.append(
            Corners(
                picture=f"p{number:02d}.jpg",
                ids=np.concatenate(ids),
                px=np.vstack(px),
                size=SIZE,
            )
        )
    return found


def shape_error(found, true):
    """rms mm after the best turn and shift, no growth."""
    turn, _ = Rotation.align_vectors(true - true.mean(axis=0), found - found.mean(axis=0))
    gap = turn.apply(found - found.mean(axis=0)) - (true - true.mean(axis=0))
    return float(np.sqrt(np.mean(np.sum(gap**2, axis=1))))


def span(points):
    """A scale bar between two cards, and what it measures."""
    true = float(np.linalg.norm(points[0, 0] - points[5, 0]))
    return Bar(start=(1, 1), end=(1, 1), mm=true, start_card=0, end_card=5, sigma=0.3)


def test_cards_are_found_where_they_were_taped():
    points = laid()
    mat = MAT.model_copy(update={"bars": (span(points),)})
    calibration = calibrate(shoot(points), mat)
    assert calibration.scale == "bar"
    assert calibration.findings == ()
    # One in ten thousand of three metres, where a pixel is a millimetre.
    assert shape_error(calibration.mat_points, points.reshape(-1, 3)) < 0.3
    centres = np.array(
        [camera_centre(p.rotation_vector, p.translation) for p in calibration.pictures]
    )
    printed = float(np.sqrt(3.0 * np.mean(calibration.centre_sigma**2)))
    # All share the lens and its error: twice the printed doubt is one draw in twenty.
    assert shape_error(centres, np.array([camera(*s)[0] for s in STANDS])) < 2.0 * printed
    assert printed < 2.5
    # The frame is that of the first card.
    np.testing.assert_allclose(calibration.mat_points[:24], BOARD, atol=0.4)


def test_the_scale_comes_from_a_bar_of_one_card_or_between_two():
    points = laid() * 1.004
    stands = [(a, h, 1.004 * d) for a, h, d in STANDS]
    true = float(np.linalg.norm(points[3, 0] - points[3, 5]))
    one = typed_bar(MAT, printed_bars(MAT)[6], true)
    two = MAT.model_copy(update={"bars": (span(points),)})
    corners = shoot(points, stands=stands)
    for mat in (one, two):
        calibration = calibrate(corners, mat)
        allowed = 2.5 * calibration.scale_sigma
        assert allowed < 1e-3
        long = np.linalg.norm(calibration.mat_points[0] - calibration.mat_points[5 * 24])
        assert long / span(points).mm == pytest.approx(1.0, abs=allowed)


def test_cards_that_no_picture_joins_are_named():
    points = laid()
    alone = []
    for corners in shoot(points):
        keep = corners.ids // 24 != 4
        alone.append(corners.model_copy(update={"ids": corners.ids[keep], "px": corners.px[keep]}))
    found = calibrate(alone, MAT)
    (finding,) = [f for f in found.findings if f.code == "cards-not-joined"]
    assert "Card 5 " in finding.message


def test_pictures_that_share_no_card_are_refused():
    corners = shoot(laid(), stands=[STANDS[0], STANDS[1]])
    one, two = (
        c.model_copy(update={"ids": c.ids[k], "px": c.px[k]})
        for c, k in ((corners[0], corners[0].ids < 24), (corners[1], corners[1].ids >= 24))
    )
    with pytest.raises(JobError, match=r"joined|No two"):
        calibrate([one, two], MAT)


def test_wrong_corners_on_cards_are_thrown_out():
    points = laid()
    corners = shoot(points)
    px = np.array(corners[4].px)
    px[::9] += [7.0, -4.0]
    corners[4] = corners[4].model_copy(update={"px": px})
    calibration = calibrate(corners, MAT)
    assert calibration.scale == "not measured"
    assert calibration.pictures[4].corners_used <= len(px) - len(px[::9])
    assert shape_error(calibration.mat_points, points.reshape(-1, 3)) < 0.3
