"""People, seats, steering, wheels and engine in the drafting views, as thin outlines."""

import numpy as np
from numpy.typing import NDArray

from buckwright.model.drawings import Ink, Stroke
from buckwright.model.package import Package, PackageShape

__all__ = ["package_notes", "package_strokes"]

Array = NDArray[np.float64]


def package_strokes(
    package: Package | None, across: int, up: int, sense: float
) -> tuple[Stroke, ...]:
    """Outlines in the view whose paper runs along the vehicle axes `across` (times `sense`), `up`.

    What a wheel sweeps is drawn with the pen of centre lines. None gives nothing.
    """
    if package is None:
        return ()
    return tuple(_stroke(shape, across, up, sense) for shape in package.shapes)


def _stroke(shape: PackageShape, across: int, up: int, sense: float) -> Stroke:
    views: dict[tuple[int, int], Array] = {
        (0, 2): shape.side,
        (0, 1): shape.plan,
        (1, 2): shape.rear,
    }
    ink: Ink = "centre" if shape.kind == "swept" else "thin"
    flat = views[across, up] * np.array([sense, 1.0])
    return Stroke(ink=ink, points=flat, closed=True, name=shape.name)


def package_notes(package: Package | None) -> tuple[str, ...]:
    """What the thin outlines are, the room that is lacking, and what none of it shows."""
    if package is None:
        return ()
    short = [
        f"{c.name}: {c.value:.0f} mm {c.words}, {c.wanted:.0f} mm wanted"
        for c in package.clearances
        if c.value < c.wanted
    ]
    lacking = (f"Room is lacking: {'; '.join(short)}.",) if short else ()
    return (
        "Thin: people of the job's sizes, seats, steering, pedals, wheels and engine as plain "
        "bodies; chain lines: all that a wheel sweeps on its lock and springs.",
        *lacking,
        *package.cautions,
    )
