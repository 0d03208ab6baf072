"""The meshes of regions as arrays of a frame."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from buckwright.model.skin import SkinRegion

__all__ = ["region_arrays"]


def region_arrays(regions: Sequence[SkinRegion]) -> dict[str, NDArray[Any]]:
    """Vertices v<i> (n x 3), triangles t<i> (m x 3), ends of edges on lines l<i> (k x 2)."""
    arrays: dict[str, NDArray[Any]] = {}
    for place, region in enumerate(regions):
        arrays[f"v{place}"] = region.vertices
        arrays[f"t{place}"] = region.triangles
        tracks = (*region.boundary, *region.inner, *region.holes)
        looped = [np.append(t.vertices, t.vertices[:1]) if t.closed else t.vertices for t in tracks]
        pairs = [np.column_stack([track[:-1], track[1:]]) for track in looped]
        arrays[f"l{place}"] = np.vstack(pairs) if pairs else np.zeros((0, 2), dtype=np.int64)
    return arrays
