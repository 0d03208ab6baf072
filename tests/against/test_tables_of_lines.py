"""A body made from a table of offsets alone, against the formula that the table was made from."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest

from buckwright.flow.steps import Bench, solve_steps, solved_steps
from buckwright.flow.tables import keep_table
from buckwright.model.buck import BuckSpec, WireSpec
from buckwright.model.job import Job, Products
from buckwright.model.skin import RegionSpec
from buckwright.store import JobFile
from tables_on_paper import LEVELS, STATIONS, as_csv, half_breadth, wigley_rows


@pytest.fixture(scope="module")
def solved(tmp_path_factory: pytest.TempPathFactory) -> Products:
    """Lines, skin and buck of the form, from its table in inches."""
    path = tmp_path_factory.mktemp("form") / "form.buck"
    levels = [f"level {level:.0f} left" for level in LEVELS]
    sections = [f"section {station:.0f} left" for station in STATIONS]
    region = RegionSpec(
        name="side",
        boundary=(levels[0], sections[-1], levels[-1], sections[0]),
        inner=(*levels[1:-1], *sections[1:-1]),
    )
    wires = tuple(
        WireSpec(name=name, region="side", line=name) for name in (levels[2], sections[2])
    )
    asked = {
        "name": "Form",
        "edge_length": 60.0,
        "regions": (region,),
        "buck": BuckSpec(wires=wires, frame_x=(200.0, 1800.0)),
    }
    with JobFile.create(path, Job(**asked)) as file:
        data = as_csv(wigley_rows(), "line,station_in,half_breadth_in,height_in", 25.4)
        table = keep_table(file, None, data, "form.csv", sigma=0.1, wheelbase=1900.0)
        assert table.findings == ()
        job = file.job()
    assert solved_steps(job)[:3] == ("lines", "skin", "buck")
    known = Products()
    with ThreadPoolExecutor(1) as threads:
        for step, products in solve_steps(job, lambda _: b"", have=known, bench=Bench(threads)):
            known = products
            if step == "buck":
                break
    return known


def test_lines_from_a_table_alone_lie_on_wigleys_form(solved: Products) -> None:
    """Source of the values: the formula."""
    assert solved.lines is not None
    assert solved.lines.wheelbase == 1900.0
    assert len(solved.lines.network.crossings) == len(LEVELS) * len(STATIONS)
    for line in solved.lines.network.lines:
        x, y, z = line.points(200).T
        np.testing.assert_allclose(-y, half_breadth(x, z), atol=0.1)


def test_the_skin_over_them_lies_on_it_too_and_a_wire_is_bent_along_it(solved: Products) -> None:
    """Source of the values: the formula, and its arc length by numpy in small steps."""
    assert solved.skin is not None
    assert solved.buck is not None
    (region,) = solved.skin.regions
    x, y, z = np.asarray(region.vertices).T
    assert np.abs(-y - half_breadth(x, z)).max() < 1.0
    by_name = {wire.name: wire for wire in solved.buck.wires}
    at = np.linspace(0.0, 2000.0, 20_001)
    exact = np.hypot(np.diff(at), np.diff(half_breadth(at, np.full_like(at, 300.0)))).sum()
    axis = np.asarray(by_name["level 300 left"].axis)
    length = np.linalg.norm(np.diff(axis, axis=0), axis=1).sum()
    # The rod's axis lies inside the metal, and so is a little shorter.
    assert exact - 12.0 < length < exact


def test_a_job_file_solves_from_a_table_alone(tmp_path: Path) -> None:
    """The table's bytes are kept with their digest, and leaving it out can be undone."""
    with JobFile.create(tmp_path / "one.buck", Job(name="One")) as file:
        data = as_csv(wigley_rows())
        table = keep_table(file, None, data, "form.csv", sigma=0.5)
        assert file.picture_bytes(table.sha256) == data
        assert len(file.job().lines) == len(LEVELS) + len(STATIONS)
        assert file.undo() == "table 'form.csv' taken in with 11 lines"
        assert file.job().tables == ()
        assert file.job().lines == ()
