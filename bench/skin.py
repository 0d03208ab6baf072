"""Spanning seven by seven lines of a crowned cab: ours beside Open CASCADE's filling."""

import sys
from pathlib import Path

import numpy as np

from buckwright.geometry.mesh import MeshLocator

# The cab, its noise and the peers are those of the experiment that chose the engine.
sys.path.append(str(Path(__file__).parents[1] / "docs" / "experiments"))
from skin_engine import Engines, cab, grid_mesh, judged, noisy, seven_by_seven


def main() -> None:
    ends = np.linspace(0.0, 1.0, 501)
    truth = MeshLocator(*grid_mesh(cab, ends, ends))
    head = ("", "CPU s", "greatest mm", "/ours", "rms mm", "/ours", "wrong sign %")
    for title, surface, sigma in (
        ("clean lines", cab, 0.0),
        ("lines with 1 mm of noise, alike over 60 mm", noisy(cab, 60.0, 0), 1.0),
    ):
        engines = Engines(*seven_by_seven(surface, sigma))
        rows = []
        for name, region, vertices, seconds in engines.all():
            mesh = engines.base if region is None else region
            rows.append((name.strip("*"), seconds, judged(vertices, mesh.triangles, truth)))
        ours = rows[-1][2]
        print(f"\n{title}, {len(engines.base.triangles)} triangles")
        print("{:<42}{:>8}{:>13}{:>8}{:>9}{:>8}{:>14}".format(*head))
        for name, seconds, (most, rms, wrong) in rows:
            print(
                f"{name:<42}{seconds:>8.1f}{most:>13.3f}{most / ours[0]:>8.2f}{rms:>9.4f}"
                f"{rms / ours[1]:>8.2f}{wrong:>14.2f}"
            )
