"""Seams as they stand, the regions they may run over, and studies of where they could go."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from buckwright.flow.dividing import seam_names
from buckwright.model.job import Job, Products
from buckwright.model.panels import PanelEdge, Panels, SeamSpec
from buckwright.model.seams import SeamOption, SeamStudy, ShopReach
from buckwright.model.skin import SkinRegion
from buckwright.web.words import rounded

__all__ = ["seam_rows", "study_row"]

_MOST_POINTS = 60
"""Of a seam as it is drawn."""


def seam_rows(job: Job, products: Products) -> dict[str, Any]:
    """The seams with the panels that end at them, and the regions with their lines."""
    regions = () if products.skin is None else products.skin.regions
    shown = [region for region in regions if region.side in ("whole", "left")]
    return {
        "seams": _seams(job, products.panels),
        "regions": [_region(region, job) for region in shown],
        "reach": ShopReach().model_dump(),
    }


def _seams(job: Job, panels: Panels | None) -> list[dict[str, Any]]:
    drawn = {(seam.name, seam.region): seam for seam in job.seams}
    rims = {line for region in job.regions for line in (*region.boundary, *region.holes)}
    ends = [(name, spec.region) for spec in job.panels for name in seam_names(spec)]
    return [
        {
            "name": name,
            "region": region,
            "runs": _runs(drawn.get((name, region))),
            "paths": _paths(name, region, panels),
            "through": [list(point) for point in _through(drawn.get((name, region)))],
            "panels": [
                spec.name
                for spec in job.panels
                if spec.region == region and name in seam_names(spec)
            ],
        }
        for name, region in dict.fromkeys([*drawn, *ends])
        if name not in rims
    ]


def _runs(seam: SeamSpec | None) -> str:
    if seam is None:
        return "plane or line"
    return f"along {seam.line}" if seam.line else f"through {len(seam.through)} points"


def _paths(name: str, region: str, panels: Panels | None) -> list[Any]:
    """Where it runs over the skin, each run once, as the panels were cut last."""
    cut = () if panels is None else panels.panels
    for panel in cut:
        runs = [edge for edge in panel.edges if edge.name == name and edge.seam]
        if panel.region == region and panel.side != "right" and runs:
            return [rounded(panel.vertices[_some(run)], 1) for run in runs]
    return []


def _some(run: PanelEdge) -> NDArray[np.int64]:
    """Vertices from its first to its last, not too many."""
    count = min(len(run.vertices), _MOST_POINTS)
    return run.vertices[np.linspace(0, len(run.vertices) - 1, count).astype(np.int64)]


def _through(seam: SeamSpec | None) -> tuple[tuple[float, float, float], ...]:
    return () if seam is None else seam.through


def _region(region: SkinRegion, job: Job) -> dict[str, Any]:
    tracks = {track.line: track for track in region.inner}
    return {
        "name": region.name,
        "side": region.side,
        "panels": [spec.name for spec in job.panels if spec.region == region.name],
        "lines": [
            {"name": name, "points": rounded(region.vertices[track.vertices], 1)}
            for name, track in tracks.items()
        ],
    }


def study_row(study: SeamStudy) -> dict[str, Any]:
    """A study with its options, ready for the chart and for a view in space."""
    left_out = {"options", "findings"}
    return {
        **study.model_dump(mode="json", exclude=left_out),
        "findings": [finding.model_dump() for finding in study.findings],
        "options": [_option(option) for option in study.options],
    }


def _option(option: SeamOption) -> dict[str, Any]:
    return {
        **option.model_dump(mode="json", exclude={"seams", "pieces", "drawn", "panels"}),
        "seams": [
            {
                **seam.model_dump(mode="json", exclude={"points"}),
                "points": rounded(seam.points, 1),
            }
            for seam in option.seams
        ],
        "pieces": [
            {
                **piece.model_dump(mode="json", exclude={"edge"}),
                "edge": rounded(piece.edge[:: max(1, len(piece.edge) // 150)], 1),
            }
            for piece in option.pieces
        ],
    }
