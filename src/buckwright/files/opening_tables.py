"""CSV table of openings: outline, hinge axis, swing, glass."""

import csv
from collections.abc import Sequence
from io import StringIO

import numpy as np

from buckwright.model.openings import Opening, Openings

__all__ = ["openings_csv"]

Cell = str | float

HEAD = (
    "opening", "kind", "perimeter_mm", "area_m2", "off_skin_most_mm", "pins_off_line_mm",
    "pins_off_direction_deg", "axis_leans_right_deg", "axis_leans_rearward_deg",
    "swing_wanted_deg", "swing_reached_deg", "first_touch", "least_clearance_mm",
    "least_clearance_at_deg", "least_clearance_to", "free_edge_rises_mm", "way_in_mm",
    "glass", "glass_radius_mm", "glass_area_m2", "glass_off_rms_mm", "glass_off_most_mm",
    "drop_wanted_mm", "drop_reached_mm", "drop_stopped_by", "room_outside_mm", "room_inside_mm",
    "room_edge_mm",
)  # fmt: skip


def openings_csv(openings: Openings) -> str:
    """One row for each opening; cells without an answer are empty."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEAD)
    for one in openings.openings:
        writer.writerow((one.name, one.kind, *_outline(one), *_hinge(one), *_glass(one)))
    return out.getvalue()


def _outline(one: Opening) -> Sequence[Cell]:
    if one.outline is None:
        return [""] * 3
    shape = one.outline
    return round(shape.perimeter, 1), round(shape.area / 1e6, 4), round(shape.off_most, 2)


def _hinge(one: Opening) -> Sequence[Cell]:
    axis, swing = one.axis, one.swing
    if axis is None or swing is None:
        return [""] * 12
    touch = swing.touch
    return (
        round(axis.residual, 2),
        _degrees(axis.twist),
        _degrees(axis.lean_right),
        _degrees(axis.lean_back),
        _degrees(swing.wanted),
        _degrees(swing.reached),
        "" if touch is None else f"{touch.part} meets {touch.against}",
        round(swing.least, 2),
        _degrees(swing.least_angle),
        swing.least_against,
        round(swing.lift, 1),
        round(swing.width, 0) if swing.width > 0.0 else "",
    )


def _degrees(angle: float) -> float:
    return round(float(np.degrees(angle)), 2) + 0.0


def _glass(one: Opening) -> Sequence[Cell]:
    pane = one.pane
    if pane is None:
        return [""] * 11
    told: list[Cell] = [
        pane.shape,
        round(1.0 / pane.curvature, 1) if pane.shape == "cylinder" and pane.curvature else "",
        round(pane.area / 1e6, 4),
        round(pane.off_rms, 3),
        round(pane.off_most, 3),
    ]
    drop = pane.drop
    if drop is None:
        return [*told, *[""] * 6]
    rooms = (float(drop.outer.min()), float(drop.inner.min()), float(drop.edge.min()))
    told += [round(drop.wanted, 1), round(drop.reached, 1), drop.stopped_by]
    return [*told, *(round(room, 2) for room in rooms)]
