"""Louvres on the skin, held to closed forms."""

import numpy as np
import pytest
import scipy.integrate

from buckwright.errors import JobError
from buckwright.geometry.louvre_profile import louvre_profile
from buckwright.model.louvres import LouvreSpec
from buckwright.model.skin import LineTrack, Skin
from buckwright.skin.louvres import make_louvres
from skins_on_paper import grid_region

ASKED = {
    "name": "vents", "region": "side", "at": (300.0, 0.0, 0.0), "rows": 4, "columns": 2,
    "length": 90.0, "width": 14.0, "height": 6.0, "row_pitch": 32.0, "column_pitch": 120.0,
}  # fmt: skip


def flat(side: str = "whole") -> Skin:
    u, v = np.linspace(0.0, 600.0, 25), np.linspace(-150.0, 150.0, 13)
    middle = LineTrack(line="swage", vertices=np.arange(11, 325, 13), closed=False)
    region = grid_region(
        "side",
        lambda u, v: np.column_stack([u, v, np.zeros_like(u)]),
        u,
        v,
        outward=lambda p: np.broadcast_to([0.0, 0.0, 1.0], p.shape),
        tracks=(middle,),
        side=side,
    )
    return Skin(regions=(region,))


def louvres(**changes: object) -> LouvreSpec:
    return LouvreSpec.model_validate({**ASKED, **changes})


def test_the_lengths_of_a_louvre_are_those_of_its_arcs() -> None:
    # exact: the heights are integrated for their lengths.
    shape = louvre_profile(90.0, 14.0, 6.0)
    for height, whole, length in (
        (lambda x: 6.0 * shape.arc_height(np.array(x)), 14.0, shape.girth),
        (lambda x: shape.lip_height(np.array(x)), 90.0, shape.lip),
    ):
        fine = np.linspace(0.0, whole, 200_001)
        drawn = np.hypot(np.diff(fine), np.diff(height(fine))).sum()
        assert drawn == pytest.approx(length, rel=1e-6)
    slope = scipy.integrate.quad(lambda x: shape.lip_height(np.array(x)), 0.0, 90.0)[0]
    # exact: the two arcs of a rise are alike turned half round, so it covers half its box.
    assert slope == pytest.approx(6.0 * (90.0 - 14.0), rel=1e-6)


def test_a_field_lies_in_its_rows_and_columns_and_tells_its_cuts_and_gaps() -> None:
    (field,) = make_louvres(flat(), louvres())
    assert len(field.cuts) == 8
    assert field.cut_length == pytest.approx(8 * 90.0, rel=1e-9)
    assert field.between_rows == pytest.approx(18.0)
    assert field.between_columns == pytest.approx(30.0)
    # exact: 300 wide, four rows of 14 at 32: 96 + 14 across.
    assert field.to_edge == pytest.approx(150.0 - 55.0, abs=1e-6)
    assert field.vertices[:, 2].max() == pytest.approx(6.0)
    assert field.vertices[:, 2].min() == pytest.approx(0.0, abs=1e-9)
    assert field.findings == ()
    normals = np.cross(
        field.vertices[field.triangles[:, 1]] - field.vertices[field.triangles[:, 0]],
        field.vertices[field.triangles[:, 2]] - field.vertices[field.triangles[:, 0]],
    )
    assert normals[:, 2].min() > 0.0
    other = make_louvres(flat(), louvres(opens="minus"))[0]
    assert np.mean([cut[:, 1].mean() for cut in field.cuts]) == pytest.approx(7.0)
    assert np.mean([cut[:, 1].mean() for cut in other.cuts]) == pytest.approx(-7.0)


def test_a_left_field_comes_with_its_mirror_image() -> None:
    left, right = make_louvres(flat("left"), louvres())
    assert (left.region, right.region) == ("side left", "side right")
    np.testing.assert_allclose(right.vertices, left.vertices * [1, -1, 1])


def test_too_near_to_a_line_or_to_each_other_is_told() -> None:
    (field,) = make_louvres(flat(), louvres(between=("swage",), row_pitch=24.0, rows=7))
    told = [doubt.message for doubt in field.findings]
    # exact: the line lies at y = 125, the field reaches 3 x 24 + 7 = 79.
    assert field.to_edge == pytest.approx(46.0, abs=1e-6)
    assert field.nearest == "'swage'"
    assert len(told) == 1
    assert "within 10 mm of the next row" in told[0]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"region": "fin"}, "does not exist"),
        ({"at": (300.0, 0.0, 400.0)}, "off region"),
        ({"columns": 6}, "leave region"),
        ({"row_pitch": 10.0}, "overlap"),
        ({"height": 20.0}, "wider than high"),
        ({"length": 20.0}, "longer than its two ends"),
        ({"rows": 0}, "0 rows"),
        ({"along": "z"}, "does not run along z"),
        ({"between": ("belt",)}, "no line 'belt'"),
    ],
)
def test_louvres_that_do_not_fit_are_refused_in_a_sentence(change, words) -> None:
    with pytest.raises(JobError, match=words) as refusal:
        make_louvres(flat(), louvres(**change))
    assert refusal.value.problem.endswith(".")
    assert refusal.value.remedy.endswith(".")
