"""The inner frame against trimesh, rigidity theory, statics and tables that we did not write."""

import json
from dataclasses import dataclass
from itertools import pairwise, product
from pathlib import Path

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.buck import make_buck
from buckwright.model.buck import Buck, BuckSpec, FrameMember, Wire
from buckwright.model.job import Job
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin
from buckwright.skin import span_skin
from networks_on_paper import network_of
from tubes_in_space import deepest_post, fine_axis, frame_room, member_frame, skin_points

Array = NDArray[np.float64]
WREN = Path(__file__).parents[2] / "examples" / "wren"
DATA = Path(__file__).parents[1] / "data"
TUBE = 25.4


@dataclass(frozen=True)
class Example:
    """The example's body on its true lines, and its buck."""

    job: Job
    spec: BuckSpec
    network: LineNetwork
    skin: Skin
    buck: Buck


@pytest.fixture(scope="module", name="example")
def _example() -> Example:
    job = Job.model_validate_json((WREN / "job.json").read_text(encoding="utf-8"))
    truth = json.loads((WREN / "truth.json").read_text(encoding="utf-8"))["lines"]
    curves, closed = {}, set()
    for name, line in truth.items():
        points = np.array(line["points"])
        ring = bool(line["closed"])
        if ring:
            closed.add(name)
            points = np.vstack([points, points[:1]])
        at = np.linspace(0.0, 1.0, len(points))

        def curve(t: Array, at: Array = at, points: Array = points) -> Array:
            return np.column_stack([np.interp(t, at, points[:, k]) for k in range(3)])

        curves[name] = curve
    network = network_of(curves, closed=frozenset(closed), points=241)
    skin = span_skin(network, job.regions, edge_length=40.0)
    assert job.buck is not None
    rims = [line.name for line in job.lines if line.use == "datum" and line.closed]
    buck = make_buck(job.buck, network, skin, people=job.people, rims=rims)
    return Example(job, job.buck, network, skin, buck)


def _surface(member: FrameMember, step: float = 8.0) -> Array:
    """Points all over the faces of a member's tube."""
    middle, axes, half = member_frame(member, TUBE)
    grids = [np.linspace(-h, h, max(int(2.0 * h / step), 2) + 1) for h in half]
    grid = np.stack(np.meshgrid(*grids, indexing="ij"), axis=-1).reshape(-1, 3)
    outer = (np.abs(np.abs(grid) - half) < 1e-9).any(axis=1)
    return np.asarray(middle + grid[outer] @ axes)


def _least_gap_by_trimesh(points: Array, skin: Skin) -> float:
    """Least distance of the points to the skin's triangles, by trimesh's closest points.

    Each point is paired with every triangle whose middle is near enough for it to count.
    """
    corners = np.vstack([region.corners() for region in skin.regions])
    middles = corners.mean(axis=1)
    radius = float(np.linalg.norm(corners - middles[:, None], axis=2).max())
    gap, _ = cKDTree(middles).query(points)
    # A triangle nearer than the nearest middle so far has its middle within that and a radius.
    near = points[gap - radius < gap.min()]
    pairs = cKDTree(middles).query_ball_point(near, gap.min() + radius)
    owner = np.repeat(np.arange(len(near)), [len(found) for found in pairs])
    triangles = np.concatenate([np.array(found, dtype=int) for found in pairs])
    asked = near[owner]
    closest = trimesh.triangles.closest_point(corners[triangles], asked)
    return float(np.linalg.norm(closest - asked, axis=1).min())


def test_the_examples_frame_keeps_30_mm_off_every_region_as_trimesh_measures(
    example: Example,
) -> None:
    points = np.vstack([_surface(member) for member in example.buck.members])
    room = _least_gap_by_trimesh(points, example.skin) - example.spec.sheet_thickness
    assert room >= 30.0
    assert example.buck.frame is not None
    assert example.buck.frame.rooms.skin == pytest.approx(room, abs=0.5)


def test_the_check_by_trimesh_sees_a_frame_that_is_too_wide(example: Example) -> None:
    (rail,) = (m for m in example.buck.members if m.name == "rail upper left")
    aside = np.array([0.0, -8.0, 0.0])
    moved = rail.model_copy(update={"start": rail.start + aside, "end": rail.end + aside})
    room = _least_gap_by_trimesh(_surface(moved), example.skin) - example.spec.sheet_thickness
    assert room < 30.0


def test_the_examples_box_lies_inside_the_body_on_every_ray_across(example: Example) -> None:
    """From the middle plane a level ray passes the member before it meets the body's side."""
    body = example.skin.region("body")
    mesh = trimesh.Trimesh(body.vertices, body.triangles, process=False)
    rails = [m for m in example.buck.members if m.role == "rail"]
    for rail in rails:
        middle = 0.5 * (rail.start + rail.end)
        plane = mesh.section(plane_origin=middle, plane_normal=[1.0, 0.0, 0.0])
        side = np.sign(middle[1]) * plane.vertices[:, 1]
        level = np.abs(plane.vertices[:, 2] - middle[2]) < 25.0
        assert side[level & (side > 0.0)].min() > abs(middle[1])


