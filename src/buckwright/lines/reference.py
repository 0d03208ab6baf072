"""The whole step: from measured lines to the network that everything later is built on."""

import numpy as np

from buckwright.lines.departing import apply_departures, moved_along
from buckwright.lines.network import fair_network
from buckwright.lines.placing import place_lines
from buckwright.model.job import Reference
from buckwright.model.lines import Datum, Departure, LineSpec
from buckwright.model.pictures import MeasuredLine

__all__ = ["make_reference"]


def make_reference(
    measured: tuple[MeasuredLine, ...],
    specs: tuple[LineSpec, ...],
    datum: Datum,
    departures: tuple[Departure, ...],
    *,
    scale: float,
    scale_sigma: float,
) -> Reference:
    """Placed lines, the fair reference, and the network after departures.

    Parameters: measured lines in mm of the mat; `scale` full-size over model length,
    `scale_sigma` its relative standard error.
    Raises JobError where the lines do not give the axes, a line has too few points, or a
    departure cannot be made.
    """
    placement, placed = place_lines(measured, specs, datum, scale=scale, scale_sigma=scale_sigma)
    reference = fair_network(placed, specs)
    rims = (*datum.front_axle, *datum.rear_axle)
    network = apply_departures(reference, departures, rims=rims)
    lengthening = tuple(d for d in departures if d.on and d.axis == "x")
    front, rear = moved_along(np.array([0.0, placement.wheelbase]), lengthening)
    return Reference(
        placement=placement,
        placed=placed,
        reference=reference,
        network=network,
        wheelbase=float(rear - front),
    )
