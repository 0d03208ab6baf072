"""A coarse skin in a moment, while the fine one is still being worked out."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.polyline import polyline_length
from buckwright.model.lines import Line, LineNetwork
from buckwright.model.skin import RegionSpec, SkinRegion
from buckwright.skin.bounds import refuse_stray_creases
from buckwright.skin.disagreeing import judged_network
from buckwright.skin.finishing import finished_region
from buckwright.skin.frame import RegionFrame, first_stiffness, line_doubts
from buckwright.skin.layout import lay_out_lines, refuse_overlap
from buckwright.skin.limber import limber_sheet
from buckwright.skin.meeting import line_named
from buckwright.skin.mirroring import mirrored_region
from buckwright.skin.refining import refined_sheet
from buckwright.skin.region_lines import gather_lines
from buckwright.skin.sampling import sample_network
from buckwright.skin.sheet import Sheet, finer_sheet, first_sheet

__all__ = ["Draft", "draft_region", "touched_regions"]

Array = NDArray[np.float64]

LONGEST, SHORTEST, ROUND = 75.0, 25.0, 50
"""mm, between which the edges of a draft lie; and how many there are round a small region."""
SAME = 0.01
"""mm by which a line may be otherwise and still not have moved: fairing it again rounds."""
PARTS = 3
"""Into which each edge is divided, so that the draft looks smooth."""


@dataclass(frozen=True, eq=False, slots=True)
class Draft:
    """A region as a draft has it, and the sheet that the next draft of it may start from."""

    region: SkinRegion
    sheet: Sheet

    def both_sides(self) -> tuple[SkinRegion, ...]:
        """The region, and its mirror image where it is one of the left."""
        if self.region.side != "left":
            return (self.region,)
        return (self.region, mirrored_region(self.region))


def touched_regions(
    before: tuple[LineNetwork, tuple[RegionSpec, ...]],
    after: tuple[LineNetwork, tuple[RegionSpec, ...]],
) -> tuple[str, ...]:
    """Names of the regions that are otherwise, or one of whose lines is."""
    old = {line.name: line for line in before[0].lines}
    moved = {line.name for line in after[0].lines if not _stays(old.get(line.name), line)}
    specs = {spec.name: spec.model_dump_json() for spec in before[1]}
    return tuple(
        spec.name
        for spec in after[1]
        if specs.get(spec.name) != spec.model_dump_json()
        or moved & {*spec.boundary, *spec.inner, *spec.holes}
    )


def _stays(before: Line | None, line: Line) -> bool:
    if before is None or before.knots.shape != line.knots.shape:
        return False
    same = np.allclose(before.knots, line.knots, rtol=0.0, atol=1e-9)
    return same and np.allclose(before.control, line.control, rtol=0.0, atol=SAME)


def draft_region(
    network: LineNetwork,
    regions: tuple[RegionSpec, ...],
    name: str,
    known: Sheet | None = None,
) -> Draft:
    """One region solved on few long edges; `known` is its sheet before, from which it is quicker.

    Not what the shop builds from: beside a line the fine skin lies a millimetre or two off it at
    most, and no doubts are looked for. Raises JobError where the region's lines bound nothing.
    """
    (spec,) = (spec for spec in regions if spec.name == name)
    refuse_stray_creases(spec)
    network = judged_network(network, (spec,))
    around = sum(
        polyline_length(line_named(network, line).points(200)) for line in set(spec.boundary)
    )
    step = float(np.clip(around / ROUND, SHORTEST, LONGEST))
    samples = sample_network(network, (spec,), edge_length=step, step=step)
    lines, fields = gather_lines(samples, spec)
    others = {line for other in regions if other.name != name for line in other.boundary}
    shared = frozenset(
        (line, k) for line in others & samples.arcs.keys() for k in range(len(samples.arcs[line]))
    )
    doubts = line_doubts(network)
    frame = RegionFrame(samples, lines, shared, doubts, spec.creases)
    try:
        if known is not None and known.frame.lines.runs() == lines.runs():
            sheet = finer_sheet(known, frame, step, solves=1)
        else:
            numbers, layout = lay_out_lines(samples.points, fields)
            places = layout[np.searchsorted(numbers, frame.used)]
            refuse_overlap(spec.name, places[frame.loop])
            first = limber_sheet(
                first_sheet(frame, places, first_stiffness(doubts, step), step), step
            )
            sheet = finer_sheet(first, frame, step, solves=1)
        return Draft(finished_region(refined_sheet(sheet, PARTS), (), spec), sheet)
    except ValueError as error:
        raise JobError(
            f"The lines of '{spec.name}' cannot be joined by triangles of {step:g} mm ({error}).",
            "Look for lines that nearly touch.",
        ) from error
