"""Is the skin smooth?"""

from typing import Any

import numpy as np

from buckwright.geometry.mesh import triangle_areas
from buckwright.model.job import Job, Products
from buckwright.web.sheets.skin_fields import field_rows
from buckwright.web.sheets.skin_lines import line_rows
from buckwright.web.sheets.skin_treatments import treatment_part
from buckwright.web.words import Words, area, counted, fine

__all__ = ["answer", "detail"]


def answer(job: Job, products: Products) -> Words | None:
    """How closely the skin follows its lines, and how much of it there is."""
    skin = products.skin
    if skin is None or not skin.regions:
        return None
    worst = max(skin.regions, key=lambda region: region.line_error_most)
    whole = sum(float(triangle_areas(r.vertices, r.triangles).sum()) for r in skin.regions)
    root = float(np.sqrt(np.mean([region.line_error_rms**2 for region in skin.regions])))
    return [
        counted(len(skin.regions), "region"),
        " of ",
        area(whole),
        " follow their lines to ",
        fine(root),
        " rms; the farthest is ",
        fine(worst.line_error_most),
        f" off, on the {worst.name}.",
    ]


def detail(job: Job, products: Products) -> dict[str, Any]:
    """The regions; their meshes come as a frame."""
    regions = () if products.skin is None else products.skin.regions
    return {
        "regions": [
            {
                "name": region.name,
                "side": region.side,
                "triangles": len(region.triangles),
                "area": float(triangle_areas(region.vertices, region.triangles).sum()),
                "worst": region.line_error_most,
                "rms": region.line_error_rms,
                "rolled": [field.model_dump() for field in region.rolled],
                "lines": [t.line for t in (*region.boundary, *region.inner, *region.holes)],
            }
            for region in regions
        ],
        "fields": field_rows(job, products),
        **line_rows(job, products),
        "scans": _scan_rows(job),
        "to_roll": {spec.name: spec.rolled for spec in job.regions},
        **treatment_part(job, products),
    }


def _scan_rows(job: Job) -> list[dict[str, Any]]:
    return [
        {
            "name": scan.name,
            "kind": scan.kind.upper(),
            "side": scan.side,
            "unit": scan.unit,
            "close_below": scan.close_below,
        }
        for scan in job.scans
    ]
