"""CSV tables of gauges: every card with its plane and marks, every sweep with its radius."""

import csv
from collections.abc import Iterable, Sequence
from io import StringIO

import numpy as np

from buckwright.geometry.polyline import arc_lengths, closest_on_polyline
from buckwright.model.gauges import Gauge, Gauges, SweepSet
from buckwright.units import format_length

__all__ = ["gauges_csv", "sweeps_csv"]

Cell = str | float | int


def gauges_csv(gauges: Gauges) -> str:
    """One row for each card; marks as name and millimetres along the profile from its start."""
    head = (
        "card", "hand", "face", "plane", "origin_x_mm", "origin_y_mm", "origin_z_mm",
        "profile_mm", "profile_ft_in", "least_angle_to_metal_deg", "square_edge_off_mm", "marks",
    )  # fmt: skip
    return _table(head, (_gauge_row(gauge) for gauge in gauges.gauges))


def sweeps_csv(sets: Sequence[SweepSet]) -> str:
    """One row for each sweep; left and right share them."""
    head = ("region", "sweep", "edge", "radius_mm", "radius_ft_in", "chord_mm", "light_most_mm")
    rows = [
        (
            chosen.region,
            sweep.name,
            sweep.bends,
            "" if sweep.bends == "straight" else round(sweep.radius, 1),
            "" if sweep.bends == "straight" else format_length(sweep.radius, system="inch"),
            round(chosen.chord, 1),
            round(chosen.gap, 2),
        )
        for chosen in sets
        if chosen.side != "right"
        for sweep in chosen.sweeps
    ]
    return _table(head, rows)


def _gauge_row(gauge: Gauge) -> Sequence[Cell]:
    length = float(arc_lengths(gauge.profile)[-1])
    return (
        gauge.name,
        gauge.hand,
        gauge.face,
        "oblique" if gauge.oblique else f"{gauge.plane[0]} {gauge.plane[1]:g}",
        *(round(float(value), 1) + 0.0 for value in gauge.origin),
        round(length, 1),
        format_length(length, system="inch"),
        round(gauge.squareness_deg, 0),
        round(gauge.edge_off, 2),
        _marks(gauge),
    )


def _marks(gauge: Gauge) -> str:
    if not len(gauge.marks):
        return ""
    _, _, along = closest_on_polyline(gauge.marks, gauge.profile)
    order = np.argsort(along, kind="stable")
    return "; ".join(f"{gauge.mark_names[k]} {along[k]:.1f}" for k in order)


def _table(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows(rows)
    return out.getvalue()
