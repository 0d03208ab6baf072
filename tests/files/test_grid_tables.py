import csv

import pytest

from buckwright.files.grid_tables import grids_csv
from buckwright.model.panels import Panels, SheetStock
from buckwright.panels import flatten_panel, panel_grid
from discs_on_paper import as_panel, wing


def test_the_table_holds_every_piece_of_every_line() -> None:
    panel = as_panel(wing(10), "nose, left")
    blank = flatten_panel(panel, SheetStock(alloy="3003-O", thickness=1.6), allowance=0.0)
    grid = panel_grid(panel, blank)
    text = grids_csv(Panels(panels=(panel,), blanks=(blank,), edge_vertices=(), grids=(grid,)))
    assert text.endswith("\r\n")
    rows = list(csv.DictReader(text.splitlines()))
    assert len(rows) == sum(len(line.panel_lengths) for line in grid.lines)
    row, line = rows[3], grid.lines[0]
    assert row["panel"] == "nose, left"
    assert (row["line"], row["from"], row["to"]) == (line.name, *line.crossings[3:5])
    assert float(row["finished_mm"]) == pytest.approx(line.panel_lengths[3], abs=0.051)
    assert float(row["change_percent"]) == pytest.approx(
        100.0 * (line.panel_lengths[3] / line.blank_lengths[3] - 1.0), abs=0.051
    )
