import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.geometry.mesh import triangle_areas
from buckwright.geometry.mesh_faults import mesh_form
from buckwright.model.panels import Panel, PanelSpec, SeamSpec
from buckwright.model.skin import LineTrack, Skin
from buckwright.panels.seams import cut_panels
from discs_on_paper import as_skin, ring_disc, wing

MESH = wing(8)
SKIN = as_skin(MESH, "wing")
RIM = SKIN.regions[0].boundary[0].vertices
MIDDLE = MESH[0][0]


def place(vertex: int, off: float = 0.0) -> tuple[float, float, float]:
    x, y, z = MESH[0][vertex] + off
    return float(x), float(y), float(z)


def across(name: str = "split", **fields: object) -> SeamSpec:
    """From rim to rim through the middle of the wing."""
    through = (place(RIM[4]), place(0), place(RIM[29]))
    return SeamSpec(**{"name": name, "region": "wing", "through": through, **fields})


def halves(seam: str = "split") -> tuple[PanelSpec, PanelSpec]:
    ends = (("front", place(RIM[16])), ("back", place(RIM[40])))
    first, second = (PanelSpec(name=n, region="wing", seams=(seam,), at=at) for n, at in ends)
    return first, second


def seam_points(panel: Panel, name: str) -> set[tuple[float, ...]]:
    return {
        tuple(point)
        for edge in panel.edges
        if edge.name == name
        for point in panel.vertices[edge.vertices]
    }


def test_a_seam_through_points_parts_a_region_into_panels_that_share_its_vertices() -> None:
    (front, back), findings = cut_panels(halves(), SKIN, (across(),))
    assert findings == ()
    assert mesh_form(front.triangles).is_disc
    assert mesh_form(back.triangles).is_disc
    assert seam_points(front, "split") == seam_points(back, "split")
    assert len(seam_points(front, "split")) > 20
    whole, _ = cut_panels((PanelSpec(name="all", region="wing"),), SKIN)
    areas = [triangle_areas(p.vertices, p.triangles).sum() for p in (front, back, *whole)]
    assert areas[0] + areas[1] == pytest.approx(areas[2], rel=1e-5)


def test_a_seam_goes_through_its_points_and_lies_on_the_surface() -> None:
    (front, _), _ = cut_panels(halves(), SKIN, (across(),))
    seam = np.array(sorted(seam_points(front, "split")))
    assert np.linalg.norm(seam - MIDDLE, axis=1).min() < 1e-6
    off = np.hypot(np.hypot(seam[:, 0], seam[:, 2] - 330.0) - 200.0, seam[:, 1] + 692.0) - 230.0
    # The coarse mesh has chords of 70 mm: its curved triangles lie 0.3 mm off the torus.
    assert np.abs(off).max() < 0.4


def test_cutting_leaves_no_slivers() -> None:
    (front, back), _ = cut_panels(halves(), SKIN, (across(),))
    for panel in (front, back):
        areas = triangle_areas(panel.vertices, panel.triangles)
        assert areas.min() > 0.04 * np.median(areas)


def test_each_run_of_the_rim_has_its_name_and_tells_where_metal_goes_on() -> None:
    (front, _), _ = cut_panels(halves(), SKIN, (across(),))
    assert {(edge.name, edge.seam) for edge in front.edges} == {
        ("wing edge", False),
        ("split", True),
    }
    runs = [front.vertices[edge.vertices] for edge in front.edges]
    assert np.array_equal(runs[0][-1], runs[1][0])
    assert np.array_equal(runs[1][-1], runs[0][0])


def test_ends_near_the_edge_are_carried_on_to_it() -> None:
    points = [np.array(p) for p in across().through]
    short = [0.9 * points[0] + 0.1 * points[1], points[1], 0.9 * points[2] + 0.1 * points[1]]
    seam = across(through=tuple(tuple(map(float, p)) for p in short))
    (front, back), findings = cut_panels(halves(), SKIN, (seam,))
    assert findings == ()
    assert len(front.triangles) + len(back.triangles) > 2000


def test_a_seam_that_ends_inside_is_a_finding() -> None:
    seam = across(through=(place(RIM[4]), place(0)))
    spec = PanelSpec(name="all", region="wing", seams=("split",), at=place(RIM[16]))
    (panel,), findings = cut_panels((spec,), SKIN, (seam,))
    assert [finding.code for finding in findings] == ["seam-ends-inside"]
    assert mesh_form(panel.triangles).is_disc


