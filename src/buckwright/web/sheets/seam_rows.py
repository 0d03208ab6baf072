"""Seams as they stand, the regions they may run over, and studies of where they could go."""

from typing import Any

from buckwright.flow.dividing import seam_names
from buckwright.model.job import Job
from buckwright.model.panels import SeamSpec
from buckwright.model.seams import SeamOption, SeamStudy, ShopReach
from buckwright.model.skin import Skin, SkinRegion
from buckwright.web.words import rounded

__all__ = ["seam_rows", "study_row"]


def seam_rows(job: Job, skin: Skin | None) -> dict[str, Any]:
    """The seams with the panels that end at them, and the regions with their lines."""
    regions = () if skin is None else skin.regions
    shown = [region for region in regions if region.side in ("whole", "left")]
    return {
        "seams": _seams(job),
        "regions": [_region(region, job) for region in shown],
        "reach": ShopReach().model_dump(),
    }


def _seams(job: Job) -> list[dict[str, Any]]:
    drawn = {(seam.name, seam.region): seam for seam in job.seams}
    rims = {line for region in job.regions for line in (*region.boundary, *region.holes)}
    ends = [(name, spec.region) for spec in job.panels for name in seam_names(spec)]
    return [
        {
            "name": name,
            "region": region,
            "runs": _runs(drawn.get((name, region))),
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
