"""Forty blanks on 4 x 8 ft sheets, and open benchmark strips: ours beside spyrrow."""

import json
from collections.abc import Callable, Sequence
from pathlib import Path
from time import perf_counter, process_time

import numpy as np
import shapely
from numpy.typing import NDArray
from spyrrow import Item, StripPackingConfig, StripPackingInstance

from buckwright.geometry.nesting import nest_pieces, plates_used
from buckwright.geometry.nesting_pieces import Nested, Piece, Plate, clearance
from buckwright.geometry.nesting_press import press_pieces, press_strip

Array = NDArray[np.float64]

DATA = Path(__file__).parents[1] / "tests" / "data"
QUARTERS = tuple(0.5 * np.pi * k for k in range(4))
SECONDS = 10


def main() -> None:
    forty()
    strips()


def forty() -> None:
    data = json.loads((DATA / "forty_blanks.json").read_text())
    size, gap, margin = tuple(data["sheet"]), data["gap"], data["margin"]
    pieces = [Piece(np.array(outline), QUARTERS) for outline in data["blanks"]]
    plates = [Plate(size)]
    area = sum(shapely.Polygon(piece.outline).area for piece in pieces)
    print(f"{len(pieces)} blanks, gap {gap:g}, margin {margin:g} mm, four turns.")
    print(f"By area alone: {area / (size[0] * size[1]):.2f} sheets of {size[0]:g} x {size[1]:g}.")
    print(
        "{:<44}{:>9}{:>9}{:>9}{:>10}{:>9}".format(
            "", "sheets", "wall s", "CPU s", "least gap", "overlap"
        )
    )
    keep = {"gap": gap, "margin": margin}
    runs: list[tuple[str, Callable[[], tuple[float, Sequence[Sequence[Array]]]]]] = [
        ("spyrrow sheet by sheet, 74 %, 7 s tries", lambda: peer(pieces, size, gap, margin, 0.74)),
        ("spyrrow sheet by sheet, 84 %, 7 s tries", lambda: peer(pieces, size, gap, margin, 0.84)),
        ("ours, on the grid", lambda: laid(nest_pieces(pieces, plates, **keep), pieces, plates)),
        ("ours, pressed", lambda: laid(press_pieces(pieces, plates, **keep), pieces, plates)),
    ]
    for name, run in runs:
        (used, sheets), wall, cpu = timed(run)
        kept = [apart(sheet, size) for sheet in sheets]
        print(
            f"{name:<44}{used:>9.3f}{wall:>9.1f}{cpu:>9.1f}{min(k[0] for k in kept):>10.2f}"
            f"{max(k[1] for k in kept):>9.1f}"
        )


def laid(
    nested: Nested, pieces: Sequence[Piece], plates: Sequence[Plate]
) -> tuple[float, list[list[Array]]]:
    if nested.left_over:
        raise AssertionError(nested.left_over)
    sheets = [[placed.outline(pieces) for placed in fill.placed] for fill in nested.fills]
    return plates_used(nested, pieces, plates), sheets


def apart(outlines: Sequence[Array], size: tuple[float, float]) -> tuple[float, float]:
    """Least gap and area lying double, by shapely; nothing hangs over the edge."""
    shapes = np.array([shapely.Polygon(outline) for outline in outlines])
    if not shapely.box(0.0, 0.0, *size).contains(shapely.union_all(shapes)):
        raise AssertionError("over the edge")
    first, second = np.triu_indices(len(shapes), k=1)
    if not len(first):
        return np.inf, 0.0
    double = shapely.area(shapely.intersection(shapes[first], shapes[second])).sum()
    return float(shapely.distance(shapes[first], shapes[second]).min()), float(double)


def peer(
    pieces: Sequence[Piece], size: tuple[float, float], gap: float, margin: float, share: float
) -> tuple[float, list[list[Array]]]:
    """Large pieces first up to a share of the sheet; 2 % less whenever they do not fit."""
    areas = [shapely.Polygon(piece.outline).area for piece in pieces]
    waiting, sheets, used = list(range(len(pieces))), [], 0.0
    while waiting:
        room = share * size[0] * size[1]
        while True:
            chosen, total = [], 0.0
            for piece in sorted(waiting, key=lambda i: -areas[i]):
                if total + areas[piece] <= room:
                    chosen.append(piece)
                    total += areas[piece]
            length, outlines = pack([pieces[i] for i in chosen], size[1], gap, margin, 7)
            if length <= size[0]:
                break
            room = total - 0.02 * size[0] * size[1]
        sheets.append(outlines)
        used = len(sheets) - 1 + (length - margin) / size[0]
        waiting = [piece for piece in waiting if piece not in chosen]
    return used, sheets


def pack(
    pieces: Sequence[Piece], width: float, gap: float, margin: float, seconds: int, seed: int = 0
) -> tuple[float, list[Array]]:
    """The packer alone, as it comes: all its threads, its own split of the time."""
    items = [
        Item(
            str(n),
            [(float(x), float(y)) for x, y in piece.outline],
            1,
            [float(a) for a in np.degrees(piece.turns)],
        )
        for n, piece in enumerate(pieces)
    ]
    config = StripPackingConfig(
        total_computation_time=seconds,
        min_items_separation=gap or None,
        num_workers=2,
        seed=seed,
    )
    off = margin - gap
    strip = StripPackingInstance("peer", width - 2.0 * off, items).solve(config)
    outlines = []
    for item in strip.placed_items:
        angle = np.radians(item.rotation)
        turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
        outlines.append(pieces[int(item.id)].outline @ turn + item.translation + off)
    return strip.width + 2.0 * off, outlines


def strips() -> None:
    data = json.loads((DATA / "strips.json").read_text())
    print(f"\nStrips, {SECONDS} s each on two cores (density: more is better).")
    print(
        "{:<12}{:>7}{:>10}{:>14}{:>10}{:>10}  {}".format(
            "", "seed", "spyrrow", "ours", "/spyrrow", "record", "source"
        )
    )
    for name, strip in data.items():
        pieces = [
            Piece(np.array(one["outline"], dtype=float), tuple(np.radians(strip["turns_deg"])))
            for one in strip["pieces"]
            for _ in range(one["count"])
        ]
        area = sum(shapely.Polygon(piece.outline).area for piece in pieces)
        for seed in (0, 1):
            length, _ = pack(pieces, strip["height"], 0.0, 0.0, SECONDS, seed)
            own = press_strip(
                pieces, strip["height"], gap=0.0, margin=0.0, seconds=SECONDS, seed=2 * seed
            )
            size = (own.length + 1e-3, strip["height"] + 1e-3)
            double = clearance(own.placed, pieces, size).overlap
            theirs, ours = (area / (reach * strip["height"]) for reach in (length, own.length))
            print(
                f"{name:<12}{seed:>7}{theirs:>10.4f}{ours:>14.4f}{ours / theirs:>10.4f}"
                f"{strip['record_density']:>10.4f}  {strip['source']}; overlap {double:.2g}"
            )


def timed(
    run: Callable[[], tuple[float, Sequence[Sequence[Array]]]],
) -> tuple[tuple[float, Sequence[Sequence[Array]]], float, float]:
    wall, cpu = perf_counter(), process_time()
    answer = run()
    return answer, perf_counter() - wall, process_time() - cpu
