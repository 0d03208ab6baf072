"""The hull of outlines against bodies whose outlines, hulls and volumes are known exactly."""

import cv2
import numpy as np
import pytest
import shapely
import trimesh

from buckwright.errors import JobError
from buckwright.model.pictures import Calibration, MeasuredLine, Picture, Trace
from buckwright.views.hull import hull_of_outlines, lines_outside
from buckwright.views.outlines import (
    Outline,
    drawn_out,
    inside_by,
    outline_of_mask,
    outlines_of_traces,
    outside_by,
)

BOX = np.array([[-150.0, -150.0, -150.0], [150.0, 150.0, 150.0]])
UP = np.array([0.0, 0.0, 100.0])


def camera(name: str, eye, *, focal: float = 2000.0, size=(1600, 1200)) -> Picture:
    """Looks at the origin from `eye`."""
    eye = np.array(eye, dtype=np.float64)
    ahead = -eye / np.linalg.norm(eye)
    side = np.cross(ahead, [0.0, 0.0, 1.0] if abs(ahead[2]) < 0.9 else [0.0, 1.0, 0.0])
    side /= np.linalg.norm(side)
    turn = np.array([side, np.cross(ahead, side), ahead])
    return Picture(
        name=name,
        size=size,
        rotation_vector=cv2.Rodrigues(turn)[0].ravel(),
        translation=-turn @ eye,
        focal=focal,
        principal=((size[0] - 1) / 2.0, (size[1] - 1) / 2.0),
        distortion=np.zeros(5),
        residual_px=0.05,
        corners_used=100,
    )


def seen(picture: Picture, points: np.ndarray) -> np.ndarray:
    """By OpenCV."""
    lens = np.diag([picture.focal, picture.focal, 1.0])
    lens[:2, 2] = picture.principal
    return cv2.projectPoints(
        points, picture.rotation_vector, picture.translation, lens, np.zeros(5)
    )[0][:, 0]


def convex(picture: Picture, points: np.ndarray) -> Outline:
    """The outline of a convex body is the hull of what its points show."""
    return Outline(picture, shapely.MultiPoint(seen(picture, points)).convex_hull)


def ball(radius, count: int = 4000) -> np.ndarray:
    k = np.arange(count) + 0.5
    height, angle = 1.0 - 2.0 * k / count, np.pi * (1.0 + np.sqrt(5.0)) * k
    flat = np.sqrt(1.0 - height**2)
    return np.column_stack([flat * np.cos(angle), flat * np.sin(angle), height]) * radius


def ring(count: int) -> list[Picture]:
    """Evenly over the sphere of directions."""
    return [
        camera(f"p{k}", eye, focal=1100.0, size=(800, 600))
        for k, eye in enumerate(ball(700.0, count) + 0.2)
    ]


def hull(outlines, cell: float, box=BOX):
    return hull_of_outlines(outlines, box=box, cell=cell)


def far(direction) -> Picture:
    """So far that rays are parallel to a tenth of a millimetre across the body."""
    return camera(f"far {direction}", np.array(direction) * 2e5, focal=1.5e6)


def test_two_and_three_square_outlines_of_a_sphere_leave_steinmetz_solids() -> None:
    # Two equal cylinders that cross at right angles hold 16 r^3 / 3 in common, three
    # 8 (2 - sqrt 2) r^3.
    r, directions = 60.0, ((1, 0, 0), (0, 1, 0), (0, 0, 1))
    outlines = [convex(far(d), ball(r)) for d in directions]
    two = hull(outlines[:2], 2.0)
    assert two.volume == pytest.approx(16.0 / 3.0 * r**3, rel=0.006)
    three = hull(outlines, 2.0)
    assert three.volume == pytest.approx(8.0 * (2.0 - np.sqrt(2.0)) * r**3, rel=0.006)
    assert [f.code for f in three.findings] == ["hull-few"]


def test_square_outlines_of_a_box_leave_the_box() -> None:
    corners = np.array(np.meshgrid([-70.0, 70.0], [-40.0, 40.0], [-25.0, 25.0])).reshape(3, -1).T
    found = hull([convex(far(d), corners) for d in ((1, 0, 0), (0, 1, 0), (0, 0, 1))], 2.0)
    assert found.volume == pytest.approx(140.0 * 80.0 * 50.0, rel=0.01)
    assert np.ptp(found.vertices, axis=0) == pytest.approx([140.0, 80.0, 50.0], abs=0.6)


def test_the_hull_of_an_ellipsoid_holds_it_and_its_volume_comes_down_to_it() -> None:
    body = ball(np.array([95.0, 60.0, 40.0]))
    exact = 4.0 / 3.0 * np.pi * 95.0 * 60.0 * 40.0
    over = []
    for count in (4, 8, 16, 32):
        outlines = [convex(picture, body) for picture in ring(count)]
        found = hull(outlines, 5.0)
        over.append(found.volume / exact - 1.0)
        mesh = trimesh.Trimesh(found.vertices, found.triangles, process=False)
        assert mesh.is_watertight
        assert mesh.volume == pytest.approx(found.volume, rel=1e-9)
        assert max(outside_by(body, o).max() for o in outlines) < 1e-6
    assert over == sorted(over, reverse=True)
    assert over[-1] < 0.04


