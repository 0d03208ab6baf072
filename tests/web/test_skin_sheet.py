"""What the page is told of the skin's shape, and what it may change of its limits."""

import numpy as np
import pytest

from buckwright.geometry.mesh import section_mesh, triangle_areas
from buckwright.geometry.polyline import polyline_length
from buckwright.model.crowns import CROWNS
from buckwright.model.finding import PlacedFinding
from buckwright.store import JobFile
from dips_on_paper import dipped
from web.invented import job_and_answers
from web.test_answers import read_frame


def shape_frame(client):
    return read_frame(client.get("/api/frame/shape").content)


def test_the_shape_comes_with_classes_in_words_and_areas_that_add_up(client):
    _, _, answers = job_and_answers()
    about, arrays = shape_frame(client)
    assert [kind["name"] for kind in about["classes"]] == list(CROWNS)
    assert all(any(c.isdigit() for c in kind["words"]) for kind in about["classes"])
    whole = sum(triangle_areas(r.vertices, r.triangles).sum() for r in answers.skin.regions)
    assert sum(kind["area"] for kind in about["classes"]) == pytest.approx(whole)
    for place, region in enumerate(answers.skin.regions):
        assert len(arrays[f"g{place}"]) == len(arrays[f"l{place}"]) == len(region.vertices)
        assert (arrays[f"g{place}"] >= arrays[f"l{place}"]).all()


def dip_in_the_wing(path):
    """Both front wings pushed in by 2 mm, and a fold in the body; the middle of the left wing."""
    with JobFile.open(path) as file:
        products, digests = file.products(), file.product_digests()
        wing = products.skin.region("front wing", "left")
        middle = wing.vertices[20 * 16 + 8]
        left = dipped(wing, middle, 2.0, 130.0)
        right = products.skin.region("front wing", "right").model_copy(
            update={"vertices": left.vertices * [1.0, -1.0, 1.0]}
        )
        regions = (products.skin.region("body"), left, right)
        fold = PlacedFinding(
            code="fold",
            where="body",
            message="The skin is folded near x 1500, y -600, z 900.",
            remedy="Mark the line that is sharp there as a crease, or make it a boundary.",
            place=(1500.0, -600.0, 900.0),
        )
        body, *wings = regions
        regions = (body.model_copy(update={"findings": (fold,)}), *wings)
        skin = products.skin.model_copy(update={"regions": regions})
        file.keep_products(products.model_copy(update={"skin": skin}), digests)
    return middle


def test_a_dip_in_the_wing_is_listed_for_both_sides_with_what_to_do(open_client, job_path):
    middle = dip_in_the_wing(job_path)
    client = open_client(job_path)
    doubts = client.get("/api/sheet/skin").json()["findings"]
    assert [d["place"] for d in doubts if d["code"] == "fold"] == [[1500.0, -600.0, 900.0]]
    about, arrays = shape_frame(client)
    found = [k for k, s in enumerate(about["spots"]) if "front wing" in s["name"]]
    assert len(found) == 2
    sides = set()
    for place in found:
        spot = about["spots"][place]
        point = np.array(spot["point"])
        assert np.linalg.norm(np.abs(point) - np.abs(middle)) < 25.0
        assert 0.5 < spot["depth"] < 2.5
        assert spot["remedy"].endswith(".")
        # Out of the wing: away from the axle's line, which runs at z = 330.
        assert np.array(spot["out"]) @ (point - [0.0, point[1], 330.0]) > 0.0
        around = arrays[f"o{place}"].reshape(-1, 3)
        assert np.linalg.norm(around - point, axis=1).max() < 130.0
        sides.add(np.sign(point[1]))
    assert sides == {-1.0, 1.0}


def test_a_section_s_comb_stands_on_the_section(client):
    _, _, answers = job_and_answers()
    about, arrays = read_frame(client.get("/api/frame/comb?axis=x&at=1210.5").content)
    body = answers.skin.region("body")
    plane = {"origin": np.array([1210.5, 0.0, 0.0]), "normal": np.array([1.0, 0.0, 0.0])}
    cut = section_mesh(body.vertices, body.triangles, **plane)
    length = sum(polyline_length(line, closed=closed) for line, closed in cut)
    assert about["length"] == pytest.approx(length)
    assert about["pieces"] == len(cut)
    teeth = arrays["teeth"].reshape(-1, 2, 3)
    assert teeth[:, :, 0] == pytest.approx(1210.5, abs=1e-2)
    sizes = np.linalg.norm(teeth[:, 1] - teeth[:, 0], axis=1)
    assert sizes.max() <= 300.1
    assert np.median(sizes) < about["tooth"]
    sides = arrays["line"].reshape(-1, 2, 3)
    assert np.linalg.norm(sides[:, 1] - sides[:, 0], axis=1).sum() == pytest.approx(
        length, rel=1e-4
    )
    assert len(arrays["tips"]) == len(arrays["line"])


def test_where_there_is_no_skin_the_section_is_empty(client):
    about, arrays = read_frame(client.get("/api/frame/comb?axis=z&at=99999").content)
    assert (about["length"], about["pieces"], about["where"]) == (0, 0, None)
    assert len(arrays["line"]) == len(arrays["teeth"]) == 0


@pytest.mark.parametrize(
    "asked", ["", "?axis=x", "?axis=w&at=1", "?axis=x&at=nan", "?axis=x&at=1e9"]
)
def test_a_section_that_cannot_be_is_not_found(client, asked):
    assert client.get(f"/api/frame/comb{asked}").status_code == 404


def test_without_a_skin_there_is_no_shape(open_client, unfinished_job):
    client = open_client(unfinished_job)
    assert client.get("/api/frame/shape").status_code == 404
    assert client.get("/api/frame/comb?axis=x&at=1").status_code == 404


def test_a_limit_is_typed_undone_and_nothing_grows_stale(client):
    typed = {"what": "crown limit", "name": "low", "length": "4 m"}
    before = client.get("/api/job").json()["sheets"]
    old, _ = shape_frame(client)
    assert client.post("/api/change", json=typed).status_code == 200
    new, _ = shape_frame(client)
    assert new["limits"]["low"] == 4000.0
    assert new["classes"][2]["area"] < old["classes"][2]["area"]
    assert "4 m" in new["classes"][2]["words"]
    told = client.get("/api/job").json()
    assert told["undo"] == "the radius where low crown ends is now 4000 mm"
    assert [s["state"] for s in told["sheets"]] == [s["state"] for s in before]
    client.post("/api/undo")
    again, _ = shape_frame(client)
    assert again["limits"] == old["limits"]


@pytest.mark.parametrize(
    ("name", "length"),
    [
        ("flat", "1 m"),
        ("low", "20 m"),
        ("medium", "0"),
        ("least_dip", "0.01 mm"),
        ("widest_dip", "3 m"),
        ("flat", "very flat"),
    ],
)
def test_limits_that_make_no_sense_are_refused_with_a_remedy(client, name, length):
    typed = {"what": "crown limit", "name": name, "length": length}
    answer = client.post("/api/change", json=typed)
    assert answer.status_code == 422
    assert answer.json()["problem"].endswith(".")
    assert answer.json()["remedy"].endswith(".")


def test_a_limit_that_does_not_exist_is_refused(client):
    typed = {"what": "crown limit", "name": "side", "length": "1 m"}
    assert client.post("/api/change", json=typed).status_code == 400
