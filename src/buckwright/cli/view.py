"""The command `view`: single pictures and drawings squared, traced, joined; hulls of outlines."""

import argparse
from pathlib import Path

import numpy as np

from buckwright.cli.report import finding_lines, say, say_json
from buckwright.cli.viewed import (
    corner_places,
    knowns_of,
    length_of,
    masks_in,
    pieces_of,
    places,
    trace_of,
)
from buckwright.errors import FileError
from buckwright.files.view_tables import space_lines_csv, view_curves_csv
from buckwright.files.writing import write_atomically
from buckwright.model.views import VIEW_AXES, Hull, JoinedViews, SquaredView, ViewCurve, ViewSpec
from buckwright.store import JobFile
from buckwright.units import parse_length

__all__ = ["add_commands"]

SHOWN = 12


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's command to the parser."""
    told = commands.add_parser(
        "view", help="single pictures and drawings without a mat: square, trace, join; the hull"
    )
    inner = told.add_subparsers(dest="what", required=True, metavar="WHAT")
    _add_parser(inner)
    _trace_parser(inner)
    show = inner.add_parser("show", help="what a view tells; the squared picture with its lines")
    show.add_argument("job", type=Path, help="a file that ends in .buck")
    show.add_argument("name", nargs="?", help="of the view; without it all are listed")
    show.add_argument(
        "-o", "--png", type=Path, help="a PNG to write: squared, with lines and bands"
    )
    show.add_argument("--csv", type=Path, help="a CSV to write: the curves, point by point")
    show.set_defaults(run=_show)
    join = inner.add_parser("join", help="all views in one frame, and where they still disagree")
    join.add_argument("job", type=Path, help="a file that ends in .buck")
    join.add_argument("-o", "--csv", type=Path, help="a CSV to write: the lines in space")
    join.add_argument("--keep", action="store_true", help="make the lines the job's own")
    join.set_defaults(run=_join)
    hull = inner.add_parser("hull", help="what all outlines leave, and lines that leave it")
    hull.add_argument("job", type=Path, help="a file that ends in .buck")
    hull.add_argument("--cell", default="0 mm", help="on the model; default: an 80th of its size")
    hull.add_argument("--masks", type=Path, help="a folder of masks, named as the pictures, PNG")
    hull.add_argument("-o", "--stl", type=Path, help="an STL to write, mm of the mat")
    hull.set_defaults(run=_hull)
    drop = inner.add_parser("drop", help="take a view out, with its traces")
    drop.add_argument("job", type=Path, help="a file that ends in .buck")
    drop.add_argument("name")
    drop.set_defaults(run=_drop)
    for one in inner.choices.values():
        one.add_argument("--json", action="store_true", help="print one JSON object")


