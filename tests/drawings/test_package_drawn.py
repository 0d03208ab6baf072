"""People and package in the drafting views."""

import numpy as np
import pytest

from buckwright.drawings import elevation_sheets
from buckwright.model.package import Clearance, Package, PackageShape
from drawings import small_job


def box(name: str, kind: str, low: tuple[float, ...], high: tuple[float, ...]) -> PackageShape:
    corners = np.array(np.meshgrid(*zip(low, high, strict=True), indexing="ij")).reshape(3, -1).T
    views = {
        view: np.array([[low[a], low[b]], [high[a], low[b]], [high[a], high[b]], [low[a], high[b]]])
        for view, (a, b) in {"side": (0, 2), "plan": (0, 1), "rear": (1, 2)}.items()
    }
    triangles = np.array([[0, 1, 2], [1, 3, 2]])
    return PackageShape.model_validate(
        {"name": name, "kind": kind, "vertices": corners, "triangles": triangles, **views}
    )


PACKAGE = Package(
    shapes=(
        box("engine box", "engine", (-900.0, -200.0, 300.0), (-100.0, 300.0, 900.0)),
        box("front wheel left, swept", "swept", (-300.0, -800.0, 0.0), (300.0, -500.0, 700.0)),
    ),
    clearances=(
        Clearance(name="Ann's feet", value=-12.0, wanted=0.0, at=(0.0, 0.0, 0.0), words="to it"),
        Clearance(name="Ann's head", value=90.0, wanted=40.0, at=(0.0, 0.0, 0.0), words="to it"),
    ),
    cautions=("Glazing: FMVSS 205.",),
)


@pytest.fixture(scope="module")
def sheets():
    drawn = elevation_sheets(small_job.job(), small_job.reference(), PACKAGE)
    return {sheet.name: sheet for sheet in drawn}


def test_a_box_is_drawn_in_every_view_where_it_stands(sheets):
    expected = {
        "side-elevation": ([-900.0, 300.0], [-100.0, 900.0]),
        "plan": ([-900.0, -200.0], [-100.0, 300.0]),
        # Seen from the front, the vehicle's right is on the left.
        "front-elevation": ([-300.0, 300.0], [200.0, 900.0]),
        "rear-elevation": ([-200.0, 300.0], [300.0, 900.0]),
    }
    for name, (low, high) in expected.items():
        (stroke,) = (s for s in sheets[name].strokes if s.name == "engine box")
        assert stroke.ink == "thin"
        assert stroke.closed
        np.testing.assert_allclose(stroke.points.min(axis=0), low)
        np.testing.assert_allclose(stroke.points.max(axis=0), high)


def test_what_a_wheel_sweeps_has_its_own_pen_and_the_grid_reaches_round_everything(sheets):
    side = sheets["side-elevation"]
    (swept,) = (s for s in side.strokes if s.name == "front wheel left, swept")
    assert swept.ink == "centre"
    grid = np.vstack([s.points for s in side.strokes if s.ink == "grid"])
    assert grid[:, 0].min() <= -900.0


def test_lacking_room_and_cautions_stand_on_the_sheet(sheets):
    notes = " ".join(sheets["plan"].notes)
    assert "Ann's feet: -12 mm to it, 0 mm wanted" in notes
    assert "Ann's head" not in notes
    assert "FMVSS 205" in notes


def test_without_a_package_the_sheets_stay_as_they_are():
    plain = elevation_sheets(small_job.job(), small_job.reference())
    again = elevation_sheets(small_job.job(), small_job.reference(), None)
    assert [s.model_dump_json() for s in plain] == [s.model_dump_json() for s in again]
    assert not any("chain lines" in note for sheet in plain for note in sheet.notes)
