"""The skin to take along, over the page's addresses."""

from io import BytesIO

import pytest
import trimesh


@pytest.mark.parametrize("kind", ["stl", "ply", "glb"])
def test_the_skin_is_given_in_every_format(client, kind):
    answer = client.get(f"/api/skin.{kind}")
    assert answer.status_code == 200
    assert f".{kind}" in answer.headers["content-disposition"]
    assert trimesh.load(BytesIO(answer.content), file_type=kind).area > 0.0


def test_the_skin_as_step_names_its_regions(client):
    text = client.get("/api/skin.step").text
    assert text.startswith("ISO-10303-21;")
    assert "ADVANCED_FACE(" in text


def test_a_model_is_told_and_then_given_watertight(client):
    asked = "scale=1:10&thickness=1.5 mm"
    told = client.get(f"/api/model?{asked}").json()
    given = client.get(f"/api/model.stl?{asked}")
    mesh = trimesh.load_mesh(BytesIO(given.content), file_type="stl")
    assert mesh.is_watertight
    assert mesh.body_count == told["bodies"]
    assert mesh.volume == pytest.approx(told["volume"], rel=1e-4)


@pytest.mark.parametrize(
    "asked", ["scale=big", "scale=0", "scale=-8", "scale=nan", "thickness=thin", "thickness=9 m"]
)
def test_a_model_that_cannot_be_is_refused_in_words(client, asked):
    for address in ("/api/model", "/api/model.stl"):
        answer = client.get(f"{address}?{asked}")
        assert answer.status_code == 422
        assert answer.json()["remedy"].endswith(".")


def test_other_formats_and_jobs_without_a_skin_have_none(client, open_client, unfinished_job):
    assert client.get("/api/skin.obj").status_code == 404
    assert client.get("/api/model.obj").status_code == 404
    fresh = open_client(unfinished_job)
    assert fresh.get("/api/skin.stl").status_code == 404
    assert fresh.get("/api/model").status_code == 422
