"""Commands that hand the skin on: as STEP, STL, GLB and PLY, and as a solid scale model."""

import argparse
from pathlib import Path
from typing import Any

from buckwright.cli.report import finding_lines, say, say_json
from buckwright.errors import JobError
from buckwright.model.finding import Finding
from buckwright.model.job import Job
from buckwright.model.skin import Skin
from buckwright.store import JobFile
from buckwright.units import parse_length

__all__ = ["add_commands"]

FORMATS = ("step", "stl", "glb", "ply")


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's commands to the parser."""
    skin = commands.add_parser("skin", help="write the skin as STEP, STL, GLB and PLY")
    skin.add_argument("job", type=Path, help="a file that ends in .buck")
    skin.add_argument("-o", "--out", type=Path, required=True, help="a new or empty folder")
    skin.add_argument(
        "--offset",
        default="0 mm",
        metavar="LENGTH",
        help="set the skin off first, inward if negative: --offset=-9mm",
    )
    skin.add_argument("--formats", default=",".join(FORMATS), help="some of step,stl,glb,ply")
    skin.add_argument("--json", action="store_true", help="print one JSON object")
    skin.set_defaults(run=_skin)
    model = commands.add_parser(
        "model", help="the skin as a watertight solid at a small scale, to print or carve"
    )
    model.add_argument("job", type=Path, help="a file that ends in .buck")
    model.add_argument("out", type=Path, help="a file that ends in .stl or .ply")
    model.add_argument("--scale", default="1:8", help="as 1:8")
    model.add_argument("--thickness", default="2 mm", help="of the wall, on the model")
    model.add_argument("--json", action="store_true", help="print one JSON object")
    model.set_defaults(run=_model)


def _worked_out(path: Path) -> tuple[Job, Skin]:
    with JobFile.open(path) as file:
        job, skin = file.job(), file.products(("skin",)).skin
    if skin is None:
        raise JobError("The skin is not worked out yet.", f"Work it out: buckwright solve {path}")
    return job, skin


def _skin(args: argparse.Namespace) -> None:
    from buckwright.files.writing import empty_folder, write_atomically
    from buckwright.flow.handing import skin_bytes
    from buckwright.skin.offsets import offset_folds, offset_skin

    asked = [name.strip().lower() for name in args.formats.split(",") if name.strip()]
    unknown = [name for name in asked if name not in FORMATS]
    if unknown or not asked:
        raise JobError(
            f"'{', '.join(unknown)}' is no format that the skin is written in.",
            f"Choose among {', '.join(FORMATS)}.",
        )
    job, skin = _worked_out(args.job)
    by = parse_length(args.offset)
    folds: tuple[Finding, ...] = ()
    if by:
        skin = offset_skin(skin, by)
        folds = offset_folds(skin)
    folder = empty_folder(args.out)
    sizes: dict[str, int] = {}
    for name in asked:
        data = skin_bytes(skin, name, name=job.name)
        write_atomically(folder / f"skin.{name}", data)
        sizes[f"skin.{name}"] = len(data)
    if args.json:
        told = {"folder": str(folder), "files": sizes, "offset_mm": by}
        say_json({**told, "findings": [finding.model_dump() for finding in folds]})
        return
    if by:
        say(f"The skin is set {abs(by):g} mm {'out' if by > 0.0 else 'in'}.")
    for region in skin.regions:
        for field in region.rolled:
            say(f"{region.name}, between {', '.join(field.lines)}: {field.words}")
    say(*(f"{folder / name}: {size / 1e6:.1f} MB" for name, size in sizes.items()))
    say(*finding_lines(folds))


def _model(args: argparse.Namespace) -> None:
    from buckwright.files.scene import solid_bytes
    from buckwright.files.writing import write_atomically
    from buckwright.skin.solid import solid_model

    kind = args.out.suffix.lower().removeprefix(".")
    if kind not in ("stl", "ply"):
        raise JobError(f"'{args.out.name}' is no STL or PLY.", "Name the file like model.stl.")
    _, skin = _worked_out(args.job)
    solid = solid_model(skin, scale=_scale(args.scale), thickness=parse_length(args.thickness))
    write_atomically(args.out, solid_bytes(solid.vertices, solid.triangles, kind))
    told: dict[str, Any] = {
        "file": str(args.out),
        "bodies": solid.pieces,
        "size_mm": list(solid.size),
        "volume_cm3": solid.volume / 1000.0,
        "triangles": len(solid.triangles),
    }
    if args.json:
        say_json({**told, "findings": [finding.model_dump() for finding in solid.findings]})
        return
    length, breadth, height = solid.size
    say(
        f"{args.out}: {solid.pieces} watertight bodies, {length:.0f} x {breadth:.0f} x "
        f"{height:.0f} mm, {solid.volume / 1000.0:.1f} cm3 of material",
        *finding_lines(solid.findings),
    )


def _scale(text: str) -> float:
    """1:8, 1/8 or 0.125."""
    one, _, other = text.replace("/", ":").partition(":")
    try:
        return float(one) / float(other or "1")
    except (ValueError, ZeroDivisionError):
        raise JobError(f"'{text}' is no scale.", "Type it like 1:8.") from None
