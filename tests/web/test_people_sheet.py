"""The sheet of the people: what it shows, and what may be typed on it."""

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.model.finding import Finding
from buckwright.model.job import step_digests
from buckwright.model.package import (
    Clearance,
    Package,
    PackageShape,
    PackageSpec,
    PairShare,
    Stretch,
)
from buckwright.store import JobFile
from buckwright.web.desk import View
from buckwright.web.edits import edit_job
from buckwright.web.sheets.people import answer, detail
from web.invented import job_and_answers

SHAPE = PackageShape(
    name="engine box",
    kind="engine",
    side=np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0]]),
    plan=np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0]]),
    rear=np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0]]),
    vertices=np.eye(3),
    triangles=np.array([[0, 1, 2]]),
)
WIDER = Stretch(
    name="wider for the people", reason="8 mm are lacking at the elbows", axis="y",
    start=-500.0, end=500.0, by=9.0,
)  # fmt: skip
LONGER = Stretch(
    name="longer for the legs", reason="40 mm are lacking before Tom's feet", axis="x",
    start=700.0, end=1200.0, by=41.0, seat_by=41.0,
)  # fmt: skip
PACKAGE = Package(
    shapes=(SHAPE,),
    stretches=(WIDER, LONGER),
    pairs=(PairShare(crew="any two", at="elbows", room=1100.0, share=0.81),),
    pair_bounds=(0.62, 0.81),
    cautions=("Glazing: FMVSS 205.",),
)


@pytest.fixture(scope="module")
def view():
    job, _, answers = job_and_answers()
    question = job.people.model_copy(update={"package": PackageSpec()})
    fit = answers.people.model_copy(
        update={
            "package": PACKAGE,
            "findings": (Finding(code="a", where="b", message="c.", remedy="d."),),
        }
    )
    job = job.model_copy(update={"people": question})
    products = answers.model_copy(update={"people": fit})
    return View(job, products, {"people": "done"}, ())


def people_after(view, **typed):
    return edit_job(view, typed)[0].people


def words_of(sentence):
    return "".join(w if isinstance(w, str) else str(next(iter(w.values()))) for w in sentence)


def test_the_answer_tells_how_many_pairs_fit_everywhere_at_once(view):
    assert "Of any two people 62 to 81 % would fit abreast." in words_of(
        answer(view.job, view.products)
    )


def test_the_answer_says_where_somebody_lacks_room_though_they_fit_across(view):
    feet = Clearance(
        name="Tom's feet", value=-12.0, wanted=0.0, at=(0.0, 0.0, 0.0), words="to the engine box"
    )
    short = PACKAGE.model_copy(update={"clearances": (feet,)})
    fit = view.products.people.model_copy(update={"package": short})
    said = words_of(answer(view.job, view.products.model_copy(update={"people": fit})))
    assert said.startswith("Across, they fit, with ")
    assert " Tom's feet lack 12.0, to the engine box." in said


def test_the_sheet_holds_sizes_numbers_and_shapes(view):
    told = detail(view.job, view.products)
    assert told["people"][0]["sizes"]["shoulder_breadth"] == 440.0
    assert told["people"][0]["sizes"]["hip_breadth"] is None
    numbers = {row["field"]: row for row in told["spec"]["numbers"]}
    assert numbers["lock"] == {
        "field": "lock", "words": "steering lock", "value": 34.4, "degrees": True,
    }  # fmt: skip
    assert told["package"]["shapes"][0]["triangles"] == [[0, 1, 2]]
    assert [one["name"] for one in told["package"]["stretches"]] == [WIDER.name, LONGER.name]
    assert len(told["lines"]) >= len(view.products.lines.network.lines)


def test_a_job_without_a_package_shows_none(view):
    question = view.job.people.model_copy(update={"package": None})
    told = detail(view.job.model_copy(update={"people": question}), view.products)
    assert told["spec"] is None
    assert told["lines"] == []


def test_a_measured_size_is_typed_in_any_unit_and_may_be_left_to_the_survey(view):
    typed = {"what": "size person", "name": "Tom", "field": "hip_breadth"}
    tom = people_after(view, **typed, length='15 1/4"').people[1]
    assert tom.hip_breadth == pytest.approx(387.35)
    emptied = edit_job(view, {**typed, "length": " "})
    assert emptied[0].people.people[1].hip_breadth is None
    assert emptied[1] == "the hip breadth of Tom comes from the survey"


def test_sizes_are_chosen_by_sex_and_percentile(view):
    new, words = edit_job(
        view, {"what": "choose sizes", "name": "Ines", "who": "woman", "text": "5 %"}
    )
    assert new.people.people[0].sitting_height == 803.0
    assert new.people.people[0].chosen == 5.0
    assert words == "Ines is now a woman of the 5th percentile"


