"""How a scan in axes of its own is brought into those of the vehicle."""

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.checking import check_survey
from buckwright.errors import JobError
from buckwright.model.checking import Survey
from buckwright.model.finding import Finding
from buckwright.model.job import Products
from buckwright.model.scans import ScanAxes, ScanSource
from buckwright.skin.scan_axes import axes_from_pairs, told_pair

__all__ = ["Place", "axes_findings", "placed_by"]

Array = NDArray[np.float64]
Place = Callable[[ScanSource, Array], ScanAxes]
"""From a scan and its points (n, 3), mm in its own axes."""

SIGMAS = (0.01, 50.0)
MOST_POINTS = 3000
SAME = 2.0
"""mm of tolerance of the seating: it tells spots, which do not count here."""


def placed_by(pairs: Sequence[str], on: str, products: Products, *, sigma: float) -> Place | None:
    """By points named in both frames (see `told_pair`), or seated on the region `on`, or neither.

    `sigma`: mm, how sure a named point or a point of the scan is. Raises JobError for both.
    """
    if not SIGMAS[0] <= sigma <= SIGMAS[1]:
        raise JobError(f"A point cannot be sure to {sigma:g} mm.", "Give 0.01 mm to 50 mm.")
    if pairs and on:
        raise JobError("A scan is placed by its points or on a region, not both.", "Leave one out.")
    if pairs:
        return _by_points(pairs, products, sigma)
    return _on_region(on, products, sigma) if on else None


def _by_points(pairs: Sequence[str], products: Products, sigma: float) -> Place:
    marked = () if products.lines is None else products.lines.placement.points
    known = {one.name: (float(one.point[0]), float(one.point[1]), float(one.point[2]))
             for one in marked}  # fmt: skip
    told = [told_pair(text, known) for text in pairs]
    return lambda scan, _: axes_from_pairs(scan.name, told, unit=scan.unit, sigma=sigma)


def _on_region(on: str, products: Products, sigma: float) -> Place:
    skin = products.skin
    if skin is None:
        raise JobError("There is no skin to seat a scan on.", "Work the skin out first.")

    def seated(scan: ScanSource, points: Array) -> ScanAxes:
        sides = {region.side for region in skin.regions if region.name == on}
        some = np.unique(np.linspace(0, len(points) - 1, MOST_POINTS).astype(np.int64))
        survey = Survey(
            name=scan.name,
            region=on,
            points=points[some],
            sigma=sigma,
            side="whole" if "whole" in sides else "left",
        )
        found = check_survey(survey, skin, tolerance=max(SAME, 3.0 * sigma))
        unsure = next((f for f in found.findings if f.code == "seated-two-ways"), None)
        if unsure is not None:
            raise JobError(
                f"The scan '{scan.name}' fits on '{on}' in more than one way.",
                "Bring it in by three named points instead.",
            )
        return ScanAxes(
            rotation=found.rotation,
            translation=found.translation,
            by="region",
            names=(on,),
            off=np.array([found.rms]),
        )

    return seated


def axes_findings(scan: ScanSource) -> tuple[Finding, ...]:
    """How well the points, or the region, agree with the way the scan was brought in."""
    axes = scan.axes
    if axes is None:
        return ()
    if axes.by == "region":
        words = f"was seated on '{axes.names[0]}', {axes.off[0]:.2f} mm rms off it"
        return (_note(scan, "scan-seated", words, "Look whether it lies right.", doubt=False),)
    kept = [(one, off) for one, off in zip(axes.names, axes.off, strict=True)
            if one not in axes.left_out]  # fmt: skip
    worst = max(kept, key=lambda pair: pair[1])
    words = f"was brought in by {len(kept)} points; '{worst[0]}' is off most, by {worst[1]:.2f} mm"
    found = [_note(scan, "scan-placed", words, "Look whether it lies right.", doubt=False)]
    for one, off in zip(axes.names, axes.off, strict=True):
        if one in axes.left_out:
            words = f"has a point '{one}' that is {off:.1f} mm off the others, and was left out"
            found.append(_note(scan, "outlier", words, "Measure that point again.", doubt=True))
    return tuple(found)


def _note(scan: ScanSource, code: str, words: str, remedy: str, *, doubt: bool) -> Finding:
    return Finding(
        code=code,
        where=scan.name,
        message=f"The scan '{scan.name}' {words}.",
        remedy=remedy,
        kind="doubt" if doubt else "note",
    )
