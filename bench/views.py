"""Views without a mat: squaring beside OpenCV, bands and joined lines on the example, the hull.

CPU seconds of the whole process. The example's lines are hand traces in two of its photographs.
"""

import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter, process_time
from typing import Any

import cv2
import numpy as np

from buckwright.geometry.homography import apply_homography, fit_homography
from buckwright.geometry.polyline import closest_on_polyline
from buckwright.views import join_views, square_view, view_curves

ROOT = Path(__file__).parents[1]


def timed(run: Callable[[], Any]) -> tuple[Any, float, float]:
    wall, cpu = perf_counter(), process_time()
    found = run()
    return found, perf_counter() - wall, process_time() - cpu


def main() -> None:
    sys.path += [
        str(ROOT / "tests"),
        str(ROOT / "tests" / "views"),
        str(ROOT / "tests" / "against"),
    ]
    grid()
    wren()
    hulls()


def grid() -> None:
    rng = np.random.default_rng(2)
    at = np.stack(np.meshgrid(np.arange(30.0), np.arange(20.0)), axis=2).reshape(-1, 2) * 100.0
    true = np.array([[3.1, 0.2, 400.0], [0.1, -2.9, 2500.0], [1e-4, 5e-5, 1.0]])
    px = apply_homography(true, at) + rng.normal(0.0, 0.7, at.shape)
    for name, run in (
        ("ours", lambda: fit_homography(px, at)),
        ("OpenCV", lambda: cv2.findHomography(px, at)[0]),
    ):
        found, wall, cpu = timed(run)
        rms = np.sqrt(np.mean(np.sum((apply_homography(found, px) - at) ** 2, axis=1)))
        print(f"grid of 600, {name}: {rms:.4f} mm rms, {wall:.3f} s wall, {cpu:.3f} s CPU")


def wren() -> None:
    from test_wren_views import TRUTH, beyond_band, plan, side

    for spec, shown in (
        (side("belt left", "sill left", "window left", "door left", "cantrail left"), [0, 2]),
        (plan("roof centre line", "cantrail left", "screen edge"), [0, 1]),
    ):
        curves, wall, cpu = timed(lambda spec=spec: view_curves(spec, square_view(spec)))
        errors = beyond_band(spec, shown)
        most = max(float(curve.parallax.max()) for curve in curves)
        print(
            f"{spec.name}: parallax up to {most:.0f} mm, beyond the band by less than 2 sigma "
            f"{100 * np.mean(errors < 2.0):.0f} %, worst {errors.max():.1f} sigma; "
            f"{wall:.2f} s wall, {cpu:.2f} s CPU"
        )
    pair = [side("cantrail left"), plan("cantrail left")]
    joined, wall, cpu = timed(lambda: join_views(pair))
    (line,) = joined.lines
    gap = closest_on_polyline(line.points, np.array(TRUTH["cantrail left"]["points"]))[0]
    print(
        f"cantrail by two views: {np.sqrt(np.mean(gap**2)):.2f} mm rms at full size, "
        f"told {np.sqrt(np.mean(line.sigma**2)):.2f}; {wall:.2f} s wall, {cpu:.2f} s CPU"
    )


def hulls() -> None:
    from test_hull import ball, convex, hull, ring

    exact = 4.0 / 3.0 * np.pi * 95.0 * 60.0 * 40.0
    for count in (4, 8, 16, 32):
        outlines = [convex(picture, ball(np.array([95.0, 60.0, 40.0]))) for picture in ring(count)]
        found, wall, cpu = timed(lambda outlines=outlines: hull(outlines, 3.0))
        over = 100.0 * (found.volume / exact - 1.0)
        print(f"ellipsoid, {count} outlines: {over:+.1f} %; {wall:.2f} s wall, {cpu:.2f} s CPU")


if __name__ == "__main__":
    main()
