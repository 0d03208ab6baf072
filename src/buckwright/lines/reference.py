"""The whole step: from measured lines to the network that everything later is built on.

Laying the lines takes seconds, pulling them does not: so the two halves may be had one by one.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from buckwright.lines.departing import depart, moved_along, rearward_shift
from buckwright.lines.laying import Laid, lay_network
from buckwright.lines.network import drawn_network
from buckwright.lines.placing import given_axes, place_lines
from buckwright.lines.sides import mirror_names
from buckwright.lines.tabled import (
    against_pictures,
    merge_tables,
    tabled_lines,
    typed_wheelbase,
)
from buckwright.model.holds import LineHold
from buckwright.model.job import Reference
from buckwright.model.lines import (
    BattenChoice,
    Datum,
    Departure,
    LineSpec,
    Pin,
    PlacedLine,
    Placement,
)
from buckwright.model.pictures import MeasuredLine
from buckwright.model.points import MeasuredPoint
from buckwright.model.tabled import LineTable

__all__ = ["Lofted", "finish_reference", "lay_reference", "make_reference"]


@dataclass(frozen=True, eq=False, slots=True)
class Lofted:
    """The lines before hand and departures."""

    placement: Placement
    placed: tuple[PlacedLine, ...]
    laid: Laid
    rims: tuple[str, ...]
    front: tuple[str, ...] = ()
    """Rims of the front axle, from which everything is measured."""
    rear: tuple[str, ...] = ()
    mirrors: Mapping[str, str] = field(default_factory=dict)
    """The other line of each pair."""


def make_reference(
    measured: tuple[MeasuredLine, ...],
    specs: tuple[LineSpec, ...],
    datum: Datum | None,
    departures: tuple[Departure, ...],
    *,
    scale: float,
    scale_sigma: float,
    pins: tuple[Pin, ...] = (),
    battens: tuple[BattenChoice, ...] = (),
    holds: tuple[LineHold, ...] = (),
    marks: tuple[MeasuredPoint, ...] = (),
    tables: tuple[LineTable, ...] = (),
) -> Reference:
    """Placed lines, the fair reference, and the network after departures.

    Parameters: measured lines in mm of the mat; `scale` full-size over model length,
    `scale_sigma` its relative standard error; `pins`, where lines are moved by hand, with
    which `battens`; `holds`, what lines are told to keep; `marks`, single places measured;
    `tables`, which give lines of their own, in vehicle axes at full size.
    Raises JobError where the lines do not give the axes, a line has too few points, or a
    pin or a departure cannot be.
    """
    lofted = lay_reference(
        measured,
        specs,
        datum,
        scale=scale,
        scale_sigma=scale_sigma,
        holds=holds,
        marks=marks,
        tables=tables,
    )
    return finish_reference(lofted, departures, pins, battens)


def lay_reference(
    measured: tuple[MeasuredLine, ...],
    specs: tuple[LineSpec, ...],
    datum: Datum | None,
    *,
    scale: float,
    scale_sigma: float,
    holds: tuple[LineHold, ...] = (),
    marks: tuple[MeasuredPoint, ...] = (),
    tables: tuple[LineTable, ...] = (),
) -> Lofted:
    """The lines placed and laid fair: what `finish_reference` goes on from.

    Without a datum, or without measured lines, the tables' own axes count.
    """
    tabled = tabled_lines(tables)
    if datum is None or (tables and not measured):
        placement, placed = given_axes(typed_wheelbase(tables)), tabled
    else:
        placement, placed = place_lines(
            measured, specs, datum, scale=scale, scale_sigma=scale_sigma, marks=marks
        )
        placed, apart = merge_tables(placed, tabled)
        findings = (*placement.findings, *against_pictures(apart))
        placement = placement.model_copy(update={"findings": findings})
    read = tuple(finding for table in tables for finding in table.findings)
    placement = placement.model_copy(update={"findings": (*placement.findings, *read)})
    # An axle may hang on marked points, which are no lines that could move.
    known = {line.name for line in placed}
    axles = ((), ()) if datum is None else (datum.front_axle, datum.rear_axle)
    front, rear = (tuple(name for name in names if name in known) for names in axles)
    return Lofted(
        placement,
        placed,
        lay_network(placed, specs, holds),
        (*front, *rear),
        front,
        rear,
        mirror_names(specs),
    )


def finish_reference(
    lofted: Lofted,
    departures: tuple[Departure, ...],
    pins: tuple[Pin, ...] = (),
    battens: tuple[BattenChoice, ...] = (),
) -> Reference:
    """The whole answer from lines that are laid: pulled to the pins, then departed."""
    reference = drawn_network(lofted.laid, pins, battens)
    departed = depart(
        reference, departures, rims=lofted.rims, mirrors=lofted.mirrors, firm=lofted.front
    )
    lengthening = tuple(zone for zone in departed.zones if zone.axis == "x")
    rear_axle = lofted.placement.wheelbase + rearward_shift(reference, departed.moved, lofted.rear)
    front, rear = moved_along(np.array([0.0, rear_axle]), lengthening)
    return Reference(
        placement=lofted.placement,
        placed=lofted.placed,
        reference=reference,
        network=departed.network,
        wheelbase=float(rear - front),
        unpulled=drawn_network(lofted.laid) if pins else None,
        moved=None if departed.moved is reference else departed.moved,
        zones=departed.zones,
    )
