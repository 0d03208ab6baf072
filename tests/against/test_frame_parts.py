"""Parts of the inner frame against closed forms, shapely and the stock table."""

import csv
from pathlib import Path

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from scipy.optimize import brentq

from buckwright.buck.bracing import diagonal_angle, diagonal_ends
from buckwright.buck.frame import Box, frame_members
from buckwright.buck.frame_stock import frame_stock, strip_width
from buckwright.buck.weight import centre_of_gravity
from buckwright.model.buck import BuckSpec, Post, Wire

Array = NDArray[np.float64]
DATA = Path(__file__).parents[1] / "data"


@pytest.mark.parametrize(
    ("width", "height", "side"),
    [(600.0, 990.0, 25.4), (700.0, 700.0, 25.4), (400.0, 1500.0, 38.1), (120.0, 130.0, 12.7)],
)
def test_a_diagonal_just_fits_between_the_tubes_as_shapely_sees_it(
    width: float, height: float, side: float
) -> None:
    angle = diagonal_angle(width, height, side)
    wanted = brentq(
        lambda t: width * np.sin(t) - height * np.cos(t) - side, 0.01, 0.5 * np.pi - 0.001
    )
    assert angle == pytest.approx(wanted, abs=1e-9)
    start, end = diagonal_ends(width, height, side)
    half_cut = np.array([0.5 * side / np.sin(angle), 0.0])
    piece = shapely.Polygon([start - half_cut, start + half_cut, end + half_cut, end - half_cut])
    assert shapely.box(0.0, 0.0, width, height).buffer(1e-6).covers(piece)
    assert piece.bounds == pytest.approx((0.0, 0.0, width, height), abs=1e-9)
    assert piece.area / np.linalg.norm(end - start) == pytest.approx(side)
    reach = np.linalg.norm(end - start) + side / np.tan(angle)
    along = (end - start) / np.linalg.norm(end - start)
    spread = np.array(piece.exterior.coords) @ along
    assert np.ptp(spread) == pytest.approx(reach)


def test_a_square_bay_has_mitres_of_45_degrees_less_what_the_tubes_width_takes() -> None:
    """tan form of the same: in a square of a, sin(t - 45 deg) = s / (a sqrt 2)."""
    angle = np.degrees(diagonal_angle(1000.0, 1000.0, 25.4))
    assert angle == pytest.approx(45.0 + np.degrees(np.arcsin(25.4 / 1000.0 / np.sqrt(2.0))))
    thin = np.degrees(diagonal_angle(1000.0, 1000.0, 1e-6))
    assert thin == pytest.approx(45.0, abs=1e-6)


def test_member_masses_are_those_of_the_tube_and_angle_table() -> None:
    """Area 4 t (b - t) of square tube and t (2 a - t) of angle, 7,850 kg/m3."""
    with (DATA / "tube_angle_stock.csv").open(encoding="utf-8") as text:
        rows = list(csv.DictReader(text))
    tried = 0
    for row in rows:
        words = row["section"].split()
        if words[1] != "in":
            continue
        side, wall = float(words[0].split("x")[0]) * 25.4, float(row["wall_in"]) * 25.4
        kind = "square tube" if "tube" in row["section"] else "folded strip"
        if 4.0 * wall >= side:
            continue
        change = {"frame_section": side, "frame_wall": wall, "frame_kind": kind}
        stock = frame_stock(BuckSpec(wires=()).model_copy(update=change))
        # The table is rounded to a gram.
        assert 1000.0 * stock.mass_per_mm == pytest.approx(float(row["kg_per_m"]), abs=6e-4)
        tried += 1
    assert tried >= 25


def test_a_strip_folds_to_its_angle_by_the_handbooks_bend_allowance() -> None:
    """FAA worked example: T 0.050 in, R 0.032 in, 90 degrees: allowance 0.085 in (0.0853)."""
    allowance = 90.0 * (0.01743 * 0.032 + 0.0078 * 0.050)
    assert allowance == pytest.approx(0.085, abs=5e-4)
    thick = 1.5
    flat = strip_width(30.0, thick) - 2.0 * (30.0 - 2.0 * thick)
    assert flat == pytest.approx(90.0 * (0.01743 + 0.0078) * thick)


def _rod(axis: Array, *, closed: bool = False, mass: float = 1.0) -> Wire:
    return Wire(
        name="rod",
        line="rod",
        region="body",
        side="whole",
        layer=0,
        diameter=6.0,
        axis=axis,
        closed=closed,
        length=1.0,
        cut_length=1.0,
        set_in=0.0,
        least_radius=1.0,
        form_radius=1.0,
        sprung=False,
        mass=mass,
    )


def test_centres_of_gravity_of_exact_cases() -> None:
    """A uniform rod, a half circle (2 R / pi), a triangle of rods (Spieker centre), a ring."""
    straight = np.linspace([0.0, 0.0, 0.0], [100.0, 40.0, -20.0], 7)
    assert centre_of_gravity([_rod(straight)], [], []) == pytest.approx([50.0, 20.0, -10.0])
    turn = np.linspace(0.0, np.pi, 20_001)
    half = 300.0 * np.column_stack([np.cos(turn), np.sin(turn), np.zeros_like(turn)])
    found = centre_of_gravity([_rod(half)], [], [])
    assert found == pytest.approx([0.0, 2.0 * 300.0 / np.pi, 0.0], abs=1e-5)
    corners = np.array([[0.0, 0.0, 0.0], [30.0, 0.0, 0.0], [0.0, 40.0, 0.0]])
    lengths = {"a": 50.0, "b": 40.0, "c": 30.0}
    middles = {"a": [15.0, 20.0, 0.0], "b": [0.0, 20.0, 0.0], "c": [15.0, 0.0, 0.0]}
    spieker = sum(lengths[k] * np.array(middles[k]) for k in "abc") / 120.0
    assert centre_of_gravity([_rod(corners, closed=True)], [], []) == pytest.approx(spieker)


def test_the_centre_of_gravity_of_a_box_frame_is_its_middle_and_of_two_parts_their_balance() -> (
    None
):
    box = Box(100.0, 1300.0, (700.0,), 400.0, 300.0, 1200.0)
    members = frame_members(box, BuckSpec(wires=()))
    found = centre_of_gravity([], members, [])
    assert found == pytest.approx([700.0, 0.0, 750.0])
    post = Post(
        name="post",
        member="rail lower left",
        wire="rod",
        start=np.array([0.0, 0.0, 2000.0]),
        end=np.array([0.0, 0.0, 2200.0]),
        cut_length=200.0,
        angle_at_wire_deg=90.0,
        mass=sum(member.mass for member in members),
    )
    both = centre_of_gravity([], members, [post])
    assert both == pytest.approx([350.0, 0.0, 0.5 * (750.0 + 2100.0)])
