"""Spanning regions: from lines to the skin."""

from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.polyline import polyline_length
from buckwright.model.finding import Finding
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import RegionSpec, Skin, SkinRegion
from buckwright.skin.bounds import refuse_stray_creases
from buckwright.skin.disagreeing import blamed_lines, judged_network
from buckwright.skin.doubt import fighting_lines
from buckwright.skin.finishing import finished_region
from buckwright.skin.frame import LineDoubt, RegionFrame, first_stiffness, line_doubts
from buckwright.skin.layout import lay_out_lines, refuse_overlap
from buckwright.skin.limber import limber_sheet
from buckwright.skin.meeting import line_named
from buckwright.skin.mirroring import mirrored_region
from buckwright.skin.refining import (
    SOLVED,
    FineSheet,
    parts_of_region,
    parts_of_steps,
    refined_sheet,
)
from buckwright.skin.region_lines import gather_lines
from buckwright.skin.sampling import Samples, sample_network
from buckwright.skin.sheet import Sheet, finer_sheet, first_sheet

__all__ = ["span_region", "span_skin"]

Array = NDArray[np.float64]

Progress = Callable[[float], None]

COARSE = 150
"""Samples round a region's boundary that a first, coarse surface needs."""


def span_skin(
    network: LineNetwork,
    regions: tuple[RegionSpec, ...],
    *,
    edge_length: float,
    solved: float = SOLVED,
    progress: Progress = lambda share: None,
) -> Skin:
    """The skin over all regions, each left one followed by its mirror image on the right.

    Regions that share a piece of line share its vertices exactly. `edge_length` is that of the
    triangles, mm; up to `solved` mm the surface is solved on longer ones, which are then divided.
    Raises JobError where a region's lines bound nothing, ValueError for a length that is not
    positive. `progress` is called with the share that is done, and may raise to stop.
    """
    if not (edge_length > 0.0 and solved > 0.0):
        message = "the edge length must be positive"
        raise ValueError(message)
    said, network = network, judged_network(network, regions)
    parts = _parts(network, regions, edge_length, solved)
    spanned: list[SkinRegion] = []
    long = parts * edge_length
    lines = sample_network(network, regions, edge_length=long, step=long)
    known = _Known(network, regions, lines, _shared_arcs(lines, regions), parts, edge_length)
    for place, spec in enumerate(regions):
        first = _first(known, spec)
        progress((place + 0.3) / len(regions))
        sheet, fights = _sheet(known, spec, first)
        blamed = blamed_lines(said, network, spec)
        region = finished_region(sheet, (*fights, *blamed), spec)
        progress((place + 1.0) / len(regions))
        spanned.append(region)
        if spec.side == "left":
            spanned.append(mirrored_region(region))
    return Skin(regions=tuple(spanned))


@dataclass(frozen=True, eq=False, slots=True)
class _Known:
    """What all regions are spanned from; `lines` are sampled in steps of `parts` edge lengths."""

    network: LineNetwork
    regions: tuple[RegionSpec, ...]
    lines: Samples
    shared: frozenset[tuple[str, int]]
    parts: int
    edge_length: float

    def doubts(self) -> dict[str, LineDoubt]:
        """Of every line."""
        return line_doubts(self.network)


def _parts(
    network: LineNetwork, regions: tuple[RegionSpec, ...], edge_length: float, solved: float
) -> int:
    if 2.0 * edge_length > solved:
        return 1
    names = {name for region in regions for name in region.boundary}
    length = {name: polyline_length(line_named(network, name).points(200)) for name in names}
    around = [sum(length[name] for name in region.boundary) for region in regions]
    return parts_of_steps(edge_length, min(around), solved)


def span_region(
    network: LineNetwork, spec: RegionSpec, *, edge_length: float, solved: float = SOLVED
) -> SkinRegion:
    """One region by itself, as `span_skin` would span it if there were no other."""
    return span_skin(network, (spec,), edge_length=edge_length, solved=solved).regions[0]


def _first(known: _Known, spec: RegionSpec) -> Sheet:
    """A coarse surface of one region: laid out, and spanned twice."""
    refuse_stray_creases(spec)
    whole, _ = gather_lines(known.lines, spec)
    around = polyline_length(known.lines.points[whole.loop(known.lines)], closed=True)
    long = known.parts * known.edge_length
    step = float(np.clip(around / COARSE, long, 8.0 * long))
    coarse = sample_network(known.network, known.regions, edge_length=long, step=step)
    lines, fields = gather_lines(coarse, spec)
    frame = RegionFrame(coarse, lines, known.shared, known.doubts(), spec.creases)
    numbers, layout = lay_out_lines(coarse.points, fields)
    places = layout[np.searchsorted(numbers, frame.used)]
    refuse_overlap(spec.name, places[frame.loop])
    with _told(spec, long):
        sheet = first_sheet(frame, places, first_stiffness(known.doubts(), long), step)
        refuse_overlap(spec.name, sheet.chart[frame.loop])
        return limber_sheet(finer_sheet(sheet, frame, step, solves=2), step)


def _sheet(known: _Known, spec: RegionSpec, first: Sheet) -> tuple[FineSheet, tuple[Finding, ...]]:
    """The surface of one region, solved finely and divided, and the lines that fight in it."""
    fights = fighting_lines(first)
    parts = parts_of_region(first, known.edge_length, known.parts)
    samples = known.lines.divided(known.parts // parts)
    lines = first.frame.lines
    fine = RegionFrame(samples, lines, known.shared, known.doubts(), spec.creases)
    with _told(spec, parts * known.edge_length):
        sheet = finer_sheet(first, fine, parts * known.edge_length, solves=2)
        return refined_sheet(sheet, parts), fights


@contextmanager
def _told(spec: RegionSpec, edge: float) -> Iterator[None]:
    """Lines that cannot be joined by triangles, in words."""
    try:
        yield
    except ValueError as error:
        raise JobError(
            f"The lines of '{spec.name}' cannot be joined by triangles of {edge:g} mm ({error}).",
            "Look for lines that nearly touch, or take a smaller edge length.",
        ) from error


def _shared_arcs(samples: Samples, regions: tuple[RegionSpec, ...]) -> frozenset[tuple[str, int]]:
    """Arcs (line, number) that belong to more than one region."""
    owners: Counter[tuple[str, int]] = Counter()
    for spec in regions:
        lines, _ = gather_lines(samples, spec)
        owners.update({(run.line, k) for run in lines.runs() for k in run.numbers})
    return frozenset(arc for arc, count in owners.items() if count > 1)