def test_the_examples_frame_keeps_30_mm_off_wheels_and_off_people_once_bolts_are_out(
    example: Example,
) -> None:
    frame = example.buck.frame
    assert frame is not None
    assert len(frame.wheels) == 4
    points = np.vstack([_surface(member) for member in example.buck.members])
    for wheel in frame.wheels:
        solid = trimesh.creation.cylinder(radius=wheel.radius, height=wheel.width, sections=96)
        along_y = trimesh.transformations.rotation_matrix(np.pi / 2.0, [1.0, 0.0, 0.0])
        solid.apply_transform(along_y)
        solid.apply_translation(wheel.centre)
        offset = np.abs(points - wheel.centre)
        near = points[
            (np.hypot(offset[:, 0], offset[:, 2]) < wheel.radius + 50.0)
            & (offset[:, 1] < 0.5 * wheel.width + 50.0)
        ]
        pairs = list(product(range(len(near)), range(len(solid.triangles))))
        least = np.inf
        for first in range(0, len(pairs), 400_000):
            i, j = np.array(pairs[first : first + 400_000]).T
            closest = trimesh.triangles.closest_point(solid.triangles[j], near[i])
            least = min(least, float(np.linalg.norm(closest - near[i], axis=1).min()))
        assert least >= 30.0
    staying = np.vstack([_surface(m) for m in example.buck.members if not m.bolted])
    for part in frame.people:
        away = np.maximum(np.maximum(part.low - staying, staying - part.high), 0.0)
        assert np.linalg.norm(away, axis=1).min() >= 30.0
    sitting = {part.person for part in frame.people}
    assert sitting == {person.name for person in example.job.people.people}


def test_the_boxes_round_people_hold_their_measured_sizes(example: Example) -> None:
    frame, people = example.buck.frame, example.job.people
    assert frame is not None
    assert people is not None
    for person in people.people:
        mine = [part for part in frame.people if part.person == person.name]
        by_part = {part.part: part for part in mine}
        breadth = {name: part.high[1] - part.low[1] for name, part in by_part.items()}
        assert breadth["trunk"] == pytest.approx(person.shoulder_breadth + people.clothing)
        assert breadth["forearms"] == pytest.approx(person.elbow_breadth + people.clothing)
        top = max(part.high[2] for part in mine)
        assert top == pytest.approx(people.seat_z + person.sitting_height + 0.5 * people.clothing)
    trunks = [part for part in frame.people if part.part == "trunk"]
    assert trunks[0].high[1] < trunks[1].low[1]


def test_every_region_of_the_example_is_held_by_posts_its_wings_too(example: Example) -> None:
    wires = {wire.name: wire for wire in example.buck.wires}
    held = [(wires[p.wire].region, wires[p.wire].side) for p in example.buck.posts]
    for region in example.skin.regions:
        least = 2 if "wing" in region.name else 1
        assert held.count((region.name, region.side)) >= least, (region.name, region.side)


def test_no_post_of_the_example_goes_through_metal_wires_openings_wheels_or_tubes(
    example: Example,
) -> None:
    radius = 0.5 * example.spec.rod_diameter
    assert deepest_post(example.buck.posts, example.buck.wires, 2.0 * radius) < 0.1
    tree = cKDTree(skin_points(example.skin.regions, cuts=6))
    members = {member.name: member for member in example.buck.members}
    assert example.buck.frame is not None
    for post in example.buck.posts:
        axis = fine_axis(np.vstack([post.start, post.end]), step=1.0)
        gap, _ = tree.query(axis)
        assert gap.min() > radius + example.spec.sheet_thickness - 0.1, post.name
        assert frame_room([members[post.member]], TUBE, post.start[None]) == pytest.approx(0.0)
        others = [member for name, member in members.items() if name != post.member]
        assert frame_room(others, TUBE, axis[12:]) >= radius - 0.1, post.name
        for wheel in example.buck.frame.wheels:
            offset = np.abs(axis - wheel.centre)
            inside = np.hypot(offset[:, 0], offset[:, 2]) < wheel.radius + radius
            assert not (inside & (offset[:, 1] < 0.5 * wheel.width + radius)).any(), post.name


def _tangent_near(wire: Wire, point: Array) -> tuple[Array, float]:
    """Direction of a wire where it passes a point, by a parabola through five of its points."""
    here = int(np.argmin(np.linalg.norm(wire.axis - point, axis=1)))
    count = len(wire.axis)
    first = here - 2 if wire.closed else int(np.clip(here - 2, 0, count - 5))
    five = wire.axis[np.arange(first, first + 5) % count]
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(five, axis=0), axis=1))])
    curve = np.polyfit(along, five, 2)
    fine = np.linspace(0.0, along[-1], 4001)[:, None]
    gaps = np.linalg.norm(curve[0] * fine**2 + curve[1] * fine + curve[2] - point, axis=1)
    at = float(fine[int(np.argmin(gaps)), 0])
    return 2.0 * curve[0] * at + curve[1], float(gaps.min())


