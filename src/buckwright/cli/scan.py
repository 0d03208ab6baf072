"""The command `scan`: a scanned part, mesh or cloud of points, taken into the skin as it is."""

import argparse
from pathlib import Path

import numpy as np

from buckwright.cli.report import finding_lines, say, say_json
from buckwright.errors import JobError
from buckwright.model.scans import OUTWARDS, ScanSource
from buckwright.store import JobFile
from buckwright.units import parse_length

__all__ = ["add_commands"]


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's command to the parser."""
    told = commands.add_parser(
        "scan", help="take a scanned part into the skin, its mesh made even and its openings kept"
    )
    told.add_argument("job", type=Path, help="a file that ends in .buck")
    told.add_argument(
        "mesh",
        type=Path,
        nargs="?",
        help="the outer sheet of the part: STL, OBJ, PLY, or points as PLY, XYZ or CSV",
    )
    told.add_argument("--name", help="of the region that it becomes; else the file's name")
    told.add_argument("--units", default="mm", help="of the file: mm, cm, m, in, ft")
    told.add_argument("--side", choices=["whole", "left"], default="whole")
    told.add_argument(
        "--outward", choices=list(OUTWARDS), default="up", help="where its outside is"
    )
    told.add_argument(
        "--close-below", default="0 mm", help="openings less far across are gaps, and closed"
    )
    told.add_argument(
        "--point",
        action="append",
        default=[],
        metavar="NAME=X Y Z->X Y Z",
        help="a point in the scan's axes and in the vehicle's; three or more bring it there",
    )
    told.add_argument("--on", default="", metavar="REGION", help="seat it on this region instead")
    told.add_argument("--sigma", default="1 mm", help="how sure those points are")
    told.add_argument("--drop", metavar="NAME", help="leave this scan out of the skin")
    told.add_argument("--json", action="store_true", help="print one JSON object")
    told.set_defaults(run=_scan)


def _scan(args: argparse.Namespace) -> None:
    from buckwright.flow.scan_places import placed_by
    from buckwright.flow.scans import keep_scan, read_scan_file

    with JobFile.open(args.job) as file:
        if args.drop is not None:
            _drop(file, args.drop)
        if args.mesh is None:
            _list(file, as_json=args.json)
            return
        asked = ScanSource(
            name=args.name or args.mesh.stem,
            sha256="",
            kind="stl",
            unit=parse_length(f"1 {args.units}"),
            side=args.side,
            outward=OUTWARDS[args.outward],
            close_below=parse_length(args.close_below),
        )
        products = file.products(("lines", "skin"))
        network = None if products.lines is None else products.lines.network
        place = placed_by(args.point, args.on, products, sigma=parse_length(args.sigma))
        data = read_scan_file(args.mesh)
        region = keep_scan(file, network, data, args.mesh.name, asked, place=place)
    low, high = region.vertices.min(axis=0), region.vertices.max(axis=0)
    size = [round(float(v), 1) for v in np.asarray(high - low)]
    if args.json:
        told = {"region": region.name, "size_mm": size, "triangles": len(region.triangles)}
        found = [finding.model_dump() for finding in region.findings]
        say_json({**told, "openings": len(region.holes), "findings": found})
        return
    say(
        f"'{region.name}' is in the skin: {size[0]:.0f} x {size[1]:.0f} x {size[2]:.0f} mm, "
        f"{len(region.triangles)} triangles, {len(region.holes)} openings",
        *finding_lines(region.findings),
        f"Next: buckwright solve {args.job}",
    )


def _drop(file: JobFile, name: str) -> None:
    job = file.job()
    kept = tuple(scan for scan in job.scans if scan.name != name)
    if len(kept) == len(job.scans):
        known = ", ".join(f"'{scan.name}'" for scan in job.scans) or "none"
        raise JobError(f"There is no scan '{name}'.", f"The job has: {known}.")
    file.change(f"scan '{name}' left out", job.model_copy(update={"scans": kept}))


def _list(file: JobFile, *, as_json: bool) -> None:
    scans = file.job().scans
    if as_json:
        say_json({"scans": [scan.model_dump() for scan in scans]})
        return
    say(
        *(
            f"{scan.name}: {scan.kind.upper()}, {scan.side}, 1 unit is {scan.unit:g} mm, openings "
            f"below {scan.close_below:g} mm closed"
            for scan in scans
        )
        if scans
        else ("No scans stand in the skin.",)
    )
