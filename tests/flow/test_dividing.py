"""Panels made two by a seam drawn by hand, and one again by dropping it."""

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.flow.dividing import divide_panel, drop_seam, seam_names
from buckwright.geometry.mesh import triangle_areas
from buckwright.model.job import Job
from buckwright.model.panels import EdgeSpec, PanelSpec, SeamSpec
from buckwright.model.skin import LineTrack, Skin, SkinRegion
from buckwright.panels.seams import cut_panels

LONG, WIDE = 400.0, 200.0


def plate_skin() -> Skin:
    """A flat plate, 400 along x and 200 along y, with a line along its middle."""
    rows, columns = 21, 11
    x, y = np.meshgrid(np.linspace(0, LONG, rows), np.linspace(0, WIDE, columns), indexing="ij")
    at = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]
    triangles = np.concatenate([np.stack([a, b, c], -1), np.stack([a, c, d], -1)]).reshape(-1, 3)
    rim = np.concatenate([at[:-1, 0], at[-1, :-1], at[:0:-1, -1], at[0, :0:-1]])
    flat = np.stack([x, y], axis=-1).reshape(-1, 2)
    region = SkinRegion(
        name="plate",
        side="whole",
        vertices=np.column_stack([flat, np.zeros(len(flat))]),
        triangles=triangles,
        chart=flat,
        boundary=(LineTrack(line="rim", vertices=rim, closed=True),),
        inner=(LineTrack(line="middle", vertices=at[:, columns // 2], closed=False),),
        holes=(),
        line_error_most=0.0,
        line_error_rms=0.0,
    )
    return Skin(regions=(region,))


def plate_job(*panels: PanelSpec) -> Job:
    return Job(name="plate", panels=panels or (PanelSpec(name="plate", region="plate"),))


def across(x: float, name: str = "cut") -> SeamSpec:
    return SeamSpec(name=name, region="plate", through=((x, 0.0, 0.0), (x, WIDE, 0.0)))


def test_a_seam_across_a_plate_parts_it_in_the_areas_of_the_two_rectangles() -> None:
    job = divide_panel(plate_job(), plate_skin(), "plate", across(120.0))
    assert [panel.name for panel in job.panels] == ["plate front", "plate rear"]
    panels, findings = cut_panels(job.panels, plate_skin(), job.seams)
    areas = [float(triangle_areas(p.vertices, p.triangles).sum()) for p in panels]
    assert areas == pytest.approx([120.0 * WIDE, 280.0 * WIDE], rel=1e-6)
    assert findings == ()


def test_a_seam_along_a_line_of_the_skin_parts_it_left_and_right() -> None:
    seam = SeamSpec(name="spine", region="plate", line="middle")
    job = divide_panel(plate_job(), plate_skin(), "plate", seam)
    assert [panel.name for panel in job.panels] == ["plate left", "plate right"]
    panels, _ = cut_panels(job.panels, plate_skin(), job.seams)
    areas = [float(triangle_areas(p.vertices, p.triangles).sum()) for p in panels]
    assert areas == pytest.approx([LONG * WIDE / 2.0] * 2, rel=1e-9)


def test_each_part_keeps_the_edges_that_it_has() -> None:
    wired = EdgeSpec(along="rim", treatment="wired edge", wire=4.0)
    spec = PanelSpec(name="plate", region="plate", edges=(wired,), aim="stretch-only")
    job = divide_panel(plate_job(spec), plate_skin(), "plate", across(200.0))
    assert [(p.edges, p.aim) for p in job.panels] == [((wired,), "stretch-only")] * 2


def test_dividing_and_dropping_gives_the_panel_back() -> None:
    job = divide_panel(plate_job(), plate_skin(), "plate", across(120.0))
    joined = drop_seam(job, "cut", "plate")
    assert [panel.name for panel in joined.panels] == ["plate"]
    assert joined.seams == ()
    (panel,), findings = cut_panels(joined.panels, plate_skin(), ())
    assert float(triangle_areas(panel.vertices, panel.triangles).sum()) == pytest.approx(80_000.0)
    assert findings == ()


def test_a_plane_between_two_panels_is_dropped_like_a_seam() -> None:
    front = PanelSpec(name="plate front", region="plate", below=(("x", 120.0),))
    rear = PanelSpec(name="plate rear", region="plate", above=(("x", 120.0),))
    assert seam_names(front) == ("x = 120",)
    joined = drop_seam(plate_job(front, rear), "x = 120", "plate")
    assert [(p.name, p.above, p.below) for p in joined.panels] == [("plate", (), ())]


def test_a_seam_on_which_others_end_is_dropped_last() -> None:
    job = divide_panel(plate_job(), plate_skin(), "plate", across(120.0))
    onto = SeamSpec(name="onto", region="plate", through=((120.0, 100.0, 0.0), (LONG, 100.0, 0.0)))
    job = divide_panel(job, plate_skin(), "plate rear", onto)
    assert len(job.panels) == 3
    with pytest.raises(JobError, match="More than two panels end at 'cut'"):
        drop_seam(job, "cut", "plate")
    assert len(drop_seam(drop_seam(job, "onto", "plate"), "cut", "plate").panels) == 1


@pytest.mark.parametrize(
    ("panel", "seam", "words"),
    [
        ("other", across(120.0), "no panel 'other'"),
        (
            "plate",
            SeamSpec(
                name="short", region="plate", through=((150.0, 100.0, 0.0), (250.0, 100.0, 0.0))
            ),
            "does not part panel",
        ),
        ("plate", SeamSpec(name="line", region="plate", line="nowhere"), "no line 'nowhere'"),
        ("plate", SeamSpec(name="none", region="plate"), "two points at least"),
    ],
)
def test_a_seam_that_parts_nothing_is_refused(panel: str, seam: SeamSpec, words: str) -> None:
    with pytest.raises(JobError, match=words):
        divide_panel(plate_job(), plate_skin(), panel, seam)


def test_a_second_seam_of_a_name_and_one_that_is_not_there_are_refused() -> None:
    job = divide_panel(plate_job(), plate_skin(), "plate", across(120.0))
    with pytest.raises(JobError, match="already"):
        divide_panel(job, plate_skin(), "plate rear", across(300.0))
    with pytest.raises(JobError, match="no seam 'gap'"):
        drop_seam(job, "gap", "plate")
