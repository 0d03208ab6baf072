"""Commands that need no job: print a mat, and measure lines from pictures."""

import argparse
from pathlib import Path
from typing import Any

from buckwright.cli.report import finding_lines, progress_bar, say, say_json
from buckwright.errors import FileError, JobError
from buckwright.model.finding import Finding
from buckwright.model.intake import PictureGroup
from buckwright.model.mats import MAT_KINDS, printed_mat
from buckwright.model.pictures import Calibration, MeasuredLine
from buckwright.model.points import MeasuredPoint

__all__ = ["add_commands"]


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's commands to the parser."""
    mat = commands.add_parser("mat", help="print the mat that a model or part stands on")
    mat.add_argument("file", type=Path, help="the PDF or SVG to write")
    mat.add_argument("--kind", choices=list(MAT_KINDS), default="A2", help="default: A2")
    mat.add_argument("--count", type=int, help="how many sheets or cards, of a set")
    mat.add_argument("--json", action="store_true", help="print one JSON object")
    mat.set_defaults(run=_mat)
    pictures = commands.add_parser("pictures", help="measure lines from pictures, without a job")
    inner = pictures.add_subparsers(dest="what", required=True, metavar="WHAT")
    check = inner.add_parser("check", help="which pictures serve, and what to photograph next")
    check.add_argument("folder", type=Path, help="the photographs; empty before the first")
    check.add_argument("--mat", type=Path, required=True, help="MAT.json")
    check.add_argument("-o", "--plan", type=Path, help="an SVG to write: where cameras stood")
    check.add_argument("--json", action="store_true", help="print one JSON object")
    check.set_defaults(run=_check)
    add = inner.add_parser("add", help="take photographs into a job")
    add.add_argument("job", type=Path, help="a file that ends in .buck")
    add.add_argument("files", type=Path, nargs="+", help="the photographs")
    add.add_argument("--json", action="store_true", help="print one JSON object")
    add.set_defaults(run=_add)
    solve = inner.add_parser("solve", help="cameras and lines from a folder of photographs")
    solve.add_argument("folder", type=Path, help="the photographs")
    solve.add_argument("--mat", type=Path, required=True, help="MAT.json")
    solve.add_argument("--traces", type=Path, required=True, help="TRACES.json")
    solve.add_argument("--closed", default="", help="names of closed lines, comma between")
    solve.add_argument("--json", action="store_true", help="print one JSON object")
    solve.set_defaults(run=_solve)


def _mat(args: argparse.Namespace) -> None:
    from buckwright.files.mats import write_mat
    from buckwright.files.matsheet import write_mat_pdf, write_mat_svg

    try:
        mat = printed_mat(args.kind, args.count)
    except ValueError:
        raise JobError(
            f"There are no {args.count} boards of {args.kind}.",
            "Leave --count out for a single mat; of a set choose as many as there are marks for.",
        ) from None
    written: tuple[Path, ...] = (args.file,)
    if args.file.suffix.lower() == ".svg":
        written = write_mat_svg(mat, args.file)
    else:
        write_mat_pdf(mat, args.file)
    told = args.file.with_suffix(".json")
    write_mat(mat, told)
    if args.json:
        content = {"files": [str(path) for path in written], "describes": str(told)}
        say_json({**content, "mat": mat.model_dump(mode="json")})
        return
    many = f"{mat.cards} boards" if mat.cards > 1 else "the mat"
    say(
        f"{', '.join(str(path) for path in written)}: {many}, on {MAT_KINDS[args.kind].paper}, "
        f"for {MAT_KINDS[args.kind].words}.",
        "Print at 100 %, glue to something flat and stiff, and measure the two bars from corner to",
        f"corner with calipers or a steel rule: type the lengths in on the page, or in {told}.",
    )


def _check(args: argparse.Namespace) -> None:
    from buckwright.drawings.shoots import shoot_sheet
    from buckwright.files.jobfolder import pictures_in
    from buckwright.files.mats import read_mat
    from buckwright.files.svg import svg_text
    from buckwright.files.writing import write_atomically
    from buckwright.flow import check_shoot, workbench

    mat = read_mat(args.mat)
    pictures = [(path.name, path.read_bytes()) for path in pictures_in(args.folder)]
    with progress_bar(quiet=args.json) as bar:
        bench = workbench(2, bar)
        with bench.executor:
            intake = check_shoot(pictures, mat, bench=bench)
    if args.plan is not None:
        write_atomically(args.plan, svg_text(shoot_sheet(intake.advice)))
    if args.json:
        say_json(intake.model_dump(mode="json"))
        return
    say(
        f"{len(intake.accepted)} of {len(pictures)} pictures serve.",
        *(f"  {_group_words(group)}" for group in intake.groups),
        *(f"  ! {refusal.problem} {refusal.remedy}" for refusal in intake.refused),
        *finding_lines(intake.findings),
        intake.advice.say,
    )


