"""The inner frame of a van-like body: its share of the whole buck, and trimesh's word on its room.

CPU seconds of the whole process. The peer measures the room of the same frame by trimesh's
closest points on every triangle that can count; ours is measured with the frame.
"""

import sys
from pathlib import Path
from time import perf_counter, process_time

import numpy as np
import trimesh
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.buck import make_buck
from buckwright.buck.frame import member_bar
from buckwright.model.buck import Buck, BuckSpec, WireSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin

# The body is that of the tests.
sys.path.append(str(Path(__file__).parents[1] / "tests"))
from skins_on_paper import tunnel

Array = NDArray[np.float64]


def main() -> None:
    """Print the table."""
    skin, network = tunnel()
    wires = [WireSpec(name=line.name, region="body", line=line.name) for line in network.lines]
    wires += [
        WireSpec(name=f"station {x}", region="body", plane=("x", float(x)))
        for x in (800, 1100, 1900, 2300)
    ]
    spec = BuckSpec(wires=tuple(wires), frame_x=(600.0, 2600.0))
    bare, *_ = _timed(spec.model_copy(update={"frame_x": (0.0, 0.0)}), network, skin)
    whole, wall, buck = _timed(spec, network, skin)
    start = process_time()
    peer = _room_by_trimesh(buck, skin) - spec.sheet_thickness
    peer_time = process_time() - start
    print("what                                  CPU s   room mm")
    print(f"buck without frame                  {bare:7.2f}")
    print(f"buck with frame and posts           {whole:7.2f} {buck.frame_clearance:9.2f}")
    print(f"frame and posts (difference)        {whole - bare:7.2f}   wall, all {wall:.2f} s")
    print(f"room of that frame by trimesh       {peer_time:7.2f} {peer:9.2f}")
    print(
        f"\n{len(buck.members)} members, {len(buck.posts)} posts; ours less trimesh's room: "
        f"{buck.frame_clearance - peer:+.3f} mm"
    )


def _timed(spec: BuckSpec, network: LineNetwork, skin: Skin) -> tuple[float, float, Buck]:
    wall, cpu = perf_counter(), process_time()
    buck = make_buck(spec, network, skin)
    return process_time() - cpu, perf_counter() - wall, buck


def _room_by_trimesh(buck: Buck, skin: Skin) -> float:
    points = np.vstack([member_bar(m, 25.4).surface(4.0) for m in buck.members])
    corners = np.vstack([region.corners() for region in skin.regions])
    middles = corners.mean(axis=1)
    radius = float(np.linalg.norm(corners - middles[:, None], axis=2).max())
    gap, _ = cKDTree(middles).query(points)
    near = points[gap - radius < gap.min()]
    pairs = cKDTree(middles).query_ball_point(near, gap.min() + radius)
    owner = np.repeat(np.arange(len(near)), [len(found) for found in pairs])
    triangles = np.concatenate([np.array(found, dtype=int) for found in pairs])
    closest = trimesh.triangles.closest_point(corners[triangles], near[owner])
    return float(np.linalg.norm(closest - near[owner], axis=1).min())


if __name__ == "__main__":
    main()
