"""Commands on a mesh without any job: the blank of a panel."""

import argparse
import json
from pathlib import Path
from time import perf_counter
from typing import Any, get_args

from buckwright.cli.report import finding_lines, say, say_json
from buckwright.errors import JobError
from buckwright.files.writing import empty_folder, write_atomically
from buckwright.model.job import Job
from buckwright.model.panels import Aim, Blank, Grain, Panel, Panels, SheetStock
from buckwright.units import parse_length

__all__ = ["add_commands"]

_AIMS = (
    "least forming work in all; least strain at the worst place; no shrinking anywhere (for a shop "
    "without a shrinker); no stretching anywhere (for sheet that tears)"
)
_MOST_OTHERS = 3
_GRAIN = "what lies along the sheet's rolling direction: whatever fits, a side, or an axis"


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's command to the parser."""
    blank = commands.add_parser("blank", help="the blank and shape map of a mesh, without a job")
    blank.add_argument("mesh", type=Path, help="one open piece of skin: STL, OBJ or PLY, in mm")
    blank.add_argument("--alloy", default="3003-H14", help="alloy and temper, as 3003-H14")
    blank.add_argument("--thickness", default="1.6 mm", help="with its unit: 1.6mm, 0.063in")
    blank.add_argument("--allowance", default="0 mm", help="metal added all round for trimming")
    blank.add_argument("--aim", choices=get_args(Aim), default="least-work", help=_AIMS)
    blank.add_argument("--grain", choices=get_args(Grain), default="any", help=_GRAIN)
    blank.add_argument("--r-value", type=float, help="of the mill sheet; else that of the tables")
    blank.add_argument("--sheet", default="4 ft x 8 ft", help="size, as 1250 mm x 2500 mm")
    blank.add_argument("--square", help="side of the grid's squares, as 50 mm")
    blank.add_argument(
        "-o", "--out", type=Path, help="a folder for DXF, PDF, SVG, PNG, tables and flat.obj"
    )
    blank.add_argument("--json", action="store_true", help="print one JSON object")
    blank.set_defaults(run=_blank)


def _blank(args: argparse.Namespace) -> None:
    from buckwright.files.meshes import read_panel
    from buckwright.panels import blank_summary, flatten_panel

    began = perf_counter()
    panel = read_panel(args.mesh)
    sheet = SheetStock(
        alloy=args.alloy,
        thickness=parse_length(args.thickness),
        size=_sheet_size(args.sheet),
        r_value=args.r_value,
    )
    allowance = parse_length(args.allowance)
    blank = flatten_panel(panel, sheet, allowance=allowance, aim=args.aim, grain=args.grain)
    told = {**blank_summary(blank, panel), "seconds": perf_counter() - began}
    if args.out is not None:
        square = None if args.square is None else parse_length(args.square)
        _write(args.out, panel, blank, sheet, square, told)
    if args.json:
        say_json(told)
        return
    change = blank.area_change
    say(
        f"{panel.name}: {len(panel.triangles):,} triangles, {blank.area / 1e6:.3f} m2",
        f"  most stretch {100 * max(float(change.max()), 0.0):.1f} %, "
        f"most shrink {-100 * min(float(change.min()), 0.0):.1f} % of area",
        f"  {blank.aim_words}",
        f"  {blank.verdict.step}: {blank.verdict.reason}",
    )
    say(*(f"  {step.number}. {step.words}" for step in blank.work))
    _say_others(blank)
    say(*finding_lines(blank.findings))


def _say_others(blank: Blank) -> None:
    """What would take it instead, where this sheet does not."""
    if blank.verdict.step != "takes it":
        say(*(f"  or: {other.words}" for other in blank.verdict.others[:_MOST_OTHERS]))


def _sheet_size(text: str) -> tuple[float, float]:
    """Width and length of a sheet from `4 ft x 8 ft`. Raises JobError for what is not that."""
    parts = text.lower().replace("×", "x").split("x")
    if len(parts) != 2:
        raise JobError(
            f"'{text}' is not the size of a sheet.", "Write both lengths: 1250 mm x 2500 mm."
        )
    first, second = sorted(parse_length(part.strip()) for part in parts)
    return first, second


def _write(
    out: Path,
    panel: Panel,
    blank: Blank,
    sheet: SheetStock,
    square: float | None,
    told: dict[str, Any],
) -> None:
    from buckwright.drawings import blank_sheets, change_colours, grid_sheets, paper_sheets
    from buckwright.files.dxf import dxf_text
    from buckwright.files.grid_tables import grids_csv
    from buckwright.files.meshes import write_flat_obj
    from buckwright.files.pdf import roll_pdf
    from buckwright.files.png import sheet_png
    from buckwright.files.svg import svg_text
    from buckwright.panels import panel_grid, paper_pattern

    folder = empty_folder(out)
    write_flat_obj(folder / "flat.obj", blank.flat, panel.triangles)
    grid = panel_grid(panel, blank, square=square)
    paper = paper_pattern(panel, blank)
    panels = Panels(
        panels=(panel,), blanks=(blank,), edge_vertices=(), grids=(grid,), papers=(paper,)
    )
    job = Job(name=panel.name, sheet=sheet)
    drawn = (*blank_sheets(job, panels), *grid_sheets(job, panels))
    strips = paper_sheets(job, panels.papers)
    write_atomically(folder / "blank.pdf", roll_pdf((*drawn, *strips), title=panel.name))
    for sheet_drawn in (*drawn, *strips):
        if sheet_drawn.cut_file:
            write_atomically(folder / f"{sheet_drawn.name}.dxf", dxf_text(sheet_drawn))
        write_atomically(folder / f"{sheet_drawn.name}.svg", svg_text(sheet_drawn))
    picture = sheet_png(drawn[0], blank.flat[panel.triangles], change_colours(blank.area_change))
    write_atomically(folder / "shape-map.png", picture)
    write_atomically(folder / "grid.csv", grids_csv(panels))
    write_atomically(folder / "summary.json", json.dumps(told, ensure_ascii=False, indent=1) + "\n")
