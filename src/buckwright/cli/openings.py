"""The command `openings`: doors swung, glass dropped, panes laid flat."""

import argparse
from pathlib import Path

import numpy as np

from buckwright.cli.report import finding_lines, say, say_json
from buckwright.errors import JobError
from buckwright.model.job import Job, Products
from buckwright.model.openings import Drop, Opening, Openings, Swing
from buckwright.store import JobFile
from buckwright.units import format_both

__all__ = ["add_commands", "opening_lines"]


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's command to the parser."""
    told = commands.add_parser(
        "openings",
        help="doors, windows, screens and lids: swing, first touch, glass",
        description="Swing each door, drop its glass and lay each pane flat, on the skin as it "
        "was worked out last. The job is not changed.",
    )
    told.add_argument("job", type=Path, help="a file that ends in .buck")
    told.add_argument("--only", metavar="NAME", help="one opening")
    told.add_argument("-o", "--out", type=Path, help="a folder for PDF, SVG, DXF and the table")
    told.add_argument("--json", action="store_true", help="print one JSON object")
    told.set_defaults(run=_openings)


def _openings(args: argparse.Namespace) -> None:
    with JobFile.open(args.job) as file:
        job, products = file.job(), file.products(("lines", "skin", "openings"))
        fresh = file.step_states().get("openings") == "done"
    job = _narrowed(job, args.only)
    made = _made(job, products, fresh=fresh and args.only is None)
    folder = None if args.out is None else _write(args.out, job, made, products)
    if args.json:
        kept = {"openings": [_as_json(one) for one in made.openings]}
        say_json({"job": job.name, **kept, **({} if folder is None else {"folder": str(folder)})})
        return
    for one in made.openings:
        say(*opening_lines(one))
        say(*finding_lines(one.findings))


def _narrowed(job: Job, only: str | None) -> Job:
    kept = tuple(spec for spec in job.openings if only in (None, spec.name))
    if not kept:
        named = ", ".join(f"'{spec.name}'" for spec in job.openings)
        raise JobError(
            f"The job has no opening '{only}'." if only else "The job has no openings.",
            f"Choose from {named}." if named else "Add doors and windows on the page.",
        )
    return job.model_copy(update={"openings": kept})


def _made(job: Job, products: Products, *, fresh: bool) -> Openings:
    from buckwright.openings import make_openings

    if products.openings is not None and fresh:
        return products.openings
    if products.skin is None or products.lines is None:
        raise JobError("There is no skin yet.", "Work the job out first: buckwright solve JOB.")
    return make_openings(job.openings, products.skin, products.lines.network)


def opening_lines(one: Opening) -> list[str]:
    """An opening in a few lines."""
    lines = [f"{one.name} ({one.kind})"]
    if one.outline is not None:
        shape = one.outline
        lines.append(
            f"  outline {format_both(shape.perimeter)} round, {shape.area / 1e6:.3f} m2, within "
            f"{shape.off_most:.1f} mm of the skin"
        )
    if one.axis is not None:
        true = f"pins within {one.axis.residual:.2f} mm" if one.axis.tested else "two pins"
        lines.append(
            f"  hinge axis leans {np.degrees(one.axis.lean_right):+.2f} degrees to the right, "
            f"{np.degrees(one.axis.lean_back):+.2f} rearward; {true}"
        )
    if one.swing is not None:
        lines += _swing(one.swing)
    if one.pane is not None:
        pane = one.pane
        lines.append(
            f"  {'flat' if pane.shape == 'flat' else 'bent'} glass of {pane.area / 1e6:.3f} m2 "
            f"lies {pane.off_most:.2f} mm off its outline at worst, {pane.off_rms:.2f} rms"
        )
        if pane.drop is not None:
            lines.append(_drop(pane.drop))
    return lines


def _swing(swing: Swing) -> list[str]:
    reached, wanted = np.degrees(swing.reached), np.degrees(swing.wanted)
    touch = swing.touch
    line = (
        f"  swings {reached:.0f} degrees, clears by {swing.least:.1f} mm at least, at "
        f"{np.degrees(swing.least_angle):.0f} degrees, to {swing.least_against}"
        if touch is None
        else f"  swings {reached:.2f} of {wanted:.0f} degrees, then {touch.part} meets "
        f"{touch.against}"
    )
    width = f"  way in {format_both(swing.width)} at its narrowest"
    return [line, width] if swing.width > 0.0 else [line]


def _drop(drop: Drop) -> str:
    if drop.stopped_by:
        return f"  drops {drop.reached:.0f} of {drop.wanted:.0f} mm, then meets {drop.stopped_by}"
    least = min(float(room.min()) for room in (drop.outer, drop.inner, drop.edge))
    return f"  drops all of {format_both(drop.wanted)} with {least:.1f} mm to spare at least"


def _as_json(one: Opening) -> dict[str, object]:
    """Everything but the meshes and outlines, whose places are in the drawings."""
    return one.model_dump(
        mode="json",
        exclude={
            "outline": {"points", "inner", "outer"},
            "swing": {"vertices", "triangles"},
            "pane": {"edge", "off"},
        },
    )


def _write(out: Path, job: Job, made: Openings, products: Products) -> Path:
    from buckwright.drawings import door_sheets, glass_sheets
    from buckwright.files.dxf import dxf_text
    from buckwright.files.opening_tables import openings_csv
    from buckwright.files.pdf import roll_pdf
    from buckwright.files.svg import svg_text
    from buckwright.files.writing import empty_folder, write_atomically

    folder = empty_folder(out)
    sheets = (*door_sheets(job, made, products.skin), *glass_sheets(job, made))
    if sheets:
        write_atomically(folder / "openings.pdf", roll_pdf(sheets, title=job.name))
    for sheet in sheets:
        write_atomically(folder / f"{sheet.name}.svg", svg_text(sheet))
        if sheet.cut_file:
            write_atomically(folder / f"{sheet.name}.dxf", dxf_text(sheet))
    write_atomically(folder / "openings.csv", openings_csv(made))
    return folder
