"""Tables of offsets brought to the page and taken in as lines."""

from tables_on_paper import as_csv, wigley_rows


def bring(client, data, **asked):
    said = {"file": "form.csv", "sigma": "1 mm", "unit": "", "wheelbase": ""}
    return client.post("/api/tables", params=said | asked, content=data)


def tables(client):
    return client.get("/api/sheet/lines").json()["tables"]


def test_a_table_is_taken_in_listed_and_left_out_again(client):
    rows = wigley_rows()
    rows[6] = (*rows[6][:3], 40.0)
    answer = bring(client, as_csv(rows), wheelbase="2240 mm")
    assert answer.status_code == 200, answer.text
    assert answer.json()["done"] == "11 lines taken in from form.csv"
    (words,) = answer.json()["words"]
    assert "Row 8 of 'level 0 left' was left out" in words
    (row,) = tables(client)
    assert (row["name"], row["sigma"], row["wheelbase"], row["findings"]) == (
        "form.csv",
        1.0,
        2240.0,
        1,
    )
    assert len(row["lines"]) == 11
    drop = {"what": "drop table", "name": "form.csv"}
    assert client.post("/api/change", json=drop).status_code == 200
    assert client.post("/api/change", json=drop).status_code == 422
    assert tables(client) == []


def test_one_that_cannot_be_taken_is_refused_in_words_and_nothing_changes(client):
    good = as_csv(wigley_rows())
    bare = as_csv(wigley_rows(), "line,station,half_breadth,height")
    asked = (
        (b"", {}, "empty"),
        (bare, {}, "does not say its unit"),
        (good, {"sigma": "a hair"}, "."),
        (good, {"sigma": "900 mm"}, "cannot be sure"),
        (good, {"wheelbase": "3 mm"}, "wheelbase"),
        (bare, {"unit": "parsec"}, "no unit"),
        (good, {"file": ""}, "name"),
    )
    for data, wrong, said in asked:
        answer = bring(client, data, **wrong)
        assert answer.status_code == 422, wrong
        assert said in answer.json()["problem"]
    assert tables(client) == []
