"""Fields on the page: what is told, and what the hand may change."""

import struct

import pytest

from buckwright.errors import JobError
from buckwright.model.fields import FieldChoice
from buckwright.model.job import Job, Products
from buckwright.web.desk import View
from buckwright.web.edits import edit_job
from buckwright.web.sheets.skin import detail
from buckwright.web.sheets.skin_fields import fields_frame
from web.field_job import CURVES, plate_reference, plate_specs


@pytest.fixture(name="view")
def _view() -> View:
    job = Job(name="plate", lines=plate_specs())
    return View(job, Products(lines=plate_reference()), {}, ())


def _after(view: View, **typed: object) -> View:
    job, _ = edit_job(view, typed)
    return View(job, view.products, {}, ())


def _fields(view: View) -> dict:
    return detail(view.job, view.products)["fields"]


def test_fields_are_told_with_why_and_what_lies_beside(view: View) -> None:
    fields = _fields(view)
    metal = [row for row in fields["rows"] if row["metal"]]
    assert [set(row["inner"]) for row in metal] == [{"across", "along"}]
    assert metal[0]["corners"] == 4
    assert "2 lines lie on it" in metal[0]["why"]
    assert not fields["taken"]
    assert "across" in fields["lines"]


def test_dividing_naming_joining_and_taking(view: View) -> None:
    view = _after(view, what="part field", line="across")
    one, other = (row for row in _fields(view)["rows"] if row["metal"])
    assert other["name"] in one["beside"]
    view = _after(view, what="name field", name=one["name"], text="near panel")
    taken = _after(view, what="take fields")
    assert [spec.name for spec in taken.job.regions] == ["near panel", "along"]
    assert _fields(taken)["taken"]
    view = _after(view, what="join fields", name="near panel", other="along")
    assert sum(row["metal"] for row in _fields(view)["rows"]) == 1
    view = _after(view, what="take back field", number="2")
    assert sum(row["metal"] for row in _fields(view)["rows"]) == 1
    view = _after(view, what="part field", line="across")
    assert sum(row["metal"] for row in _fields(view)["rows"]) == 2


def test_a_field_is_opened_and_filled_again(view: View) -> None:
    (row,) = (row for row in _fields(view)["rows"] if row["metal"])
    opened = _after(view, what="fill field", name=row["name"], metal=False)
    assert not any(row["metal"] for row in _fields(opened)["rows"])
    with pytest.raises(JobError, match="Nothing was found that is metal"):
        edit_job(opened, {"what": "take fields"})
    (named,) = (r for r in _fields(opened)["rows"] if r["inner"])
    filled = _after(opened, what="fill field", name=named["name"], metal=True)
    assert sum(row["metal"] for row in _fields(filled)["rows"]) == 1
    # The later word takes the place of the earlier.
    assert len(filled.job.fields) == 1


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"what": "fill field", "name": "moon", "metal": True}, "Nothing here is called 'moon'"),
        ({"what": "part field", "line": "moon"}, "There is no line 'moon'"),
        ({"what": "leave out line", "line": "moon"}, "There is no line 'moon'"),
        ({"what": "take back field", "number": "7"}, "gone already"),
        ({"what": "name field", "name": "body", "text": "  "}, "from 1 to 40"),
        ({"what": "name field", "name": "body", "text": "x" * 41}, "from 1 to 40"),
        ({"what": "join fields", "name": "body", "other": "body"}, "share no line"),
    ],
)
def test_what_cannot_be_is_refused(view: View, typed: dict, said: str) -> None:
    (row,) = (row for row in _fields(view)["rows"] if row["metal"])
    for key in ("name", "other"):
        if typed.get(key) == "body":
            typed = {**typed, key: row["name"]}
    with pytest.raises(JobError, match=said):
        edit_job(view, typed)


def test_the_frame_holds_every_field_in_space_and_flat(view: View) -> None:
    data = fields_frame(view.job, view.products)
    assert data is not None
    (size,) = struct.unpack("<I", data[:4])
    header = data[4 : 4 + size].decode()
    for name in ("v0", "t0", "f0", "v1"):
        assert f'"{name}"' in header


def test_without_lines_there_are_no_fields() -> None:
    job = Job(name="bare")
    assert detail(job, Products())["fields"] is None
    assert fields_frame(job, Products()) is None
    with pytest.raises(JobError, match="no fair lines"):
        edit_job(View(job, Products(), {}, ()), {"what": "take fields"})


def test_with_every_line_left_out_the_trouble_is_told(view: View) -> None:
    out = tuple(FieldChoice(what="leave out", lines=(name,)) for name in CURVES)
    job = view.job.model_copy(update={"fields": out})
    fields = detail(job, view.products)["fields"]
    assert "no lines" in fields["trouble"]
    assert len(fields["choices"]) == len(CURVES)
    assert fields_frame(job, view.products) is None


def test_lines_of_a_region_may_be_softened_and_made_firm_again(view: View) -> None:
    with pytest.raises(JobError, match="no region"):
        edit_job(view, {"what": "soften region", "name": "along", "length": "1 mm"})
    view = _after(view, what="take fields")
    name = view.job.regions[0].name
    soft = _after(view, what="soften region", name=name, length="0.8 mm")
    assert [(s.region, s.tolerance) for s in soft.job.softened] == [(name, 0.8)]
    assert next(r for r in _fields(soft)["rows"] if r["metal"])["softened"] == 0.8
    assert _after(soft, what="soften region", name=name, length="0").job.softened == ()
    with pytest.raises(JobError, match="cannot be how far"):
        edit_job(view, {"what": "soften region", "name": name, "length": "30 mm"})
