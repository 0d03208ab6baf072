"""The outline that silhouettes leave, behind the lines of every view."""

import numpy as np
import shapely
import trimesh

from buckwright.web.sheets.underlay import outline_in_views
from web.outlined_cab import make_outlined_cab_file


def test_a_ring_s_outline_has_the_area_that_it_must_have():
    """Exact: from above a torus is a ring, from the side a stadium."""
    far, near = 400.0, 90.0
    torus = trimesh.creation.torus(
        major_radius=far, minor_radius=near, major_sections=120, minor_sections=60
    )
    points, faces = np.asarray(torus.vertices), np.asarray(torus.faces)
    outer, hole = outline_in_views(points, faces, (0, 1))
    ring = shapely.Polygon(outer, [hole])
    assert abs(ring.area / (4.0 * np.pi * far * near) - 1.0) < 0.003
    for axes in ((0, 2), (1, 2)):
        (stadium,) = outline_in_views(points, faces, axes)
        exact = 4.0 * far * near + np.pi * near**2
        assert abs(shapely.Polygon(stadium).area / exact - 1.0) < 0.003


def test_all_lines_lie_inside_the_outline_and_departures_move_both(open_client, tmp_path):
    path = tmp_path / "cab.buck"
    make_outlined_cab_file(path)
    client = open_client(path)
    sheet = client.get("/api/sheet/lines").json()
    assert sheet["silhouettes"] == len(sheet["pictures"])
    told = client.get("/api/underlay").json()
    assert told["pictures"] == sheet["silhouettes"]
    for name, axes in (("side", (0, 2)), ("front", (1, 2)), ("plan", (0, 1))):
        area = shapely.union_all([shapely.Polygon(ring) for ring in told["views"][name]])
        points = np.vstack([line["points"] for line in sheet["lines"]])[:, axes]
        off = shapely.distance(shapely.points(points), area)
        assert off.max() < told["cell"]
        # It is an underlay, not a box: nowhere far from the body either.
        around = shapely.MultiPoint(points).convex_hull.buffer(12.0 * told["cell"])
        assert around.covers(area)


def test_without_outlines_there_is_nothing_to_lay_under_and_it_is_said(cab):
    assert cab.get("/api/sheet/lines").json()["silhouettes"] == 0
    refused = cab.get("/api/underlay")
    assert refused.status_code == 422
    assert "outline" in refused.json()["problem"]
