import re

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.files.part21 import Entities, listed, number, quoted
from buckwright.files.step import step_text
from buckwright.files.step_faces import fit_region
from buckwright.model.skin import Skin
from buckwright.skin import span_skin
from networks_on_paper import tunnel, wing


@pytest.fixture(scope="module", name="skin")
def _skin() -> Skin:
    network, spec = wing()
    return span_skin(network, (spec,), edge_length=40.0)


def test_numbers_always_have_a_point() -> None:
    assert [number(x) for x in (1.0, -0.5, 0.0, -1e-12, 1234.5678901234)] == [
        "1.",
        "-0.5",
        "0.",
        "0.",
        "1234.567890123",
    ]
    assert listed(np.array([1.0, 2.5])) == "(1.,2.5)"
    assert listed(np.array([4, 1])) == "(4,1)"


def test_words_are_written_in_ascii() -> None:
    assert quoted("roof") == "'roof'"
    assert quoted("Kotflügel 'links'") == "'Kotfl\\X2\\00FC\\X0\\gel ''links'''"
    assert quoted("a\\b") == "'a\\\\b'"
    assert quoted("\U0001f697") == "'\\X4\\0001F697\\X0\\'"


def test_entities_are_numbered_in_order() -> None:
    entities = Entities()
    assert entities.point(np.zeros(3)) == "#1"
    assert entities.direction((0.0, 0.0, 1.0)) == "#2"
    assert entities.lines == [
        "#1=CARTESIAN_POINT('',(0.,0.,0.));",
        "#2=DIRECTION('',(0.,0.,1.));",
    ]


def test_every_reference_is_defined_once(skin: Skin) -> None:
    text = step_text(skin, name="Wren", stamp="2026-01-01T00:00:00")
    assert text.isascii()
    defined = re.findall(r"^(#\d+)=", text, flags=re.MULTILINE)
    assert len(defined) == len(set(defined))
    used = set(re.findall(r"[(,](#\d+)", text))
    assert used <= set(defined)
    assert max(len(line) for line in text.split("\n")) > 80


def test_the_head_names_job_date_and_greatest_distance(skin: Skin) -> None:
    head = step_text(skin, name="Wren", stamp="2026-01-01T00:00:00").split("DATA;")[0]
    assert "FILE_NAME('Wren','2026-01-01T00:00:00'" in head
    assert re.search(r"greatest distance of the mesh from the faces 0\.0\d\d mm", head)


def test_the_same_skin_gives_the_same_text(skin: Skin) -> None:
    one, two = (step_text(skin, name="Wren", stamp="2026-01-01") for _ in range(2))
    assert one == two


def test_surfaces_follow_the_mesh_within_the_stated_distance(skin: Skin) -> None:
    for region in skin.regions:
        fitted = fit_region(region)
        off = region.vertices - fitted.surface.points(region.chart)
        across = np.einsum("ij,ij->i", off, fitted.surface.normals(region.chart))
        assert np.abs(across).max() == pytest.approx(fitted.off_most)
        assert fitted.off_most < 0.05


def test_a_hole_is_an_inner_bound() -> None:
    network, spec = tunnel()
    skin = span_skin(network, (spec,), edge_length=80.0)
    text = step_text(skin, name="vault", stamp="2026-01-01")
    assert text.count("FACE_OUTER_BOUND(") == 1
    assert text.count("FACE_BOUND(") == 1
    assert text.count("EDGE_CURVE(") == 4 + 2


def test_an_empty_skin_is_refused() -> None:
    with pytest.raises(JobError, match="no skin to write"):
        step_text(Skin(regions=()), name="Wren", stamp="2026-01-01")
