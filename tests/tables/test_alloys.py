from itertools import pairwise

import pytest

from buckwright.tables.alloys import alloys, find_alloy, sheet_sizes
from buckwright.tables.forming import annealing_of


def test_every_row_says_where_it_comes_from() -> None:
    for alloy in alloys():
        assert alloy.density_source
        assert annealing_of(alloy.family).source
        assert bool(alloy.hardening_source) == (alloy.hardening is not None)
        assert all(row.source and row.standard for row in alloy.elongations)
        assert all(size.source for size in sheet_sizes(alloy.family))


def test_rows_run_upwards_without_overlap() -> None:
    for alloy in alloys():
        rows = alloy.elongations
        assert all(row.start <= row.end for row in rows)
        assert all(a.end < b.start for a, b in pairwise(rows))


def test_names_are_found_however_they_are_typed() -> None:
    assert find_alloy("3003-h14") is find_alloy("3003-H14") is find_alloy(" 3003 - H14 ")
    assert find_alloy("unobtainium") is None


@pytest.mark.parametrize(("thickness", "least"), [(1.27, 0.04), (1.28, 0.04), (1.2954, 0.05)])
def test_between_two_rows_the_thinner_holds(thickness: float, least: float) -> None:
    row = find_alloy("3003-H14").elongation(thickness)
    assert row is not None
    assert row.least == least


def test_beyond_the_table_there_is_no_answer() -> None:
    alloy = find_alloy("3003-H14")
    assert alloy.elongation(0.1) is None
    assert alloy.elongation(9.0) is None


def test_every_alloy_can_be_bought_and_annealed() -> None:
    for alloy in alloys():
        assert sheet_sizes(alloy.family)
        assert find_alloy(alloy.annealed_as) is not None
        heat = annealing_of(alloy.family)
        assert 300.0 < heat.low_c <= heat.high_c < 750.0
        assert heat.melting_c is None or heat.high_c < heat.melting_c


def test_the_mass_of_a_sheet_is_its_volume_times_its_density() -> None:
    for family, density in {a.family: a.density for a in alloys()}.items():
        for size in sheet_sizes(family):
            volume = size.size[0] * size.size[1] * size.thickness
            assert size.mass == pytest.approx(volume * density, rel=1e-3)