def test_a_second_seam_may_end_on_the_first() -> None:
    second = SeamSpec(name="branch", region="wing", through=(place(RIM[16]), place(0)))
    first, back = halves()
    corners = (place(RIM[9]), place(RIM[23]))
    parts = tuple(
        PanelSpec(name=f"part {k}", region="wing", seams=("split", "branch"), at=at)
        for k, at in enumerate(corners)
    )
    panels, findings = cut_panels((*parts, back), SKIN, (across(), second))
    assert findings == ()
    assert len(panels) == 3
    assert seam_points(panels[0], "branch") == seam_points(panels[1], "branch")
    assert first.name not in {panel.name for panel in panels}


def with_line() -> Skin:
    """The wing with a line from rim to rim along its mesh."""
    rings = 8
    start = [1 + 3 * k * (k - 1) for k in range(1, rings + 1)]
    ray = [0, *start]
    other = [s + 3 * k for k, s in enumerate(start, 1)]
    chain = np.array([*other[::-1], *ray])
    region = SKIN.regions[0]
    crown = LineTrack(line="crown", vertices=chain, closed=False)
    return Skin(regions=(region.model_copy(update={"inner": (crown,)}),))


def test_a_panel_may_end_at_a_line_of_the_skin_as_it_lies() -> None:
    skin = with_line()
    (front, back), findings = cut_panels(halves("crown"), skin)
    assert findings == ()
    assert seam_points(front, "crown") == seam_points(back, "crown")
    coarse = {tuple(p) for p in MESH[0][skin.regions[0].inner[0].vertices]}
    assert coarse <= seam_points(front, "crown")


def test_a_point_of_a_seam_on_a_line_stays_on_the_line() -> None:
    skin = with_line()
    (front, back), _ = cut_panels(halves(), skin, (across(),))
    crown = {tuple(MESH[0][v]) for v in skin.regions[0].inner[0].vertices}
    assert tuple(MIDDLE) in crown
    for panel in (front, back):
        assert tuple(MIDDLE) in seam_points(panel, "split")


def test_a_named_seam_may_run_along_a_line() -> None:
    named = SeamSpec(name="top weld", region="wing", line="crown")
    (front, _), _ = cut_panels(halves("top weld"), with_line(), (named,))
    assert {edge.name for edge in front.edges} == {"wing edge", "top weld"}


def test_lines_that_no_seam_follows_stay_on_the_panel_when_planes_cross_them() -> None:
    spec = PanelSpec(name="rear", region="wing", above=(("x", 10.0),))
    (panel,), _ = cut_panels((spec,), with_line())
    crown = next(line for line in panel.lines if line.name == "crown")
    steps = np.linalg.norm(np.diff(panel.vertices[crown.vertices], axis=0), axis=1)
    assert panel.vertices[crown.vertices][:, 0].min() == pytest.approx(10.0, abs=1.0)
    assert steps.max() < 30.0


@pytest.mark.parametrize(
    ("specs", "seams", "words"),
    [
        (halves("nowhere"), (), "neither a seam nor a line"),
        ((PanelSpec(name="a", region="wing", seams=("split",)),), (across(),), "leave 2 pieces"),
        (halves(), (across(through=()),), "no line and fewer than two points"),
        (halves(), (across(through=(), line="beltline"),), "is no line of 'wing'"),
        (halves(), (across(), across()), "Two seams are called 'split'"),
        (halves(), (across(through=(place(0), place(RIM[3], 500.0))),), "leaves region 'wing'"),
        (halves(), (across(through=(place(0), place(0, 0.5))),), "too near to each other"),
    ],
)  # fmt: skip
def test_seams_that_cannot_be_laid_are_refused(
    specs: tuple[PanelSpec, ...], seams: tuple[SeamSpec, ...], words: str
) -> None:
    with pytest.raises(JobError, match=words):
        cut_panels(specs, SKIN, seams)


def test_a_seam_that_crosses_itself_is_refused() -> None:
    disc, triangles = ring_disc(10)
    flat = (np.column_stack([300.0 * disc, np.zeros(len(disc))]), triangles)
    loop = ((-290.0, 0, 0), (60.0, 0, 0), (60.0, 100.0, 0), (-60.0, 100.0, 0), (-60.0, -290.0, 0))
    seam = SeamSpec(name="split", region="wing", through=loop)
    spec = PanelSpec(name="a", region="wing", seams=("split",), at=(200.0, 0.0, 0.0))
    with pytest.raises(JobError, match="crosses or touches itself"):
        cut_panels((spec,), as_skin(flat, "wing"), (seam,))
