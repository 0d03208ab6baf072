"""Lines from rows of a table: sides, slips, and merging with lines from pictures."""

import numpy as np
import pytest

from buckwright.lines import make_reference
from buckwright.lines.table_slips import find_slips
from buckwright.lines.tabled import against_pictures, lines_of_rows, merge_tables
from buckwright.model.lines import PlacedLine
from buckwright.model.tabled import LineTable, PlaceRow
from small_cab import DATUM, SPECS, exact_lines, measured_lines
from tables_on_paper import half_breadth

Array = np.ndarray


def rows_of(name: str, points: Array) -> list[PlaceRow]:
    return [PlaceRow(row=k, line=name, x=x, y=y, z=z) for k, (x, y, z) in enumerate(points, 2)]


def placed(name: str, points: Array, sigma: float) -> PlacedLine:
    return PlacedLine(name=name, points=points, sigma=np.full(len(points), sigma), closed=False)


def waterline(count: int = 25) -> Array:
    x = np.linspace(0.0, 2000.0, count)
    return np.column_stack([x, half_breadth(x, np.full_like(x, 300.0)), np.full_like(x, 300.0)])


@pytest.mark.parametrize("seed", range(4))
def test_exactly_the_planted_slips_are_found(seed: int) -> None:
    rng = np.random.default_rng(seed)
    points = waterline(40) + rng.normal(0.0, 0.5, (40, 3)) * [0.0, 1.0, 1.0]
    assert find_slips(points, 0.5) == ()
    planted = {0: 40.0, 9: -15.0, 11: 12.0, 24: 60.0, 39: -40.0}
    for at, by in planted.items():
        points[at, 1] += by
    found = {slip.at: slip for slip in find_slips(points, 0.5)}
    assert set(found) == set(planted)
    assert found[24].by == pytest.approx(60.0, abs=3.0)


def test_a_corner_and_a_closed_line_are_no_slips() -> None:
    leg = np.linspace(0.0, 600.0, 9)
    corner = np.vstack(
        [np.column_stack([leg, 0 * leg, 0 * leg]), np.column_stack([0 * leg + 600.0, 0 * leg, leg])]
    )
    assert find_slips(np.delete(corner, 9, axis=0), 0.5) == ()
    turn = 2.0 * np.pi * np.arange(24) / 24
    ring = 250.0 * np.column_stack([np.cos(turn), 0.0 * turn, np.sin(turn)])
    assert find_slips(ring, 0.5, closed=True) == ()
    ring[0] *= 1.05
    assert [slip.at for slip in find_slips(ring, 0.5, closed=True)] == [0]


def test_slips_are_the_same_turned_shifted_mirrored_and_reversed() -> None:
    points = waterline(30)
    points[12, 2] += 20.0
    turn = np.linalg.qr(np.random.default_rng(1).normal(size=(3, 3)))[0]
    moved = points @ turn.T + [100.0, -40.0, 7.0]
    assert [slip.at for slip in find_slips(moved, 0.5)] == [12]
    assert [slip.at for slip in find_slips(points[::-1], 0.5)] == [17]
    assert [slip.at for slip in find_slips(3.0 * points, 1.5)] == [12]


def test_half_breadths_become_pairs_arches_and_centre_lines() -> None:
    x = np.linspace(0.0, 900.0, 10)
    z = np.linspace(300.0, 1200.0, 10)
    turn = np.linspace(0.0, np.pi / 2.0, 10)
    rows = [
        *rows_of("belt", np.column_stack([x, 0 * x + 650.0, z])),
        *rows_of("sill right", np.column_stack([x, 0 * x + 650.0, 0 * z])),
        *rows_of("roof", np.column_stack([x, 0 * x, z])),
        *rows_of("arch", np.column_stack([0 * x, 900.0 * np.cos(turn), 900.0 * np.sin(turn)])),
    ]
    found = lines_of_rows(rows, sigma=1.0, half=True)
    lines = {line.name: np.asarray(line.points) for line in found.lines}
    assert set(lines) == {"belt left", "belt right", "sill right", "roof", "arch"}
    assert (lines["belt left"][:, 1] == -650.0).all()
    assert (lines["sill right"][:, 1] == 650.0).all()
    assert len(lines["arch"]) == 19
    np.testing.assert_allclose(lines["arch"], lines["arch"][::-1] * [1.0, -1.0, 1.0])
    assert {spec.name: spec.mirror for spec in found.specs}["belt left"] == "belt right"
    signed = lines_of_rows(rows_of("belt left", np.column_stack([x, x, z])), sigma=1.0, half=False)
    np.testing.assert_allclose(signed.lines[0].points[:, 1], x)


