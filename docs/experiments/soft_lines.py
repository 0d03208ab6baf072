"""How limber should a surface be that lines of a region are moved onto? Run: python soft_lines.py.

The crowned cab of `skin_engine.py` under smooth noise of half a millimetre rms in each
coordinate, which leaves a skin with hard lines 0.4 mm off, as in the design notes. Lines may move
by 1 mm. Prints greatest and rms distance of the skin's vertices, mm, and the share of the area
with the wrong sign of the Gauss curvature, %, for each way of choosing.
"""

import sys

import numpy as np
from skin_engine import EDGE, cab, grid_mesh, judged, noisy, seven_by_seven

from buckwright.geometry.mesh import MeshLocator
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import RegionSpec
from buckwright.skin import soften_lines, softening, span_region

ALIKE = (60.0, 120.0, 200.0)
FIXED = (500.0, 800.0, 1100.0, 1500.0)
BLOCKS = (0.15, 0.25, 0.35)


def doubted(network: LineNetwork, sigma: float) -> LineNetwork:
    lines = tuple(line.model_copy(update={"sigma": sigma}) for line in network.lines)
    return network.model_copy(update={"lines": lines})


def main(draws: int) -> None:
    ends = np.linspace(0.0, 1.0, 501)
    truth = MeshLocator(*grid_mesh(cab, ends, ends))

    def tell(words: str, network: LineNetwork, spec: RegionSpec) -> None:
        region = span_region(network, spec, edge_length=EDGE)
        most, rms, wrong = judged(region.vertices, region.triangles, truth)
        print(f"  {words:<40}{most:>8.2f}{rms:>8.3f}{wrong:>8.2f}", flush=True)

    for alike in ALIKE:
        for seed in range(draws):
            wander = noisy(cab, alike, seed)

            def half(s: np.ndarray, t: np.ndarray, wander=wander) -> np.ndarray:
                return 0.5 * (cab(s, t) + wander(s, t))

            network, spec = seven_by_seven(half, 0.5)
            print(f"noise alike over {alike:.0f} mm, draw {seed}")
            tell("lines hard", doubted(network, 0.0), spec)
            tell("each line within its own doubt", network, spec)
            for wave in FIXED:
                moved = soften_lines(network, spec, tolerance=1.0, wave=wave).network
                tell(f"together, waves under {wave:.0f} mm", doubted(moved, 0.0), spec)
            for block in BLOCKS:
                softening.BLOCK = block
                found = soften_lines(network, spec, tolerance=1.0)
                words = f"foretold over {block:g} of the size: {found.wave:.0f} mm"
                tell(words, doubted(found.network, 0.0), spec)
            tell("the last, and each within its doubt", found.network, spec)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1)
