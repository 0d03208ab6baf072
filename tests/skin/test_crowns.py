import numpy as np
import pytest

from buckwright.geometry.curvature import Curvatures, mesh_curvatures
from buckwright.geometry.mesh import triangle_areas, triangle_normals
from buckwright.model.crowns import CROWNS, CrownLimits, SkinShape
from buckwright.model.skin import Skin
from buckwright.skin import crown_classes, crown_words, skin_section, skin_shape
from dips_on_paper import BODIES, NO_LINES, region_of
from meshes_on_paper import MOVES, over_rectangle, sphere_cap

LIMITS = CrownLimits()


def _classes(greater: list[float], lesser: list[float]) -> list[str]:
    """Of radii in mm; the ways do not matter."""
    ways = np.zeros((len(greater), 3))
    bends = Curvatures(1.0 / np.array(greater), 1.0 / np.array(lesser), ways, ways, ways)
    return [CROWNS[k] for k in crown_classes(bends, LIMITS)]


def test_each_class_by_its_two_radii() -> None:
    cases = {
        (20e3, 50e3): "flat",
        (20e3, -50e3): "flat",
        (60.0, 20e3): "rolled",
        (9e3, -20e3): "rolled",
        (3e3, 9e3): "low",
        (2.4e3, 2.4e3): "medium",
        (1e3, 6.4e3): "low",
        (300.0, 3e3): "medium",
        (230.0, 480.0): "high",
        (-230.0, -480.0): "high",
        (300.0, -3e3): "reverse",
    }
    one, other = zip(*cases, strict=True)
    assert _classes(list(one), list(other)) == list(cases.values())


@pytest.mark.parametrize(
    ("radius", "word"), [(12_000.0, "flat"), (4_000.0, "low"), (1_200.0, "medium"), (500.0, "high")]
)
def test_balls_go_from_flat_to_high(radius: float, word: str) -> None:
    points, triangles = sphere_cap(radius, 200.0 / radius, 25.0)
    classes = crown_classes(mesh_curvatures(points, triangles), LIMITS)
    assert {CROWNS[k] for k in classes} == {word}


def test_a_rolled_sheet_and_a_saddle_have_their_names() -> None:
    shape = skin_shape(Skin(regions=(region_of(*BODIES["vault"], 20.0),)), NO_LINES, LIMITS)
    assert {CROWNS[k] for k in shape.regions[0].crown} == {"rolled"}
    points, triangles, _ = over_rectangle(
        lambda u, v: np.column_stack([u, v, 4e-4 * u * u - 6e-4 * v * v]), 400.0, 300.0, 20.0
    )
    classes = crown_classes(mesh_curvatures(points, triangles), LIMITS)
    assert {CROWNS[k] for k in classes} == {"reverse"}


@pytest.mark.parametrize("name", [*MOVES, "reverse"])
def test_classes_do_not_mind_where_the_body_lies(name: str) -> None:
    points, triangles, _ = over_rectangle(BODIES["ellipsoid"][0], 1300.0, 800.0, 25.0)
    if triangle_normals(points, triangles)[:, 2].sum() < 0.0:
        triangles = triangles[:, ::-1]
    first = crown_classes(mesh_curvatures(points, triangles), LIMITS)
    scale = 2.5 if name == "scale" else 1.0
    limits = CrownLimits(flat=1e4 * scale, low=2.5e3 * scale, medium=800.0 * scale)
    moved = MOVES[name](points) if name in MOVES else points
    turned = triangles[:, ::-1] if name in ("mirror", "reverse") else triangles
    second = crown_classes(mesh_curvatures(moved, turned), limits)
    # A ball's inside is as crowned as its outside: turned inside out, the classes stay.
    assert (first == second).mean() > 0.999


def test_areas_of_the_classes_add_up_to_the_skin() -> None:
    region = region_of(*BODIES["ellipsoid"], 25.0)
    (shape,) = skin_shape(Skin(regions=(region,)), NO_LINES, LIMITS).regions
    area = triangle_areas(region.vertices, region.triangles).sum()
    assert shape.areas.sum() == pytest.approx(area, rel=1e-12)


def test_words_tell_the_limits_that_were_set() -> None:
    words = crown_words(CrownLimits(flat=8000.0, low=2000.0, medium=500.0))
    assert len(words) == len(CROWNS)
    assert "8 m" in words[0]
    assert "2 m" in words[2]
    assert "0.5 m" in words[4]
    # 300^2 / 8 R: the gap under the straightedge's middle.
    assert "1.4 mm" in words[0]
    assert "22.5 mm" in words[4]


def test_a_shape_is_written_and_read_without_loss() -> None:
    region = region_of(*BODIES["small ellipsoid"], 40.0)
    shape = skin_shape(Skin(regions=(region,)), NO_LINES, LIMITS)
    again = SkinShape.model_validate_json(shape.model_dump_json())
    assert again.model_dump_json() == shape.model_dump_json()


def test_a_section_names_only_the_regions_that_it_cuts() -> None:
    near = region_of(*BODIES["board"], 40.0)
    beyond = near.vertices + np.array([2000.0, 0.0, 0.0])
    far = near.model_copy(update={"name": "far", "vertices": beyond})
    skin = Skin(regions=(near, far))
    shape = skin_shape(skin, NO_LINES, LIMITS)
    cut = skin_section(skin, shape, origin=np.array([1900.0, 0, 0]), normal=np.array([1.0, 0, 0]))
    ((region, (line,)),) = cut
    assert region.name == "far"
    assert np.ptp(line.points[:, 1]) == pytest.approx(600.0)
    assert np.abs(line.curvature).max() < 1e-9