def test_how_far_a_place_lies_inside_is_told_to_a_part_of_a_pixel() -> None:
    picture = camera("p", (0.0, -800.0, 0.0))
    outline = convex(picture, ball(60.0))
    # In the plane of its centre the outline has radius r D / sqrt(D^2 - r^2).
    edge = 60.0 * 800.0 / np.sqrt(800.0**2 - 60.0**2)
    x = np.linspace(30.0, 100.0, 29)
    points = np.column_stack([x, np.zeros(29), np.zeros(29)])
    assert inside_by(points, drawn_out(outline)) == pytest.approx(edge - x, abs=0.25)
    assert outside_by(points, outline) == pytest.approx(np.maximum(x - edge, 0.0), abs=0.06)
    behind = np.array([[0.0, -900.0, 0.0]])
    assert inside_by(behind, drawn_out(outline))[0] > 1e5
    assert outside_by(behind, outline)[0] == 0.0


def test_an_outline_of_a_mask_is_that_of_what_it_shows() -> None:
    picture = camera("p", (0.0, -800.0, 0.0))
    outline = convex(picture, ball(60.0))
    v, u = np.mgrid[0:1200, 0:1600]
    mask = shapely.contains_xy(outline.area, u.astype(float), v.astype(float))
    found = outline_of_mask(mask, picture)
    assert found.area.area == pytest.approx(outline.area.area, rel=0.003)
    assert found.area.symmetric_difference(outline.area).area < 0.01 * outline.area.area


def line(name: str, points: np.ndarray, sigma: float = 0.2) -> MeasuredLine:
    return MeasuredLine(
        name=name,
        points=points,
        sigma=np.full(len(points), sigma),
        closed=False,
        pictures=("p0", "p1"),
        residual_px=0.5,
        conditioning=np.ones(len(points)),
    )


def test_a_line_that_leaves_the_hull_is_named_with_its_place_and_amount() -> None:
    outlines = [convex(picture, ball(60.0)) for picture in ring(12)]
    angle = np.linspace(0.0, np.pi, 91)
    on = np.column_stack([60.0 * np.cos(angle), 60.0 * np.sin(angle), np.zeros(91)])
    off = on * (1.0 + 0.2 * np.exp(-(((angle - 1.2) / 0.15) ** 2)))[:, None]
    assert lines_outside([line("belt", on)], outlines, cell=2.0) == ()
    (found,) = lines_outside([line("belt", on), line("roof", off)], outlines, cell=2.0)
    assert found.line == "roof"
    # Twelve millimetres outside the sphere; the hull lies at most a little beyond it.
    assert 8.0 < found.amount < 13.0
    assert np.linalg.norm(found.point - off[np.abs(angle - 1.2).argmin()]) < 12.0
    assert 0.0 < found.share < 0.3
    # Within its own doubt nothing is said.
    assert lines_outside([line("roof", off, 6.0)], outlines, cell=2.0) == ()


def test_outlines_of_nothing_or_of_another_body_are_refused() -> None:
    pictures = ring(4)
    outlines = [convex(picture, ball(60.0)) for picture in pictures]
    aside = convex(pictures[0], ball(30.0) + UP)
    across = convex(pictures[1], ball(30.0) - UP)
    for bad, match in (
        (outlines[:1], "1 pictures have an outline"),
        ([], "0 pictures have an outline"),
        ([aside, across, *outlines], "leave nothing between them"),
    ):
        with pytest.raises(JobError, match=match):
            hull(bad, 5.0)
    with pytest.raises(JobError, match="A cell of nothing"):
        hull(outlines, 0.0)
    with pytest.raises(JobError, match="million of them"):
        hull(outlines, 0.2)
    with pytest.raises(JobError, match="has no size"):
        hull(outlines, 5.0, box=np.zeros((2, 3)))
    with pytest.raises(JobError, match="goes round nothing"):
        outline_of_mask(np.zeros((600, 800), bool), pictures[0])
    with pytest.raises(JobError, match="800 x 600"):
        outline_of_mask(np.ones((12, 16), bool), pictures[0])


def test_closed_silhouettes_of_a_job_are_its_outlines() -> None:
    pictures = ring(3)
    solved = Calibration(
        pictures=tuple(pictures),
        groups=(),
        mat_points=np.zeros((4, 3)),
        residual_px=0.05,
        scale="bar",
        scale_sigma=1e-4,
        centre_sigma=np.full(3, 0.02),
    )
    area = convex(pictures[0], ball(60.0)).area

    def trace(picture: str, px, kind: str = "silhouette", closed: bool = True) -> Trace:
        return Trace(line="body", picture=picture, px=px, kind=kind, closed=closed)

    px = np.array(area.exterior.coords)[:-1]
    traces = [
        trace("p0", px),
        trace("p1", px, kind="edge"),
        trace("p1", px, closed=False),
        trace("elsewhere", px),
    ]
    (found,) = outlines_of_traces(traces, solved)
    assert found.picture.name == "p0"
    assert found.area.equals(area)
    dot = np.array([[5.0, 5.0], [6.0, 5.0], [5.5, 5.0]])
    with pytest.raises(JobError, match="The outline in p2 goes round nothing"):
        outlines_of_traces([trace("p2", dot)], solved)
