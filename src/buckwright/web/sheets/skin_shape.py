"""How the skin is bent: crowns, soft spots and sections, worked out when they are asked for."""

from functools import lru_cache
from hashlib import sha256
from typing import Any

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.polyline import polyline_length
from buckwright.model.crowns import CROWNS, CrownLimits, SectionLine, SkinShape, SoftSpot
from buckwright.model.job import Job, Products
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin
from buckwright.skin import crown_words, skin_section, skin_shape
from buckwright.web.frames import pack_frame

__all__ = ["AXES", "comb_frame", "section_frame", "shape_frame", "shape_of"]

Array = NDArray[np.float64]

AXES = {"x": np.array([1.0, 0, 0]), "y": np.array([0, 1.0, 0]), "z": np.array([0, 0, 1.0])}
TOOTH, LONGEST = 120.0, 300.0
"""mm: what a comb's tooth measures where the section is bent as at most of its tightest places;
and no tooth is longer than this."""
TIGHT = 97.0
"""Of a hundred places of a section, so many are bent less than that."""
SLIGHTEST = 1e-5
"""1/mm; a section bent less than this everywhere is straight, and its comb is not blown up."""


class _Question:
    """A skin, its lines and limits, alike if their content is."""

    def __init__(self, skin: Skin, network: LineNetwork, limits: CrownLimits) -> None:
        self.skin, self.network, self.limits = skin, network, limits
        digest = sha256(limits.model_dump_json().encode())
        for region in skin.regions:
            digest.update(f"{region.name}/{region.side}".encode())
            digest.update(region.vertices.tobytes())
            digest.update(region.triangles.tobytes())
        for line in network.lines:
            digest.update(line.name.encode() + line.control.tobytes())
        self.key = digest.digest()

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Question) and self.key == other.key

    def __hash__(self) -> int:
        return hash(self.key)


@lru_cache(maxsize=4)
def _answered(question: _Question) -> SkinShape:
    return skin_shape(question.skin, question.network, question.limits)


def shape_of(job: Job, products: Products) -> SkinShape | None:
    """The shape of the job's skin, kept for as long as skin and limits stay what they are."""
    if products.skin is None or products.lines is None:
        return None
    return _answered(_Question(products.skin, products.lines.network, job.crowns))


def shape_frame(job: Job, products: Products) -> bytes | None:
    """Per region greater g<i> and lesser l<i> curvature (n,); outlines o<k> of the soft spots.

    About: classes with their words and areas, and the soft spots. None without a skin.
    """
    shape = shape_of(job, products)
    if shape is None:
        return None
    arrays: dict[str, NDArray[Any]] = {}
    for place, region in enumerate(shape.regions):
        arrays[f"g{place}"], arrays[f"l{place}"] = region.greater, region.lesser
    for place, spot in enumerate(shape.spots):
        arrays[f"o{place}"] = _pairs(spot.outline)
    areas = np.sum([region.areas for region in shape.regions], axis=0)
    words = crown_words(shape.limits)
    about = {
        "classes": [
            {"name": name, "words": text, "area": float(area)}
            for name, text, area in zip(CROWNS, words, areas, strict=True)
        ],
        "limits": shape.limits.model_dump(),
        "regions": [
            {"name": region.region, "side": region.side, "areas": region.areas.tolist()}
            for region in shape.regions
        ],
        "spots": [_spot_row(spot, number) for number, spot in enumerate(shape.spots, start=1)],
    }
    return pack_frame(about, arrays)


def _spot_row(spot: SoftSpot, number: int) -> dict[str, Any]:
    finding = spot.finding()
    return {
        "name": f"{number} {finding.where}",
        "point": spot.point[0].round(1).tolist(),
        "out": spot.outward[0].round(4).tolist(),
        "depth": spot.depth,
        "length": spot.length,
        "width": spot.width,
        "kind": spot.kind,
        "words": finding.message,
        "remedy": finding.remedy,
    }


def comb_frame(job: Job, products: Products, axis: str, at: float) -> bytes | None:
    """`section_frame` across an axis. None without a skin, or for an axis that is none."""
    if axis not in AXES:
        return None
    return section_frame(job, products, at * AXES[axis], AXES[axis])


def section_frame(job: Job, products: Products, origin: Array, normal: Array) -> bytes | None:
    """The section of the skin by a plane: pairs of points `line`, `teeth` and `tips`.

    About: its length in mm, its tightest radius and where it is, and the radius for which a
    tooth is `tooth` mm long. None without a skin.
    """
    shape = shape_of(job, products)
    if shape is None or products.skin is None:
        return None
    cut = skin_section(products.skin, shape, origin=origin, normal=normal)
    lines = [line for _, found in cut for line in found]
    bends = np.concatenate([np.abs(line.curvature) for line in lines]) if lines else np.zeros(1)
    strong = max(float(np.percentile(bends, TIGHT)), SLIGHTEST)
    teeth = [_teeth(line, TOOTH / strong) for line in lines]
    tightest = int(np.argmax(bends))
    about = {
        "length": sum(polyline_length(line.points, closed=line.closed) for line in lines),
        "pieces": len(lines),
        "tightest": 1.0 / max(float(bends[tightest]), SLIGHTEST),
        "where": np.vstack([s.points for s in lines])[tightest].tolist() if lines else None,
        "tooth": TOOTH,
        "radius": 1.0 / strong,
    }
    return pack_frame(
        about,
        {
            "line": _joined([_pairs(_looped(s.points, s)) for s in lines]),
            "teeth": _joined([np.hstack([s.points, t]) for s, t in zip(lines, teeth, strict=True)]),
            "tips": _joined(
                [_pairs(_looped(t, s)) for s, t in zip(lines, teeth, strict=True)],
            ),
        },
    )


def _teeth(line: SectionLine, scale: float) -> Array:
    """(k, 3) the tips: outside where the section is bent as a ball is."""
    length = np.clip(scale * line.curvature, -LONGEST, LONGEST)
    return np.asarray(line.points + length[:, None] * line.outward)


def _looped(points: Array, line: SectionLine) -> Array:
    return np.vstack([points, points[:1]]) if line.closed else points


def _pairs(points: Array) -> Array:
    """(k - 1, 6) ends of each side of a polyline."""
    return np.hstack([points[:-1], points[1:]])


def _joined(parts: list[Array]) -> Array:
    return np.vstack(parts) if parts else np.zeros((0, 6))
