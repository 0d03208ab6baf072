"""Commands that need no job: print a mat, and measure lines from pictures."""

import argparse
from pathlib import Path

from buckwright.cli.report import finding_lines, progress_bar, say, say_json
from buckwright.errors import FileError, JobError
from buckwright.model.finding import Finding
from buckwright.model.mats import MAT_KINDS, printed_mat
from buckwright.model.pictures import Calibration, MeasuredLine

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


def _solve(args: argparse.Namespace) -> None:
    from buckwright.files.jobfolder import pictures_in
    from buckwright.files.mats import read_mat, read_traces
    from buckwright.flow import measure_pictures, workbench

    pictures = [(path.name, path.read_bytes()) for path in pictures_in(args.folder)]
    if not pictures:
        raise FileError(f"There are no photographs in {args.folder}.", "Name their folder.")
    mat, traces = read_mat(args.mat), read_traces(args.traces)
    asked = {name.strip() for name in args.closed.split(",")}
    with progress_bar(quiet=args.json) as bar:
        bench = workbench(2, bar)
        with bench.executor:
            calibration, lines = measure_pictures(
                pictures, mat, traces, asked.__contains__, bench=bench
            )
    if args.json:
        say_json(_content(calibration, lines))
        return
    say(f"{len(calibration.pictures)} pictures, corners to {calibration.residual_px:.3f} px")
    say(*(f"  {line.name:<28} good to {_rms(line):.2f} mm" for line in lines))
    say(*finding_lines(_findings(calibration, lines)))


def _rms(line: MeasuredLine) -> float:
    return float((line.sigma**2).mean() ** 0.5)


def _findings(calibration: Calibration, lines: tuple[MeasuredLine, ...]) -> tuple[Finding, ...]:
    return (*calibration.findings, *(f for line in lines for f in line.findings))


def _content(calibration: Calibration, lines: tuple[MeasuredLine, ...]) -> dict[str, object]:
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
