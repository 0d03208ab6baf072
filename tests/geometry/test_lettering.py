import numpy as np
import pytest

from buckwright.geometry.lettering import ascii_text, lettering_strokes, lettering_width, wrapped


def test_capitals_are_as_high_as_asked_and_stand_on_the_base_line():
    points = np.vstack(lettering_strokes("HEIL", 10.0))
    assert points[:, 1].min() == pytest.approx(0.0, abs=1e-9)
    assert points[:, 1].max() == pytest.approx(10.0)


def test_words_keep_inside_their_width_and_grow_with_their_letters():
    width = lettering_width("belt left 1611.3", 7.0)
    points = np.vstack(lettering_strokes("belt left 1611.3", 7.0))
    assert points[:, 0].min() >= 0.0
    assert points[:, 0].max() <= width
    assert lettering_width("belt left 1611.3", 14.0) == pytest.approx(2.0 * width)
    assert lettering_width("ab", 7.0) == pytest.approx(
        lettering_width("a", 7.0) + lettering_width("b", 7.0)
    )


def test_the_same_letter_is_the_same_wherever_it_stands():
    alone = np.vstack(lettering_strokes("k", 10.0))
    second = np.vstack(lettering_strokes("Wk", 10.0)[len(lettering_strokes("W", 10.0)) :])
    np.testing.assert_allclose(second - (lettering_width("W", 10.0), 0.0), alone, atol=1e-12)


def test_a_space_has_width_and_no_strokes():
    assert lettering_strokes(" ", 10.0) == ()
    assert lettering_width(" ", 10.0) > 0.0
    assert lettering_width("", 10.0) == 0.0


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("Flügel é", "Flugel e"),
        ("3½ × 2 ± 1°", "3 1/2 x 2 +- 1 deg"),
        ("5′ 3″ – “x”", '5\' 3" - "x"'),
        ("翼", "?"),
        ("a\tb", "a?b"),
    ],
)
def test_anything_becomes_plain_ascii(text, plain):
    assert ascii_text(text) == plain
    assert all(len(points) >= 2 for points in lettering_strokes(text, 5.0))


def test_wrapped_lines_keep_to_their_width_and_lose_no_word():
    text = "Grind zinc off before heating and never heat cadmium plating"
    lines = wrapped(text, 4.0, 90.0)
    assert " ".join(lines) == text
    assert all(lettering_width(line, 4.0) <= 90.0 for line in lines)
    assert wrapped("unbreakable", 10.0, 1.0) == ["unbreakable"]
    assert wrapped("", 4.0, 90.0) == []
