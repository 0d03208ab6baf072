"""Gauges of a mesh without any job: cards, their stand, and sweeps."""

import argparse
from pathlib import Path
from time import perf_counter

import numpy as np

from buckwright.cli.report import finding_lines, say, say_json
from buckwright.errors import JobError
from buckwright.files.writing import empty_folder, write_atomically
from buckwright.model.drawings import Sheet
from buckwright.model.gauges import CardPlane, Gauges, GaugeSpec, SweepSpec
from buckwright.model.job import Job
from buckwright.units import parse_length

__all__ = ["add_commands"]


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's command to the parser."""
    told = commands.add_parser(
        "gauges", help="profile cards, their stand and sweeps for a mesh, without a job"
    )
    told.add_argument("mesh", type=Path, help="a part as STL, OBJ or PLY, in mm")
    told.add_argument("--axis", choices=["x", "y", "z"], default="x", help="cards square to it")
    told.add_argument("--normal", help="cards square to this direction instead, as 1,0,0.5")
    told.add_argument(
        "--tolerance",
        help="choose the cards so that the shape between them is as true: 1mm (unless --at)",
    )
    told.add_argument("--at", help="cards at these places along the axis: --at=-100mm,0mm,4in")
    told.add_argument(
        "--plane",
        action="append",
        default=[],
        help="a card in this plane, point and normal: 100,-700,650,0.6,0,0.8; may be repeated",
    )
    told.add_argument("--face", choices=["outside", "inside", "both"], default="outside")
    told.add_argument("--metal", default="0 mm", help="thickness, for cards on its inside")
    told.add_argument("--side", choices=["left", "right"], default="left", help="the mesh's side")
    told.add_argument("--width", default="60 mm", help="of card behind the profile")
    told.add_argument("--card", default="3 mm", help="thickness of the card, as measured")
    told.add_argument("--clearance", default="0.1 mm", help="of the slots")
    told.add_argument("--no-stand", action="store_true", help="cards without feet and combs")
    told.add_argument("--labels", choices=["drawn", "cut"], default="drawn")
    told.add_argument("--chord", default="150 mm", help="of the sweeps; 0 for none")
    told.add_argument("--series", help="radii that sweeps are chosen from: 200mm,250mm,315mm")
    told.add_argument("-o", "--out", type=Path, help="a folder for DXF, SVG, PDF and tables")
    told.add_argument("--json", action="store_true", help="print one JSON object")
    told.set_defaults(run=_gauges)


def _gauges(args: argparse.Namespace) -> None:
    from buckwright.files.meshes import read_panel
    from buckwright.gauges import gauge_summary, make_gauges, part_findings, part_skin
    from buckwright.model.lines import LineNetwork

    began = perf_counter()
    spec = _spec(args)
    panel = read_panel(args.mesh)
    skin = part_skin(panel, right=args.side == "right")
    made = make_gauges((spec,), skin, LineNetwork(lines=(), crossings=()))
    made = made.model_copy(update={"findings": (*part_findings(panel), *made.findings)})
    told = {
        "part": panel.name,
        "triangles": len(panel.triangles),
        "size_mm": np.ptp(panel.vertices, axis=0).tolist(),
        **gauge_summary(made),
        "seconds": perf_counter() - began,
    }
    if args.out is not None:
        told["folder"] = str(_write(args.out, panel.name, made))
    if args.json:
        say_json(told)
        return
    say(*_lines(panel.name, made))
    say(*finding_lines(made.findings))


def _spec(args: argparse.Namespace) -> GaugeSpec:
    at = tuple(parse_length(text) for text in args.at.split(",")) if args.at else ()
    planes = tuple(_plane(text, number) for number, text in enumerate(args.plane, start=1))
    asked = "1 mm" if args.tolerance is None and not at and not planes else args.tolerance
    tolerance = None if asked is None else _positive(asked, "tolerance")
    chord = parse_length(args.chord)
    series = tuple(parse_length(r) for r in args.series.split(",")) if args.series else ()
    return GaugeSpec(
        region=args.mesh.stem,
        axis=args.axis,
        at=at,
        planes=planes,
        tolerance=tolerance,
        direction=_figures(args.normal, "--normal", 3) if args.normal else None,
        card_width=_positive(args.width, "card's width"),
        face=args.face,
        metal=max(parse_length(args.metal), 0.0),
        stand=not args.no_stand and (tolerance is not None or len(at) > 1),
        card_thickness=_positive(args.card, "card's thickness"),
        clearance=max(parse_length(args.clearance), 0.0),
        labels=args.labels,
        sweeps=SweepSpec(chord=chord, tolerance=tolerance or 1.0, series=series)
        if chord > 0.0
        else None,
    )


def _positive(text: str, what: str) -> float:
    value = parse_length(text)
    if value <= 0.0:
        raise JobError(f"The {what} is {value:g} mm.", "Give more than nothing.")
    return value


def _figures(text: str, option: str, count: int) -> tuple[float, ...]:
    try:
        figures = tuple(float(part) for part in text.split(","))
    except ValueError:
        figures = ()
    if len(figures) != count or not np.all(np.isfinite(figures)):
        raise JobError(
            f"{option} {text} is not {count} figures with commas between.",
            f"Write it like {option}={','.join('0' * (count - 1))},1.",
        )
    return figures


def _plane(text: str, number: int) -> CardPlane:
    x, y, z, along, across, up = _figures(text, "--plane", 6)
    return CardPlane(name=f"plane {number}", point=(x, y, z), normal=(along, across, up))


def _lines(name: str, made: Gauges) -> list[str]:
    left = [card for card in made.gauges if card.hand == "left"]
    lines = [
        f"{name}: {len(left)} card{'s' if len(left) > 1 else ''}, and as many for the other side"
    ]
    lines += [
        f"  {chosen.face}: battens over them leave the skin by {chosen.error:.2f} mm at most "
        f"({chosen.tolerance:g} mm allowed)"
        for chosen in made.sets
    ]
    lines += [
        f"  {stand.name}: {len(stand.boards)} combs; cards may lean {stand.play:.2f} mm"
        for stand in made.stands
    ]
    for chosen in made.sweeps:
        if chosen.side != "right":
            radii = ", ".join(
                "straight" if sweep.bends == "straight" else f"{sweep.bends} {sweep.radius:.5g}"
                for sweep in chosen.sweeps
            )
            lines.append(f"  sweeps of {chosen.chord:g} mm chord: {radii}")
    return lines


def _write(out: Path, name: str, made: Gauges) -> Path:
    from buckwright.drawings import card_sheets, stand_sheets, sweep_sheets
    from buckwright.files.dxf import dxf_text
    from buckwright.files.gauge_tables import gauges_csv, sweeps_csv
    from buckwright.files.pdf import roll_pdf
    from buckwright.files.svg import svg_text

    folder = empty_folder(out)
    job = Job(name=name)
    sheets: list[Sheet] = [
        *card_sheets(job, made),
        *stand_sheets(job, made),
        *sweep_sheets(job, made.sweeps),
    ]
    write_atomically(folder / "gauges.pdf", roll_pdf(sheets, title=name))
    for sheet in sheets:
        write_atomically(folder / f"{sheet.name}.svg", svg_text(sheet))
        if sheet.cut_file:
            write_atomically(folder / f"{sheet.name}.dxf", dxf_text(sheet))
    write_atomically(folder / "gauges.csv", gauges_csv(made))
    if made.sweeps:
        write_atomically(folder / "sweeps.csv", sweeps_csv(made.sweeps))
    return folder
