import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.geometry.mesh import triangle_areas
from buckwright.geometry.mesh_faults import mesh_form
from buckwright.model.panels import PanelSpec
from buckwright.panels.seams import cut_panels
from discs_on_paper import as_skin, wing

SKIN = as_skin(wing(10), "front wing")
THREE = (
    PanelSpec(name="nose", region="front wing", below=(("x", -160.0),)),
    PanelSpec(name="top", region="front wing", above=(("x", -160.0),), below=(("x", 150.0),)),
    PanelSpec(name="tail", region="front wing", above=(("x", 150.0),)),
)


def off_wing(points: np.ndarray) -> np.ndarray:
    return (
        np.hypot(np.hypot(points[:, 0], points[:, 2] - 330.0) - 200.0, points[:, 1] + 692.0) - 230
    )


def test_neighbours_share_exactly_the_vertices_of_their_seam() -> None:
    (nose, top, tail), findings = cut_panels(THREE, SKIN)
    assert findings == ()
    for left, right, at in ((nose, top, -160.0), (top, tail, 150.0)):
        ours = {tuple(v) for v in left.vertices[left.vertices[:, 0] == at]}
        theirs = {tuple(v) for v in right.vertices[right.vertices[:, 0] == at]}
        assert ours == theirs
        assert len(ours) > 10


def test_each_panel_is_a_disc_on_its_side_of_the_seams() -> None:
    panels, _ = cut_panels(THREE, SKIN)
    limits = [(-np.inf, -160.0), (-160.0, 150.0), (150.0, np.inf)]
    for panel, (low, high) in zip(panels, limits, strict=True):
        assert mesh_form(panel.triangles).is_disc
        assert panel.vertices[:, 0].min() >= low - 1e-9
        assert panel.vertices[:, 0].max() <= high + 1e-9


def test_seam_vertices_lie_on_the_surface_behind_the_mesh() -> None:
    panels, _ = cut_panels(THREE, SKIN)
    for panel in panels:
        seam = panel.vertices[np.isin(panel.vertices[:, 0], (-160.0, 150.0))]
        # The coarse mesh has chords of up to 60 mm, 2 mm inside the surface.
        assert np.abs(off_wing(seam)).max() < 0.15


def test_the_panels_together_have_the_area_of_the_region() -> None:
    panels, _ = cut_panels(THREE, SKIN)
    whole, _ = cut_panels((PanelSpec(name="all", region="front wing"),), SKIN)
    parts = sum(triangle_areas(p.vertices, p.triangles).sum() for p in panels)
    assert parts == pytest.approx(
        triangle_areas(whole[0].vertices, whole[0].triangles).sum(), rel=1e-5
    )


def test_metal_that_no_panel_covers_is_a_finding() -> None:
    _, findings = cut_panels((THREE[0], THREE[2]), SKIN)
    assert [finding.code for finding in findings] == ["metal-left-out"]


def test_metal_that_two_panels_cover_is_a_finding() -> None:
    wide = PanelSpec(name="wide top", region="front wing", above=(("x", -200.0),))
    _, findings = cut_panels((THREE[0], wide), SKIN)
    assert [finding.code for finding in findings] == ["panels-overlap"]


def test_seams_may_cross() -> None:
    x, y = ("x", 10.0), ("y", -690.0)
    sides = [((x, y), ()), ((x,), (y,)), ((y,), (x,)), ((), (x, y))]
    quarters = tuple(
        PanelSpec(name=f"quarter {n}", region="front wing", above=above, below=below)
        for n, (above, below) in enumerate(sides)
    )
    panels, findings = cut_panels(quarters, SKIN)
    assert findings == ()
    assert all(mesh_form(panel.triangles).is_disc for panel in panels)
    corners = [{tuple(v) for v in panel.vertices} for panel in panels]
    assert len(set.intersection(*corners)) == 1


@pytest.mark.parametrize(
    ("specs", "words"),
    [
        ((PanelSpec(name="p", region="bonnet"),), "no region 'bonnet'"),
        ((PanelSpec(name="p", region="front wing", above=(("x", 9000.0),)),), "nothing is left"),
        ((THREE[0], THREE[0].model_copy(update={"above": ()})), "called 'nose'"),
    ],
)
def test_specs_that_cannot_be_met_are_refused(specs: tuple[PanelSpec, ...], words: str) -> None:
    with pytest.raises(JobError, match=words):
        cut_panels(specs, SKIN)


def test_a_left_region_is_taken_before_its_mirror_image() -> None:
    left = SKIN.regions[0]
    right = left.model_copy(
        update={
            "side": "right",
            "vertices": left.vertices * [1.0, -1.0, 1.0],
            "triangles": left.triangles[:, ::-1],
        }
    )
    both = SKIN.model_copy(update={"regions": (right, left)})
    panels, _ = cut_panels(THREE[:1], both)
    assert panels[0].vertices[:, 1].max() < 0.0
