"""Snapping a trace: ours beside OpenCV's live-wire, on tapes and edges of 12 megapixels.

The lines are synthetic, with the faults of a camera, and lie in a picture of 4032 x 3024. Clicks
are up to 2 px off. Ours gets the whole picture; the live-wire gets a crop of 60 px round the two
clicks, since on the whole picture its map alone takes seconds. CPU milliseconds to a click.
"""

import sys
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from time import perf_counter, process_time

import cv2
import numpy as np
from numpy.typing import NDArray

from buckwright.capture.snapping import snap_line, snap_stretches, touched_stretches

# The pictures are those of the tests.
sys.path.append(str(Path(__file__).parents[1] / "tests"))
from lines_in_pictures import circle, clicks_near, photographed

Array = NDArray[np.float64]
Grey = NDArray[np.uint8]
Way = Callable[[Grey, Array, str], Array]

SIZE, PATCH = (4032, 3024), (900, 500)
CORNER = np.array([1500.0, 1200.0])
CENTRE, RADIUS = (450.0, 1250.0), 900.0
MARGIN = 60


def main() -> None:
    away = circle(CENTRE, RADIUS)
    print(f"{'':34}{'median':>8}{'p95':>8}{'CPU ms':>9}{'wall ms':>9}   px, a click")
    for name, tape in (("edge", None), ("tape 3 px wide", 3.0), ("tape 8 px wide", 8.0)):
        grey = np.full(SIZE[::-1], 150, dtype=np.uint8)
        left, top = CORNER.astype(int)
        grey[top : top + PATCH[1], left : left + PATCH[0]] = photographed(
            away, size=PATCH, tape=tape
        )
        kind = "edge" if tape is None else "tape"
        for apart in (90.0, 180.0):
            print(f"{name}, a click every {apart:.0f} px")
            for label, way in (("ours", _ours), ("live-wire in a crop (OpenCV)", _live_wire)):
                _row(label, way, grey, apart=apart, kind=kind)
            _one_more_click(grey, apart=apart, kind=kind)


def _clicks(apart: float, seed: int) -> Array:
    angle = -np.pi / 2 + np.arange(-370.0, 371.0, apart) / RADIUS
    on = np.array(CENTRE) + RADIUS * np.column_stack([np.cos(angle), np.sin(angle)])
    return clicks_near(on, by=2.0, seed=seed) + CORNER


def _row(label: str, way: Way, grey: Grey, *, apart: float, kind: str) -> None:
    gaps, wall, cpu, clicks = [], 0.0, 0.0, 0
    away = circle(CENTRE, RADIUS)
    for seed in range(6):
        at = _clicks(apart, seed)
        started, used = perf_counter(), process_time()
        points = way(grey, at, kind)
        wall, cpu = wall + perf_counter() - started, cpu + process_time() - used
        clicks += len(at) - 1
        gaps.append(np.abs(away(*(points - CORNER).T)))
    gap = np.concatenate(gaps)
    print(
        f"  {label:32}{np.median(gap):8.3f}{np.quantile(gap, 0.95):8.2f}"
        f"{1e3 * cpu / clicks:9.1f}{1e3 * wall / clicks:9.1f}"
    )


def _one_more_click(grey: Grey, *, apart: float, kind: str) -> None:
    """What the page waits for: the stretches that the newest click touches."""
    clicks = _clicks(apart, 9)
    last = touched_stretches(len(clicks) - 1, len(clicks), closed=False)
    started, used, times = perf_counter(), process_time(), 20
    for _ in range(times):
        snap_stretches(grey, clicks, last, kind=kind)  # type: ignore[arg-type]
    cpu, wall = process_time() - used, perf_counter() - started
    print(f"  {'ours, one more click':32}{'':16}{1e3 * cpu / times:9.1f}{1e3 * wall / times:9.1f}")


def _ours(grey: Grey, clicks: Array, kind: str) -> Array:
    return snap_line(grey, clicks, kind=kind).points  # type: ignore[arg-type]


def _live_wire(grey: Grey, clicks: Array, kind: str) -> Array:
    """IntelligentScissorsMB with its own gradient features, as its documentation sets it up."""
    del kind
    parts = []
    for start, end in pairwise(clicks):
        low = np.floor(np.minimum(start, end)).astype(int) - MARGIN
        high = np.ceil(np.maximum(start, end)).astype(int) + MARGIN
        tool = cv2.segmentation.IntelligentScissorsMB()
        tool.setEdgeFeatureCannyParameters(32, 100)
        tool.setGradientMagnitudeMaxLimit(200)
        tool.applyImage(np.ascontiguousarray(grey[low[1] : high[1], low[0] : high[0]]))
        tool.buildMap(tuple(int(v) for v in np.round(start - low)))
        found = tool.getContour(tuple(int(v) for v in np.round(end - low)))
        parts.append(np.asarray(found, dtype=np.float64).reshape(-1, 2) + low)
    return np.vstack(parts)
