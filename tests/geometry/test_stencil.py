"""Lettering that is cut through holds together."""

import string

import numpy as np
import pytest
import shapely

from buckwright.geometry.lettering import lettering_strokes, lettering_width
from buckwright.geometry.stencil import stencil_strokes

EVERYTHING = string.ascii_letters + string.digits + "%&@#$*()[]{}<>?/+-=.,:;!'\""


def rings(strokes: tuple[np.ndarray, ...]) -> int:
    lines = shapely.union_all([shapely.LineString(s) for s in strokes if len(s) > 1])
    return len(shapely.get_parts(shapely.polygonize([lines])))


def test_plain_lettering_has_pieces_that_would_drop_out() -> None:
    assert rings(lettering_strokes("ABO 80", 10.0)) >= 6


@pytest.mark.parametrize("height", [4.0, 7.0, 18.0])
def test_no_letter_has_a_piece_that_drops_out(height: float) -> None:
    for letter in EVERYTHING:
        assert rings(stencil_strokes(letter, height)) == 0, letter


def test_bridges_take_little_and_add_nothing() -> None:
    text = "front wing x -360 left"
    plain = shapely.union_all([shapely.LineString(s) for s in lettering_strokes(text, 10.0)])
    cut = shapely.union_all([shapely.LineString(s) for s in stencil_strokes(text, 10.0)])
    assert plain.buffer(1e-6).covers(cut)
    assert 0.85 * plain.length < cut.length < plain.length
    assert cut.bounds[2] <= lettering_width(text, 10.0)


def test_bridges_are_wide_enough_to_hold() -> None:
    (start, end) = (stencil_strokes("O", 10.0)[0][k] for k in (0, -1))
    assert np.linalg.norm(end - start) == pytest.approx(1.2, abs=0.3)
