"""A blank in numbers."""

from typing import Any

import numpy as np

from buckwright.geometry.mesh import triangle_areas
from buckwright.model.panels import Blank, MapArea, Panel

__all__ = ["blank_summary"]


def blank_summary(blank: Blank, panel: Panel) -> dict[str, Any]:
    """The JSON object of the command `blank`, but for the seconds it took.

    Log strains count from blank to panel and weigh by the panel's area; `rms` is that of both
    principal directions; `stretch_max` and `shrink_max` are both at least 0; area changes are
    signed fractions. The outline is the net one, without allowance, as `blank_area_mm2` is.
    """
    major, minor = blank.strain_major, blank.strain_minor
    areas = triangle_areas(panel.vertices, panel.triangles)
    square = float(areas @ (major**2 + minor**2)) / (2.0 * blank.area)
    return {
        "triangles": len(panel.triangles),
        "area_mm2": blank.area,
        "blank_area_mm2": blank.blank_area,
        "blank_outline_mm": blank.net_outline.tolist(),
        "work_density": blank.work_density,
        "log_strain": {
            "max_abs": float(max(np.abs(major).max(), np.abs(minor).max())),
            "rms": square**0.5,
            "stretch_max": max(float(major.max()), 0.0),
            "shrink_max": max(float(-minor.min()), 0.0),
        },
        "area_change": {
            "min": float(blank.area_change.min()),
            "max": float(blank.area_change.max()),
        },
        "flipped": blank.flipped,
        "aim": blank.aim,
        "aim_words": blank.aim_words,
        "grain": blank.grain,
        "r_value": {"value": blank.r_value, "source": blank.r_source},
        "openings_mm": [ring.tolist() for ring in blank.openings],
        "verdict": {
            "step": blank.verdict.step,
            "reason": blank.verdict.reason,
            "anneal": blank.verdict.anneal,
            "others": [other.model_dump() for other in blank.verdict.others],
        },
        "thickness_mm": list(blank.thickness),
        "areas": [_area(area) for area in blank.areas],
        "work": [step.model_dump(mode="json") for step in blank.work],
        "mass_kg": blank.mass,
        "findings": [finding.model_dump(mode="json") for finding in blank.findings],
    }


def _area(area: MapArea) -> dict[str, Any]:
    return {
        "kind": area.kind,
        "order": area.order,
        "area_mm2": area.area,
        "mean": area.mean,
        "peak": area.peak,
        "centre_mm": area.centre.tolist(),
        "radii_mm": list(area.radii),
        "thickness_mm": area.thickness,
        "anvil_mm": area.anvil,
        "words": area.words,
    }
