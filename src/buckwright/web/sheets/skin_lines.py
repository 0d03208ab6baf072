"""How the skin keeps to its lines, and which of them are sharp."""

from typing import Any

from buckwright.model.creases import CreaseSpec, CreaseTrack
from buckwright.model.job import Job, Products
from buckwright.model.skin import RegionSpec, Skin, SkinRegion

__all__ = ["line_rows"]


def line_rows(job: Job, products: Products) -> dict[str, Any]:
    """Bounds of every line of every region; creases asked for, and lines that may become one."""
    regions = () if products.skin is None else products.skin.regions
    return {
        "bounds": [
            {
                "name": f"{bound.line} on {region.name}",
                "line": bound.line,
                "region": region.name,
                "most": bound.most,
                "rms": bound.rms,
                "jump": abs(bound.jump) if bound.line in _inside(region) else None,
                "crease": bound.crease,
            }
            for region in regions
            if region.side != "right"
            for bound in region.bounds
        ],
        "creases": [
            _crease(spec, crease, products.skin) for spec in job.regions for crease in spec.creases
        ],
        "sharpenable": [
            {"region": spec.name, "lines": list(spec.inner)} for spec in job.regions if spec.inner
        ],
    }


def _inside(region: SkinRegion) -> set[str]:
    """Lines with skin on both sides, or that were spanned across before a hole was cut."""
    return {track.line for track in (*region.inner, *region.holes)}


def _crease(spec: RegionSpec, crease: CreaseSpec, skin: Skin | None) -> dict[str, Any]:
    tracks = _tracks(spec, crease, skin)
    angles = [float(angle) for track in tracks for angle in track.angles]
    return {
        "name": f"{crease.line} on {spec.name}",
        "line": crease.line,
        "region": spec.name,
        "start": crease.start,
        "end": crease.end,
        "least": min(angles, key=abs) if angles else None,
        "most": max(angles, key=abs) if angles else None,
    }


def _tracks(spec: RegionSpec, crease: CreaseSpec, skin: Skin | None) -> list[CreaseTrack]:
    regions = () if skin is None else skin.regions
    own = [region for region in regions if region.name == spec.name and region.side != "right"]
    return [track for region in own for track in region.creases if track.line == crease.line]