def test_posts_sit_at_the_angles_that_they_say(example: Example) -> None:
    normals = {"front": (0, -1), "rear": (0, 1), "left": (1, -1)}
    normals |= {"right": (1, 1), "under": (2, -1), "upper": (2, 1)}
    members = {member.name: member for member in example.buck.members}
    wires = {wire.name: wire for wire in example.buck.wires}
    for post in example.buck.posts:
        along = (post.end - post.start) / np.linalg.norm(post.end - post.start)
        k, sign = normals[post.face]
        cosine = np.clip(sign * along[k], -1.0, 1.0)
        assert post.angle_at_member_deg == pytest.approx(np.degrees(np.arccos(cosine)), abs=1e-6)
        middle, _, _ = member_frame(members[post.member], TUBE)
        assert sign * (post.start[k] - middle[k]) == pytest.approx(0.5 * TUBE)
        wire = wires[post.wire]
        past = 0.5 * wire.diameter / np.sin(np.radians(post.angle_at_wire_deg))
        tangent, gap = _tangent_near(wire, post.end + past * along)
        assert gap < 0.1
        tilt = abs(along @ tangent) / np.linalg.norm(tangent)
        assert post.angle_at_wire_deg == pytest.approx(np.degrees(np.arccos(tilt)), abs=1.5)


def test_the_example_comes_out_downward_as_a_frame_moved_step_by_step_shows(
    example: Example,
) -> None:
    frame = example.buck.frame
    assert frame is not None
    assert frame.way_out is not None
    assert frame.way_out.free
    assert frame.way_out.direction == pytest.approx([0.0, 0.0, -1.0])
    tree = cKDTree(skin_points(example.skin.regions, cuts=2))
    points = np.vstack([_surface(member, step=40.0) for member in example.buck.members])
    least = min(
        float(tree.query(points + down * frame.way_out.direction)[0].min())
        for down in np.arange(0.0, 1700.0, 60.0)
    )
    assert frame.way_out.least_gap <= least + 1.0
    assert least > 5.0


def test_a_fully_braced_box_has_just_the_bars_that_make_it_stiff(example: Example) -> None:
    """The rigidity matrix of the pin-jointed box has rank 3 j - 6, and no bar is too many.

    Maxwell, 'On the calculation of the equilibrium and stiffness of frames', Phil. Mag. 27
    (1864); Dehn (1916) for triangulated convex surfaces.
    """
    box = [m for m in example.buck.members if m.role in ("rail", "cross", "upright", "diagonal")]
    assert example.buck.frame is not None
    assert example.buck.frame.unbraced == ()
    uprights = [m for m in box if m.role == "upright"]
    nodes = np.array([p for m in uprights for p in (m.start, m.end)])
    bars: list[tuple[int, int]] = []
    for member in box:
        ends = (member.start, member.end)
        if member.role == "rail":
            along = np.flatnonzero((np.abs(nodes - member.start)[:, 1:] < 1.0).all(axis=1))
            ordered = along[np.argsort(nodes[along, 0])].tolist()
            bars += list(pairwise(ordered))
        else:
            bars.append(tuple(int(np.linalg.norm(nodes - e, axis=1).argmin()) for e in ends))
    matrix = np.zeros((len(bars), nodes.size))
    for row, (i, j) in enumerate(bars):
        along = (nodes[j] - nodes[i]) / np.linalg.norm(nodes[j] - nodes[i])
        matrix[row, 3 * i : 3 * i + 3], matrix[row, 3 * j : 3 * j + 3] = -along, along
    assert len(bars) == nodes.size - 6
    assert np.linalg.matrix_rank(matrix, tol=1e-9) == nodes.size - 6


def test_diagonals_of_the_example_weigh_and_measure_what_their_cuts_say(
    example: Example,
) -> None:
    per_mm = example.buck.frame.mass_per_m / 1000.0 if example.buck.frame else 0.0
    diagonals = [m for m in example.buck.members if m.role == "diagonal"]
    assert len(diagonals) == 4 * 3 + 2
    for one in diagonals:
        length = float(np.linalg.norm(one.end - one.start))
        back = TUBE * np.tan(np.radians(one.start_mitre_deg))
        assert one.cut_length == pytest.approx(length + back)
        assert one.mass == pytest.approx(length * per_mm)
        assert one.start_mitre_deg == one.end_mitre_deg
        assert one.mitre_plane


def test_the_bucks_centre_of_gravity_is_that_of_trimesh_solids_of_its_tubes(
    example: Example,
) -> None:
    """Frame alone: solid boxes in the members' places, weighed by their mass."""
    centres, masses = [], []
    for member in example.buck.members:
        middle, axes, half = member_frame(member, TUBE)
        solid = trimesh.creation.box(extents=2.0 * half)
        place = np.eye(4)
        place[:3, :3], place[:3, 3] = axes.T, middle
        solid.apply_transform(place)
        centres.append(solid.center_mass)
        masses.append(member.mass)
    assert example.buck.frame is not None
    expected = np.average(centres, axis=0, weights=masses)
    assert example.buck.frame.centre_of_gravity == pytest.approx(expected, abs=1e-6)
    assert example.buck.frame.members_mass == pytest.approx(sum(masses))
