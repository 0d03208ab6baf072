"""Commands that need no job: print a mat, and measure lines from pictures."""

import argparse
from pathlib import Path

from buckwright.cli.report import finding_lines, progress_bar, say, say_json
from buckwright.errors import FileError
from buckwright.model.finding import Finding
from buckwright.model.pictures import Calibration, Mat, MeasuredLine

__all__ = ["add_commands"]


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's commands to the parser."""
    mat = commands.add_parser("mat", help="print the mat that a model stands on (A2)")
    mat.add_argument("pdf", type=Path, help="the PDF to write")
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


_A2_MAT = Mat(squares=(19, 13), square_mm=30.0, marker_mm=22.0, dictionary="DICT_5X5_250")


def _mat(args: argparse.Namespace) -> None:
    from buckwright.files.matsheet import write_mat_pdf

    write_mat_pdf(_A2_MAT, args.pdf)
    if args.json:
        say_json({"pdf": str(args.pdf), "mat": _A2_MAT.model_dump(mode="json")})
        return
    say(
        f"{args.pdf} is an A2 sheet. Print it at 100 %, glue it to something flat and stiff,",
        "and measure the bar between its two crosses with calipers: type that length in.",
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