def _add_parser(inner: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    add = inner.add_parser("add", help="take in a picture of one side, or a drawing in pieces")
    add.add_argument("job", type=Path, help="a file that ends in .buck")
    add.add_argument("name", help="of the view: side, plan")
    add.add_argument("files", type=Path, nargs="+", help="the picture, or the pieces of a drawing")
    add.add_argument("--seen-from", choices=list(VIEW_AXES), required=True)
    add.add_argument("--drawing", action="store_true", help="it is flat, and has no parallax")
    add.add_argument("--corners", help="U,V of four corners from the lower left, spaces between")
    add.add_argument(
        "--rectangle", help="WIDTHxHEIGHT of the corners; without: by their perspective"
    )
    add.add_argument("--places", help="RIGHT,UP of the corners, mm, instead of a rectangle")
    add.add_argument("--pieces", type=Path, help="PIECES.json: corners, places, marks of each file")
    add.add_argument("--length", nargs=3, metavar=("U,V", "U,V", "LENGTH"), help="a known length")
    add.add_argument("--wheels", nargs=2, metavar="U,V", help="front and rear wheel centre")
    add.add_argument("--wheelbase", help="between them")
    add.add_argument("--wheel-height", default="0 mm", help="of their centres")
    add.add_argument(
        "--known",
        action="append",
        metavar="'U,V RIGHT UP'",
        default=[],
        help="a place and its vehicle coordinates; '-' for one that is not known",
    )
    add.add_argument("--plane", default="0 mm", help="vehicle coordinate of the plane of scale")
    add.add_argument("--distance", default="0 mm", help="from the camera to that plane, full size")
    add.set_defaults(run=_add)


def _trace_parser(inner: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    trace = inner.add_parser("trace", help="follow a line in a view")
    trace.add_argument("job", type=Path, help="a file that ends in .buck")
    trace.add_argument("name", help="of the view")
    trace.add_argument("line")
    trace.add_argument("px", nargs="*", help="U,V along it; or --file")
    trace.add_argument("--file", type=Path, help="a CSV of u,v")
    trace.add_argument("--picture", help="of a drawing in pieces")
    trace.add_argument("--between", metavar="AT..AT", help="where it lies along the sight")
    trace.add_argument("--outline", action="store_true", help="seen against the background")
    trace.add_argument(
        "--crown", default="0 mm", help="radius of the crown that an outline goes over"
    )
    trace.add_argument("--closed", action="store_true")
    trace.set_defaults(run=_trace)


def _add(args: argparse.Namespace) -> None:
    from buckwright.flow.views import keep_view, take_view_picture

    with JobFile.open(args.job) as file:
        pictures = [take_view_picture(file, path.name, _bytes_of(path)) for path in args.files]
        if args.pieces is not None:
            pictures = pieces_of(args.pieces, pictures)
        elif args.corners is not None:
            corners = places(args.corners)
            at = corner_places(args.rectangle, args.places, len(corners))
            pictures[0] = pictures[0].model_copy(update={"corners": corners, "corners_at": at})
        first = pictures[0].source.name
        view = ViewSpec.model_validate(
            {
                "name": args.name,
                "seen_from": args.seen_from,
                "pictures": tuple(pictures),
                "drawing": args.drawing,
                "length": None if args.length is None else length_of(first, *args.length),
                "known": knowns_of(first, args),
                "plane": parse_length(args.plane),
                "distance": parse_length(args.distance),
            }
        )
        keep_view(file, view)
    _told(args, view)


def _bytes_of(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise FileError(
            f"The picture {path} cannot be read.", "Check that it is there and may be opened."
        ) from error


def _told(args: argparse.Namespace, view: ViewSpec) -> None:
    from buckwright.views import square_view, view_curves

    squared = square_view(view)
    curves = view_curves(view, squared)
    if args.json:
        say_json(_content(squared, curves))
        return
    say(*_view_lines(squared, curves, drawing=view.drawing), *_mark_lines(view))


def _content(squared: SquaredView, curves: tuple[ViewCurve, ...]) -> dict[str, object]:
    return {
        "view": squared.model_dump(mode="json"),
        "curves": [curve.model_dump(mode="json") for curve in curves],
    }


def _view_lines(squared: SquaredView, curves: tuple[ViewCurve, ...], *, drawing: bool) -> list[str]:
    stood = (
        f", camera {squared.distance / 1000.0:.2f} m before the plane" if squared.distance else ""
    )
    left = f", {squared.residual:.1f} mm left over" if squared.worst else ""
    what = "a drawing" if drawing else f"seen from {squared.seen_from}"
    lines = [f"{squared.name}: {what}, {squared.mm_per_px:.2f} mm to a pixel{stood}{left}"]
    for curve in curves:
        sigma = float(np.sqrt(np.mean(curve.sigma**2)))
        lines.append(
            f"  {curve.line:<24} shown up to {curve.parallax.max():.1f} mm wrong by parallax; band "
            f"{curve.band.max():.1f} mm at most; good to {sigma:.1f} mm besides"
        )
    findings = (*squared.findings, *(f for curve in curves for f in curve.findings))
    return lines + finding_lines(findings)


def _mark_lines(view: ViewSpec) -> list[str]:
    """What the pieces of a drawing say of the marks that they share."""
    from buckwright.views import join_sheet

    if len(view.pictures) < 2:
        return []
    sheet = join_sheet(view)
    lines = ["Shared marks, the most suspicious first:"]
    for place in sheet.places[:SHOWN]:
        rest = "" if place.rest is None else f"; without it the rest agree to {place.rest:.2f} mm"
        lines.append(f"  {place.name:<16} pieces disagree by {place.off.max():.2f} mm{rest}")
    return lines + finding_lines(sheet.findings)


def _trace(args: argparse.Namespace) -> None:
    from buckwright.flow.views import view_named, with_trace

    with JobFile.open(args.job) as file:
        job = file.job()
        trace = trace_of(view_named(job, args.name), args)
        changed = with_trace(job, args.name, trace)
        file.change(f"'{args.line}' traced in view '{args.name}'", changed)
    _told(args, view_named(changed, args.name))


def _show(args: argparse.Namespace) -> None:
    from buckwright.flow.views import shown_view, view_named

    with JobFile.open(args.job) as file:
        job = file.job()
        if args.name is None:
            if args.json:
                say_json({"views": [view.model_dump(mode="json") for view in job.views]})
            else:
                say(*([_listed(view) for view in job.views] or ["The job has no views."]))
            return
        view = view_named(job, args.name)
        if args.png is not None:
            write_atomically(args.png, shown_view(view, file.picture_bytes)[0])
    if args.csv is not None:
        from buckwright.views import square_view, view_curves

        curves = view_curves(view, square_view(view))
        write_atomically(args.csv, view_curves_csv(curves, view.seen_from))
    _told(args, view)


def _listed(view: ViewSpec) -> str:
    pictures = ", ".join(picture.source.name for picture in view.pictures)
    return f"{view.name}: seen from {view.seen_from}, {pictures}, {len(view.traces)} lines traced"


def _join(args: argparse.Namespace) -> None:
    from buckwright.flow.views import join_job, keep_joined

    with JobFile.open(args.job) as file:
        joined = keep_joined(file)[0] if args.keep else join_job(file.job())
    if args.csv is not None:
        write_atomically(args.csv, space_lines_csv(joined.lines))
    if args.json:
        say_json(joined.model_dump(mode="json"))
        return
    say(*_joined_lines(joined))
    if args.keep:
        say(f"The lines are the job's own; the rest follows with: buckwright solve {args.job}")


def _joined_lines(joined: JoinedViews) -> list[str]:
    lines = [f"{len(joined.shifts)} views joined; {joined.rms:.1f} mm rms is left between them."]
    for one in joined.shifts:
        right, up = one.shift
        lines.append(
            f"  {one.view:<12} scale {100.0 * (one.scale - 1.0):+.2f} %, turned "
            f"{np.degrees(one.turn):+.2f} degrees, shifted {right:+.1f}, {up:+.1f} mm"
        )
    lines.append("What two views say of one place, worst first:")
    for row in joined.apart[:SHOWN]:
        lines.append(
            f"  {row.line:<24} {row.end} {row.axis}, {row.views[0]} and {row.views[1]}: "
            f"{abs(row.after):.1f} mm apart, {abs(row.before):.1f} before"
        )
    for line in joined.lines:
        sigma = float(np.sqrt(np.mean(line.sigma**2)))
        lines.append(f"  {line.name:<24} in space by {' and '.join(line.views)}, to {sigma:.1f} mm")
    findings = (*joined.findings, *(f for line in joined.lines for f in line.findings))
    return lines + finding_lines(findings)


def _hull(args: argparse.Namespace) -> None:
    from buckwright.flow.views import hull_of_job

    with JobFile.open(args.job) as file:
        job, products = file.job(), file.products(("pictures",))
    solved = products.calibration
    masks = () if args.masks is None or solved is None else masks_in(args.masks, solved)
    hull = hull_of_job(
        job.traces, solved, products.measured, cell=parse_length(args.cell), masks=masks
    )
    if args.stl is not None:
        from buckwright.files.scene import solid_bytes

        write_atomically(args.stl, solid_bytes(hull.vertices, hull.triangles, "stl"))
    if args.json:
        say_json(hull.model_dump(mode="json"))
        return
    say(*_hull_lines(hull))


def _hull_lines(hull: Hull) -> list[str]:
    lines = [
        f"{len(hull.pictures)} outlines leave {hull.volume / 1000.0:.0f} cm3, in cells of "
        f"{hull.cell:.1f} mm. The body lies inside; it is no surface to build from."
    ]
    for one in hull.outside:
        x, y, z = one.point
        lines.append(
            f"  ! '{one.line}' is {one.amount:.1f} mm outside at {x:.0f}, {y:.0f}, {z:.0f} on the "
            f"mat, by the outline in {one.picture}, {100.0 * one.share:.0f} % of it. "
            "Look at its traces there."
        )
    if not hull.outside:
        lines.append("No line leaves it.")
    return lines + finding_lines(hull.findings)


def _drop(args: argparse.Namespace) -> None:
    from buckwright.flow.views import without_view

    with JobFile.open(args.job) as file:
        file.change(f"view '{args.name}' taken out", without_view(file.job(), args.name))
    if args.json:
        say_json({"dropped": args.name})
    else:
        say(f"The view '{args.name}' is taken out; undo brings it back.")
