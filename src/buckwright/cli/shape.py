"""Commands on a mesh without any job: the blank of a panel."""

import argparse
from pathlib import Path
from time import perf_counter

from buckwright.cli.report import finding_lines, say, say_json
from buckwright.files.writing import empty_folder, write_atomically
from buckwright.model.job import Job
from buckwright.model.panels import Blank, Panel, Panels, SheetStock
from buckwright.units import parse_length

__all__ = ["add_commands"]


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's command to the parser."""
    blank = commands.add_parser("blank", help="the blank and shape map of a mesh, without a job")
    blank.add_argument("mesh", type=Path, help="an open, disc-like mesh: STL, OBJ or PLY, in mm")
    blank.add_argument("--alloy", default="3003-H14", help="alloy and temper, as 3003-H14")
    blank.add_argument("--thickness", default="1.6 mm", help="with its unit: 1.6mm, 0.063in")
    blank.add_argument("--allowance", default="0 mm", help="metal added all round for trimming")
    blank.add_argument(
        "--aim",
        choices=["least-work", "least-greatest"],
        default="least-work",
        help="least forming work in all, or least strain at the worst place",
    )
    blank.add_argument("-o", "--out", type=Path, help="a folder for DXF, PDF, SVG and flat.obj")
    blank.add_argument("--json", action="store_true", help="print one JSON object")
    blank.set_defaults(run=_blank)


def _blank(args: argparse.Namespace) -> None:
    from buckwright.files.meshes import read_panel
    from buckwright.panels import blank_summary, flatten_panel

    began = perf_counter()
    panel = read_panel(args.mesh)
    sheet = SheetStock(alloy=args.alloy, thickness=parse_length(args.thickness))
    allowance = parse_length(args.allowance)
    blank = flatten_panel(panel, sheet, allowance=allowance, aim=args.aim)
    seconds = perf_counter() - began
    if args.out is not None:
        _write(args.out, panel, blank, sheet)
    if args.json:
        say_json({**blank_summary(blank, panel), "seconds": seconds})
        return
    change = blank.area_change
    say(
        f"{panel.name}: {len(panel.triangles):,} triangles, {blank.area / 1e6:.3f} m2",
        f"  most stretch {100 * max(float(change.max()), 0.0):.1f} %, "
        f"most shrink {-100 * min(float(change.min()), 0.0):.1f} % of area",
        f"  {blank.verdict.step}: {blank.verdict.reason}",
    )
    say(*(f"  {area.words}" for area in blank.areas))
    say(*finding_lines(blank.findings))


def _write(out: Path, panel: Panel, blank: Blank, sheet: SheetStock) -> None:
    from buckwright.drawings import blank_sheets
    from buckwright.files.dxf import dxf_text
    from buckwright.files.meshes import write_flat_obj
    from buckwright.files.pdf import roll_pdf
    from buckwright.files.svg import svg_text

    folder = empty_folder(out)
    write_flat_obj(folder / "flat.obj", blank.flat, panel.triangles)
    panels = Panels(panels=(panel,), blanks=(blank,), edge_vertices=())
    drawn = blank_sheets(Job(name=panel.name, sheet=sheet), panels)
    write_atomically(folder / "blank.pdf", roll_pdf(drawn, title=panel.name))
    for sheet_drawn in drawn:
        write_atomically(folder / f"{sheet_drawn.name}.dxf", dxf_text(sheet_drawn))
        write_atomically(folder / f"{sheet_drawn.name}.svg", svg_text(sheet_drawn))
