"""Gauges in numbers."""

from typing import Any

import numpy as np

from buckwright.geometry.polyline import polyline_length
from buckwright.model.gauges import Gauge, Gauges, GaugeSet, Stand, SweepSet

__all__ = ["gauge_summary"]


def gauge_summary(gauges: Gauges) -> dict[str, Any]:
    """The JSON object of the command `gauges`, but for the part and the seconds it took.

    Sections and points are in the coordinates of the mesh (the other side's: mirrored across
    y = 0), millimetres.
    """
    return {
        "cards": [_card(gauge) for gauge in gauges.gauges],
        "sets": [_set(chosen) for chosen in gauges.sets],
        "stands": [_stand(stand) for stand in gauges.stands],
        "sweeps": [_sweeps(chosen) for chosen in gauges.sweeps],
        "findings": [finding.model_dump(mode="json") for finding in gauges.findings],
    }


def _card(gauge: Gauge) -> dict[str, Any]:
    return {
        "name": gauge.name,
        "hand": gauge.hand,
        "face": gauge.face,
        "point_mm": gauge.origin.tolist(),
        "normal": np.cross(gauge.axes[0], gauge.axes[1]).tolist(),
        "axes": gauge.axes.tolist(),
        "length_mm": polyline_length(gauge.profile),
        "squareness_deg": gauge.squareness_deg,
        "edge_off_mm": gauge.edge_off,
        "marks": list(gauge.mark_names),
        "section_mm": gauge.section.tolist(),
        "outline_mm": gauge.outline.tolist(),
    }


def _set(chosen: GaugeSet) -> dict[str, Any]:
    return {
        "face": chosen.face,
        "normal": chosen.normal.tolist(),
        "at_mm": chosen.at.tolist(),
        "tolerance_mm": chosen.tolerance,
        "error_mm": chosen.error,
        "error_at_mm": chosen.error_at.tolist(),
        "law": chosen.law,
        "runs_mm": chosen.runs.tolist(),
    }


def _stand(stand: Stand) -> dict[str, Any]:
    return {
        "name": stand.name,
        "hand": stand.hand,
        "face": stand.face,
        "boards": [board.name for board in stand.boards],
        "cards": list(stand.cards),
        "thickness_mm": stand.thickness,
        "clearance_mm": stand.clearance,
        "play_mm": stand.play,
    }


def _sweeps(chosen: SweepSet) -> dict[str, Any]:
    return {
        "side": chosen.side,
        "chord_mm": chosen.chord,
        "tolerance_mm": chosen.tolerance,
        "gap_mm": chosen.gap,
        "radii": [
            {"name": sweep.name, "bends": sweep.bends, "radius_mm": sweep.radius}
            for sweep in chosen.sweeps
        ],
        "areas": [
            {
                "sweep": area.sweep,
                "way": area.way,
                "area_mm2": area.area,
                "centre_mm": area.centre.tolist(),
                "direction": area.direction.tolist(),
            }
            for area in chosen.areas
        ],
    }
