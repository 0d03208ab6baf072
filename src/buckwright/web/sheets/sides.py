"""Left against right, and single places, as the lines sheet shows them."""

from typing import Any

import numpy as np

from buckwright.model.lines import Placement, SidesApart
from buckwright.web.words import rounded

__all__ = ["point_rows", "side_rows"]


def side_rows(placement: Placement) -> list[dict[str, Any]]:
    """Pairs of lines, those that differ most first."""
    return [_row(pair) for pair in sorted(placement.sides, key=lambda pair: -pair.most)]


def _row(pair: SidesApart) -> dict[str, Any]:
    gap = np.linalg.norm(pair.apart, axis=1)
    return {
        "left": pair.left,
        "right": pair.right,
        "rms": pair.rms,
        "most": pair.most,
        "at": rounded(pair.most_at, 1),
        "doubt": pair.doubt,
        "hairs": [
            [round(float(x), 1), round(float(z), 1), round(float(g), 2)]
            for (x, _, z), g in zip(pair.points, gap, strict=True)
        ],
    }


def point_rows(placement: Placement) -> list[dict[str, Any]]:
    """Marked points in vehicle axes at full size."""
    return [
        {
            "name": point.name,
            "point": rounded(point.point, 1),
            "sigma": point.sigma,
            "radius": point.radius,
        }
        for point in placement.points
    ]
