"""Scans brought to the page and taken into the skin."""

import numpy as np
import trimesh

from meshes_on_paper import sphere_cap


def cap_bytes(kind: str = "stl", radius: float = 900.0) -> bytes:
    vertices, triangles = sphere_cap(radius, 0.8, radius / 25.0)
    return trimesh.Trimesh(vertices, triangles, process=False).export(file_type=kind)


def scans(client):
    return client.get("/api/sheet/skin").json()["scans"]


def bring(client, data, **asked):
    said = {"file": "lid.stl", "name": "lid", "units": "mm", "outward": "up", "side": "whole"}
    return client.post("/api/scans", params=said | asked, content=data)


def test_a_scan_is_taken_in_listed_and_left_out_again(client):
    answer = bring(client, cap_bytes(), side="left", close_below="30 mm")
    assert answer.status_code == 200, answer.text
    assert answer.json()["done"] == "scan 'lid' taken into the skin"
    (row,) = scans(client)
    assert (row["name"], row["side"], row["close_below"]) == ("lid", "left", 30.0)
    again = bring(client, cap_bytes("ply"), file="lid.ply")
    assert again.status_code == 200
    assert [row["kind"] for row in scans(client)] == ["PLY"]
    drop = {"what": "drop scan", "name": "lid"}
    assert client.post("/api/change", json=drop).status_code == 200
    assert client.post("/api/change", json=drop).status_code == 422
    assert scans(client) == []


def test_one_that_cannot_be_taken_is_refused_in_words_and_nothing_changes(client):
    ball = trimesh.creation.icosphere(radius=900.0).export(file_type="stl")
    asked = (
        (ball, {}, "closed all round"),
        (b"", {}, "."),
        (cap_bytes(), {"units": "parsec"}, "."),
        (cap_bytes(), {"name": "x" * 90}, "name"),
        (cap_bytes(), {"file": "lid.doc"}, "not an STL"),
        (cap_bytes(), {"close_below": "-3 mm"}, "gap"),
        (cap_bytes(), {"outward": "inside"}, "cannot be read"),
        (cap_bytes(), {"points": "hinge 1 2 3"}, "says no point"),
        (cap_bytes(), {"points": "a = 1 2 3 -> 1 2 3"}, "1 points do not say"),
        (cap_bytes(), {"on": "nowhere"}, "nowhere"),
    )
    for data, wrong, said in asked:
        answer = bring(client, data, **wrong)
        assert answer.status_code == 422, wrong
        assert said in answer.json()["problem"]
    assert scans(client) == []


def test_where_a_scan_is_no_sheet_comes_with_the_refusal(client):
    vertices, triangles = sphere_cap(900.0, 0.8, 60.0)
    a, b = triangles[40, :2]
    fin = np.vstack([vertices, vertices[a] + [0.0, 0.0, 90.0]])
    mesh = trimesh.Trimesh(fin, np.vstack([triangles, [a, b, len(vertices)]]), process=False)
    answer = bring(client, mesh.export(file_type="ply"), file="lid.ply").json()
    assert "More than two triangles" in answer["problem"]
    middle = 0.5 * (vertices[a] + vertices[b])
    assert np.abs(np.array(answer["place"]) - middle).max() < 0.1


def test_one_in_other_axes_is_brought_in_by_its_points(client):
    rows = ["a = 0 0 0 -> 100 0 500", "b = 900 0 0 -> 1000 0 500", "c = 0 800 0 -> 100 800 500"]
    answer = bring(client, cap_bytes(), points="\n".join(rows))
    assert answer.status_code == 200, answer.text
    assert any("was brought in by 3 points" in words for words in answer.json()["words"])
