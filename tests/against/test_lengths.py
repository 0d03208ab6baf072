"""Lengths against exact rationals; the inch is 25.4 mm exactly (ISO 80000-3)."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from buckwright.units import format_length, parse_length

INCH = Fraction("25.4")


def tape_text(thirty_seconds, dash, marks):
    feet, rest = divmod(thirty_seconds, 12 * 32)
    whole, over = divmod(rest, 32)
    foot, inch = marks
    part = f"{dash}{over}/32" if over else ""
    return f"{feet}{foot} {whole}{part}{inch}"


@given(
    st.integers(0, 12 * 32 * 60),
    st.sampled_from([" ", "-"]),
    st.sampled_from([("'", '"'), (" ft", " in"), ("′", "″"), (" feet", " inches"), ("’", "”")]),
)
def test_feet_inches_and_fractions_are_read_to_the_last_bit(thirty_seconds, dash, marks):
    exact = Fraction(thirty_seconds, 32) * INCH
    assert parse_length(tape_text(thirty_seconds, dash, marks)) == float(exact)


@given(
    st.decimals(0, 99999, places=4, allow_nan=False),
    st.sampled_from([("mm", 1), ("cm", 10), ("m", 1000), ("in", INCH), ("ft", 12 * INCH)]),
    st.sampled_from([".", ","]),
)
def test_decimals_are_read_to_the_last_bit_with_point_or_comma(value, unit, mark):
    name, factor = unit
    text = f"{str(value).replace('.', mark)} {name}"
    assert parse_length(text) == float(Fraction(value) * factor)


@given(st.integers(-(10**6), 10**6), st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_what_lies_on_a_tape_mark_comes_back_as_it_was(parts, denominator):
    mm = float(Fraction(parts, denominator) * INCH)
    assert parse_length(format_length(mm, system="inch", denominator=denominator)) == mm


@given(st.floats(-1e6, 1e6), st.sampled_from([16, 32, 64]))
def test_what_is_written_is_never_more_than_half_a_division_off(mm, denominator):
    written = parse_length(format_length(mm, system="inch", denominator=denominator))
    # 1e-9 for the two roundings to float
    assert abs(written - mm) <= float(INCH / denominator / 2) + 1e-9
    assert abs(parse_length(format_length(mm, system="mm")) - mm) <= 0.05 + 1e-9
