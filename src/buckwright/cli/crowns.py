"""The command `crowns`: how the skin is bent, where it is soft, what can be rolled; sections."""

import argparse
from pathlib import Path
from typing import Any

import numpy as np

from buckwright.cli.report import say, say_json
from buckwright.errors import JobError
from buckwright.files.writing import write_atomically
from buckwright.model.crowns import CROWNS, SkinShape
from buckwright.model.skin import Skin
from buckwright.store import JobFile
from buckwright.units import parse_length

__all__ = ["add_commands"]

AXES = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}


def add_commands(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this module's command to the parser."""
    told = commands.add_parser(
        "crowns", help="how much of the skin has which crown, its soft spots, its sections"
    )
    told.add_argument("job", type=Path, help="a file that ends in .buck")
    told.add_argument(
        "--section",
        metavar="PLANE",
        help="cut the skin: x=1200mm, y=0, z=900, or a point and a normal as "
        "1200,0,900,0.5,0,0.87; points, heights of the comb and radii as CSV to --out",
    )
    told.add_argument("-o", "--out", type=Path, help="a CSV file for the section")
    told.add_argument("--json", action="store_true", help="print one JSON object")
    told.set_defaults(run=_crowns)


def _crowns(args: argparse.Namespace) -> None:
    from buckwright.skin.shape import skin_shape

    with JobFile.open(args.job) as file:
        job, products = file.job(), file.products(("lines", "skin"))
    if products.skin is None or products.lines is None:
        raise JobError(
            "The skin is not worked out yet.", f"Work it out: buckwright solve {args.job}"
        )
    shape = skin_shape(products.skin, products.lines.network, job.crowns)
    if args.section is not None:
        _section(products.skin, shape, args.section, args.out)
        return
    if args.json:
        say_json(_told(shape, products.skin))
        return
    say(*_lines(shape, products.skin))


def _lines(shape: SkinShape, skin: Skin) -> list[str]:
    from buckwright.skin.crowns import crown_words

    lines = []
    for bent in shape.regions:
        if bent.side == "right":
            continue
        whole = float(bent.areas.sum())
        parts = [
            f"{name} {100.0 * area / whole:.0f} %"
            for name, area in zip(CROWNS, bent.areas, strict=True)
            if area > 0.005 * whole
        ]
        lines.append(f"{bent.region}: {whole / 1e6:.2f} m2, {', '.join(parts)}")
    lines += ["", *crown_words(shape.limits), ""]
    spots = [spot for spot in shape.spots if spot.side != "right"]
    lines += [spot.words for spot in spots] or ["No dip is left that no line asks for."]
    lines += [
        f"{region.name}, between {', '.join(field.lines)}: {field.words}"
        for region in skin.regions
        for field in region.rolled
    ]
    return lines


def _told(shape: SkinShape, skin: Skin) -> dict[str, Any]:
    return {
        "regions": [
            {
                "name": bent.region,
                "side": bent.side,
                "areas_mm2": dict(zip(CROWNS, bent.areas.tolist(), strict=True)),
            }
            for bent in shape.regions
        ],
        "soft_spots": [
            {
                "region": spot.region,
                "side": spot.side,
                "kind": spot.kind,
                "depth_mm": spot.depth,
                "point": spot.point[0].tolist(),
                "words": spot.words,
            }
            for spot in shape.spots
        ],
        "rolled": [
            {"region": region.name, **field.model_dump(mode="json", exclude={"rulings"})}
            for region in skin.regions
            for field in region.rolled
        ],
    }


def _section(skin: Skin, shape: SkinShape, text: str, out: Path | None) -> None:
    from buckwright.skin.shape import skin_section

    if out is None:
        raise JobError("A section needs a file to go to.", "Add -o section.csv.")
    origin, normal = _plane(text)
    rows = ["region,side,piece,x_mm,y_mm,z_mm,curvature_per_m,radius_mm"]
    found = skin_section(skin, shape, origin=origin, normal=normal)
    for region, pieces in found:
        for number, piece in enumerate(pieces, start=1):
            for (x, y, z), bend in zip(piece.points, piece.curvature, strict=True):
                radius = f"{1.0 / bend:.0f}" if abs(bend) > 1e-7 else ""
                rows.append(
                    f"{region.name},{region.side},{number},{x:.2f},{y:.2f},{z:.2f},"
                    f"{1000.0 * bend:.4f},{radius}"
                )
    if len(rows) == 1:
        raise JobError(f"The plane {text} does not meet the skin.", "Cut it somewhere else.")
    write_atomically(out, "\n".join(rows) + "\n")
    say(f"{len(rows) - 1} points of {len(found)} regions are in {out}.")


def _plane(text: str) -> tuple[np.ndarray, np.ndarray]:
    """A point of the plane and its unit normal."""
    axis, equals, place = text.partition("=")
    if equals and axis.strip() in AXES:
        normal = np.array(AXES[axis.strip()])
        return parse_length(place) * normal, normal
    try:
        numbers = np.array([float(part) for part in text.split(",")])
    except ValueError:
        numbers = np.zeros(0)
    if len(numbers) != 6 or not np.all(np.isfinite(numbers)) or not np.any(numbers[3:]):
        raise JobError(
            f"'{text}' is no plane.", "Type x=1200mm, or a point and a normal: 1200,0,900,0,0,1."
        )
    return numbers[:3], numbers[3:] / np.linalg.norm(numbers[3:])