def _group_words(group: PictureGroup) -> str:
    camera = group.camera or "a camera that does not give its name"
    focal = f", {group.focal_mm:g} mm" if group.focal_mm else ""
    return f"{len(group.pictures)} by {camera}{focal}, {group.size[0]} x {group.size[1]} pixels"


def _add(args: argparse.Namespace) -> None:
    from buckwright.flow import take_pictures
    from buckwright.store import JobFile

    pictures = [(path.name, _bytes_of(path)) for path in args.files]
    with JobFile.open(args.job) as file:
        taken, refused = take_pictures(file, pictures)
    if args.json:
        told = [refusal.model_dump(mode="json") for refusal in refused]
        say_json({"taken": list(taken), "refused": told})
        return
    say(
        f"{len(taken)} of {len(pictures)} pictures are in {args.job}.",
        *(f"  ! {refusal.problem} {refusal.remedy}" for refusal in refused),
    )


def _bytes_of(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise FileError(
            f"The picture {path} cannot be read.", "Check that it is there and may be opened."
        ) from error


def _solve(args: argparse.Namespace) -> None:
    from buckwright.files.jobfolder import pictures_in
    from buckwright.files.mats import read_mat, read_traces
    from buckwright.flow import measure_pictures, measure_points, workbench

    pictures = [(path.name, path.read_bytes()) for path in pictures_in(args.folder)]
    if not pictures:
        raise FileError(f"There are no photographs in {args.folder}.", "Name their folder.")
    mat, traces = read_mat(args.mat), read_traces(args.traces)
    asked = {name.strip() for name in args.closed.split(",")}
    with progress_bar(quiet=args.json) as bar:
        bench = workbench(2, bar)
        with bench.executor:
            calibration, lines = measure_pictures(
                pictures,
                mat,
                [trace for trace in traces if trace.on_body],
                asked.__contains__,
                bench=bench,
            )
    points, waiting = measure_points(traces, calibration)
    if args.json:
        told = _content(calibration, lines)
        told["points"] = [_point_content(point) for point in points]
        told["findings"] += [finding.model_dump(mode="json") for finding in waiting]
        say_json(told)
        return
    say(f"{len(calibration.pictures)} pictures, corners to {calibration.residual_px:.3f} px")
    say(*(f"  {line.name:<28} good to {_rms(line):.2f} mm" for line in lines))
    say(*(f"  {_point_words(point)}" for point in points))
    of_points = (*waiting, *(f for point in points for f in point.findings))
    say(*finding_lines((*_findings(calibration, lines), *of_points)))


def _point_words(point: MeasuredPoint) -> str:
    x, y, z = point.point
    round_ = f", radius {point.radius:.2f}" if point.radius else ""
    return f"{point.name:<28} at {x:.2f}, {y:.2f}, {z:.2f}{round_}, good to {point.sigma:.2f} mm"


def _point_content(point: MeasuredPoint) -> dict[str, object]:
    return {
        "name": point.name,
        "kind": point.kind,
        "mm": point.point.tolist(),
        "covariance_mm2": point.covariance.tolist(),
        "sigma_mm": point.sigma,
        "radius_mm": point.radius,
        "axis": None if point.axis is None else point.axis.tolist(),
        "pictures": list(point.pictures),
        "findings": [finding.model_dump(mode="json") for finding in point.findings],
    }


def _rms(line: MeasuredLine) -> float:
    return float((line.sigma**2).mean() ** 0.5)


def _findings(calibration: Calibration, lines: tuple[MeasuredLine, ...]) -> tuple[Finding, ...]:
    return (*calibration.findings, *(f for line in lines for f in line.findings))


def _content(calibration: Calibration, lines: tuple[MeasuredLine, ...]) -> dict[str, Any]:
    """The JSON object of `pictures solve`; docs/json.md has its schema."""
    return {
        "pictures": [
            picture.model_dump(mode="json", exclude={"size", "corners_used"})
            for picture in calibration.pictures
        ],
        "lines": [
            {
                "name": line.name,
                "closed": line.closed,
                "points_mm": line.points.tolist(),
                "sigma_mm": line.sigma.tolist(),
            }
            for line in lines
        ],
        "scale": {"from": calibration.scale, "relative_sigma": calibration.scale_sigma},
        "findings": [finding.model_dump(mode="json") for finding in _findings(calibration, lines)],
    }