def test_a_whole_crew_is_seated_by_mix_and_percentile(view):
    typed = {"what": "seat crew", "crew": "a woman and a man", "text": "90 %"}
    job, words = edit_job(view, typed)
    first, second = job.people.people
    assert (first.who, second.who, first.chosen) == ("woman", "man", 90.0)
    assert first.shoulder_breadth < second.shoulder_breadth
    assert words == "a woman and a man of the 90th percentile sit there"


def test_people_come_along_and_stay_at_home(view):
    more = edit_job(view, {"what": "add person", "name": "Kit", "who": "either", "text": "50"})[0]
    assert [p.name for p in more.people.people] == ["Ines", "Tom", "Kit"]
    fewer = people_after(view, what="drop person", name="Ines")
    assert [p.name for p in fewer.people] == ["Tom"]


def test_seat_allowances_and_package_are_typed(view):
    assert people_after(view, what="move seat", axis="x", length="1.4 m").seat_x == 1400.0
    together = {"what": "allowance", "field": "abreast"}
    assert people_after(view, **together, length="1346").abreast == 1346.0
    assert people_after(view, **together, length="").abreast is None
    spec = people_after(view, what="package", field="lock", text="30 degrees").package
    assert spec.lock == pytest.approx(np.pi / 6.0)
    assert people_after(view, what="package", field="floor", text="280").package.floor == 280.0
    assert people_after(view, what="package", field="floor", text="").package.floor is None
    assert people_after(view, what="driver", side="right").package.driver == "right"


def test_an_engine_is_set_edge_by_edge_and_taken_out(view):
    box = people_after(view, what="engine", edge="top", length="850").package.engine
    assert box.high[2] == 850.0
    assert people_after(view, what="engine", none=True).package.engine is None


def test_an_accepted_stretch_is_a_departure_with_its_reason_and_takes_the_seat_along(view):
    new, words = edit_job(view, {"what": "accept stretch", "name": LONGER.name})
    zone = new.departures[-1]
    assert (zone.name, zone.reason, zone.axis) == (LONGER.name, LONGER.reason, "x")
    assert (zone.start, zone.end, zone.by, zone.on) == (700.0, 1200.0, 41.0, True)
    assert new.people.seat_x == view.job.people.seat_x + 41.0
    assert words == "departure 'longer for the legs' of 41 mm accepted"
    wider = edit_job(view, {"what": "accept stretch", "name": WIDER.name})[0]
    assert wider.people.seat_x == view.job.people.seat_x
    again = View(new, view.products, {"people": "done"}, ())
    twice = edit_job(again, {"what": "accept stretch", "name": LONGER.name})[0]
    assert twice.departures[-1].name == "longer for the legs, again"


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"what": "size person", "name": "Tom", "field": "hip_breadth", "length": "5 m"}, "cannot"),
        ({"what": "size person", "name": "Tom", "field": "sitting_height", "length": ""}, "length"),
        ({"what": "size person", "name": "Eve", "field": "hip_breadth", "length": "400"}, "Nobody"),
        ({"what": "choose sizes", "name": "Tom", "who": "man", "text": "110"}, "percentile"),
        ({"what": "add person", "name": " ", "who": "man", "text": "50"}, "needs a name"),
        ({"what": "add person", "name": "Tom", "who": "man", "text": "50"}, "sits there already"),
        ({"what": "package", "field": "lock", "text": "200"}, "steering lock"),
        ({"what": "engine", "edge": "rear", "length": "-900"}, "no size"),
        ({"what": "accept stretch", "name": "taller"}, "no proposal"),
    ],
    ids=lambda value: value["what"] if isinstance(value, dict) else value,
)
def test_nonsense_is_refused_with_a_sentence(view, typed, sentence):
    with pytest.raises(JobError) as refused:
        edit_job(view, typed)
    assert sentence in refused.value.problem


def test_a_proposal_older_than_the_job_is_refused(view):
    stale = View(view.job, view.products, {"people": "stale"}, ())
    with pytest.raises(JobError, match="older than the job"):
        edit_job(stale, {"what": "accept stretch", "name": WIDER.name})


def test_what_is_laid_out_is_kept_in_the_file_and_read_back(view, job_path):
    with JobFile.open(job_path) as file:
        file.change("people seated", file.job().model_copy(update={"people": view.job.people}))
        digests = step_digests(file.job())
        file.keep_products(view.products, {"people": digests["people"]})
    with JobFile.open(job_path) as file:
        kept = file.products().people.package
        assert kept.stretches[0].model_dump() == WIDER.model_dump()
        np.testing.assert_array_equal(kept.shapes[0].vertices, SHAPE.vertices)
        told = file.job().people.package.model_dump()
    assert told == view.job.people.package.model_dump()