def test_a_slip_is_told_with_row_column_and_what_its_neighbours_lead_to() -> None:
    points = waterline()
    points[7, 2] = 330.0
    found = lines_of_rows(rows_of("level", points), sigma=1.0, half=True)
    (finding,) = found.findings
    assert (finding.code, finding.where) == ("outlier", "level")
    assert "Row 9 of 'level' was left out" in finding.message
    assert "its height is 330.0 where they lead to 300.0" in finding.message
    assert len(found.lines[0].points) == len(points) - 1


def test_too_few_places_make_no_line() -> None:
    found = lines_of_rows(rows_of("stub", waterline()[:3]), sigma=1.0, half=True)
    assert found.lines == ()
    assert [one.code for one in found.findings] == ["too-few-places"]


def test_merging_is_the_mean_by_weight() -> None:
    """Two lines 3 mm apart with errors of 1 and 2 mm: the mean lies at a fifth of the way."""
    points = waterline(200)
    seen = placed("level", points, 1.0)
    table = placed("level", waterline(30) + np.array([0.0, 0.0, 3.0]), 2.0)
    (merged,), (apart,) = merge_tables([seen], [table])
    np.testing.assert_allclose(merged.points[:, 2] - points[:, 2], 0.6, atol=1e-3)
    np.testing.assert_allclose(merged.sigma[1:-1], 1.0 / np.sqrt(1.25))
    assert apart.rms == pytest.approx(3.0, abs=1e-3)
    assert apart.doubt == pytest.approx(np.sqrt(5.0), rel=1e-6)
    assert against_pictures([apart]) == ()


def test_a_table_covers_part_of_a_line_and_carries_it_farther() -> None:
    points = waterline(201)
    seen = placed("level", points[:150], 1.0)
    moved = waterline(41)[20:] + np.array([0.0, 0.0, 8.0])
    (merged,), (apart,) = merge_tables([seen], [placed("level", moved, 1.0)])
    by = merged.points[:150, 2] - points[:150, 2]
    np.testing.assert_allclose(by[points[:150, 0] < 900.0], 0.0)
    np.testing.assert_allclose(by[points[:150, 0] > 1005.0], 4.0, atol=0.05)
    assert merged.points[-1, 0] == 2000.0
    (doubt,) = against_pictures([apart])
    assert doubt.code == "table-against-pictures"
    assert "8.0 mm" in doubt.message


def test_a_table_beside_pictures_adds_lines_and_tells_where_it_disagrees() -> None:
    measured = measured_lines(sigma=0.5)
    dense = exact_lines()
    belt, roof = dense["belt left"][0][::200], dense["roof centre"][0][::200]
    lines = (
        placed("belt left", belt + np.array([0.0, 0.0, 12.0]), 0.5),
        placed("second roof", roof, 0.5),
    )
    table = LineTable(name="t.csv", sha256="", sigma=0.5, lines=lines)
    asked = {"scale": 8.0, "scale_sigma": 0.0}
    alone = make_reference(measured, SPECS, DATUM, (), **asked)
    both = make_reference(measured, SPECS, DATUM, (), tables=(table,), **asked)
    assert {line.name for line in both.placed} - {line.name for line in alone.placed} == {
        "second roof"
    }
    assert both.wheelbase == alone.wheelbase
    told = [one for one in both.placement.findings if one.code == "table-against-pictures"]
    assert [one.where for one in told] == ["belt left"]
