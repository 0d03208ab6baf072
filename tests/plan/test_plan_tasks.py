"""The tasks that follow from a buck, gauges, panels and checks."""

from datetime import date
from functools import cache

import numpy as np
import pytest

from buckwright.buck import make_buck
from buckwright.errors import JobError
from buckwright.model.buck import Buck, BuckSpec, WireSpec
from buckwright.model.checking import CheckResult, Spot
from buckwright.model.gauges import Gauge, Gauges
from buckwright.model.panels import Blank, Panel, Panels, PanelVerdict
from buckwright.model.plan import CrewMember, Plan, PlanSpec, Session, WorkRates
from buckwright.plan import OPERATIONS, make_plan
from skins_on_paper import tunnel

RATES = WorkRates(
    bend_wire_per_m=(0.1, 0.2, 0.6),
    tack=(0.02, 0.03, 0.1),
    frame_member=(0.1, 0.2, 0.3),
    form_panel_per_m2=(10.0, 20.0, 40.0),
    weld_seam_per_m=(1.0, 2.0, 3.0),
    cut_gauge=(0.2, 0.3, 0.4),
    check_panel=(0.5, 0.5, 0.5),
)
CREW = (
    CrewMember(name="Maud", skills=dict.fromkeys(OPERATIONS, 3)),
    CrewMember(name="Jonas", skills=dict.fromkeys(OPERATIONS, 1)),
)
SESSIONS = tuple(
    Session(name=f"day {d}", day=date(2027, 1, d), hours=4.0, present=("Maud", "Jonas"))
    for d in (9, 10, 11)
)
SPEC = PlanSpec(crew=CREW, sessions=SESSIONS, rates=RATES)


@cache
def _buck() -> Buck:
    skin, network = tunnel(40.0)
    wires = [
        WireSpec(name=name, region="body", line=name)
        for name in ("belt left", "belt right", "roof centre line", "middle section", "front arch")
    ]
    spec = BuckSpec(wires=tuple(wires), frame_x=(700.0, 2500.0))
    return make_buck(spec, network, skin)


def _panels() -> Panels:
    """Two squares of 400 mm side by side."""
    panels, blanks = [], []
    for name, x in (("tail", 0.0), ("nose", 400.0)):
        corners = np.array([[x, 0, 0], [x + 400, 0, 0], [x + 400, 400, 0], [x, 400, 0]], float)
        triangles = np.array([[0, 1, 2], [0, 2, 3]])
        panels.append(Panel(name=name, region="wing", vertices=corners, triangles=triangles))
        verdict = PanelVerdict(step="takes it", reason="flat", elongation=0.2, source="none")
        flat = corners[:, :2]
        blanks.append(
            Blank(
                panel=name,
                flat=flat,
                outline=flat,
                net_outline=flat,
                area_change=np.zeros(2),
                strain_major=np.zeros(2),
                strain_minor=np.zeros(2),
                major_direction=np.zeros((2, 2)),
                bend_radius=np.ones(4),
                work_density=0.0,
                area=160_000.0,
                blank_area=160_000.0,
                flipped=0,
                areas=(),
                verdict=verdict,
                mass=1.0,
            )
        )
    edges = (np.arange(4), np.arange(4))
    return Panels(panels=tuple(panels), blanks=tuple(blanks), edge_vertices=edges)


def _gauges() -> Gauges:
    cards = [
        Gauge(
            name=f"wing x = {x} {hand}",
            hand=hand,
            plane=("x", float(x)),
            section=np.zeros((2, 3)),
            profile=np.zeros((2, 2)),
            outline=np.zeros((3, 2)),
            marks=np.zeros((0, 2)),
            mark_names=(),
            origin=np.zeros(3),
        )
        for x in (-100, 0)
        for hand in ("left", "right")
    ]
    return Gauges(gauges=tuple(cards))


def _check() -> CheckResult:
    spots = tuple(
        Spot(
            kind=kind,
            centre=np.zeros(3),
            height=2.0,
            mean=1.0,
            area=10_000.0,
            points=9,
            words="",
        )
        for kind in ("high", "low")
    )
    return CheckResult(
        survey="built wing",
        region="wing",
        rotation=np.eye(3),
        translation=np.zeros(3),
        seated=np.zeros((1, 3)),
        distance=np.zeros(1),
        rms=0.1,
        seating_sigma=0.1,
        tolerance=1.5,
        spots=spots,
    )


def _plan(**more: object) -> Plan:
    asked: dict[str, object] = {"buck": None, "panels": None, "gauges": None, "checks": ()}
    return make_plan(SPEC, **(asked | more))  # type: ignore[arg-type]


def test_hours_are_the_shops_rates_times_what_the_buck_measures() -> None:
    buck = _buck()
    tasks = {task.name: task for task in _plan(buck=buck).tasks}
    belts = [wire for wire in buck.wires if wire.name.startswith("belt")]
    belt = tasks["Bend wire belt (2 rods)"]
    metres = sum(wire.length for wire in belts) / 1000.0
    assert belt.hours == pytest.approx((0.1 * metres, 0.2 * metres, 0.6 * metres))
    frame = tasks["Cut and weld the inner frame"]
    count = len(buck.members)
    assert frame.hours == pytest.approx((0.1 * count, 0.2 * count, 0.3 * count))
    assert frame.people == 2
    tacked = [task for name, task in tasks.items() if name.startswith("Tack ")]
    assert sum(task.hours[1] for task in tacked) == pytest.approx(0.03 * len(buck.tacks))


def test_wires_are_bent_before_they_are_tacked_and_posts_come_last() -> None:
    tasks = {task.name: task for task in _plan(buck=_buck()).tasks}
    outer = next(t for name, t in tasks.items() if name.startswith("Tack body: outer"))
    inner = next(t for name, t in tasks.items() if name.startswith("Tack body: wires of layer 1"))
    posts = next(t for name, t in tasks.items() if "posts" in name)
    assert "Cut and weld the inner frame" in outer.needs
    assert outer.name in inner.needs
    assert {"Bend wire middle section", "Bend wire belt (2 rods)"} <= set(inner.needs)
    assert {outer.name, inner.name} <= set(posts.needs)


def test_a_wire_and_its_mirror_image_are_one_task_and_only_cut_where_both_are_sprung() -> None:
    buck = _buck()
    sprung = tuple(
        wire.model_copy(update={"sprung": wire.name.startswith("belt")}) for wire in buck.wires
    )
    tasks = _plan(buck=buck.model_copy(update={"wires": sprung})).tasks
    belts = [task.name for task in tasks if "wire belt" in task.name]
    assert belts == ["Cut wire belt (2 rods)"]
    one_bent = tuple(w.model_copy(update={"sprung": w.name == "belt left"}) for w in buck.wires)
    tasks = _plan(buck=buck.model_copy(update={"wires": one_bent})).tasks
    assert "Bend wire belt (2 rods)" in {task.name for task in tasks}


def test_panels_are_formed_with_their_gauges_then_checked_welded_and_checked_again() -> None:
    plan = _plan(panels=_panels(), gauges=_gauges())
    tasks = {task.name: task for task in plan.tasks}
    assert tasks["Cut 4 gauges of wing"].hours == pytest.approx((0.8, 1.2, 1.6))
    assert tasks["Form tail"].hours == pytest.approx((1.6, 3.2, 6.4))
    assert tasks["Form tail"].needs == ("Cut 4 gauges of wing",)
    assert tasks["Check tail"].needs == ("Form tail",)
    seam = tasks["Weld tail to nose"]
    assert seam.hours == pytest.approx((0.4, 0.8, 1.2))
    assert set(seam.needs) == {"Check tail", "Check nose"}
    assert tasks["Check wing after welding"].needs == ("Weld tail to nose",)


def test_blanks_are_a_task_of_their_own_where_the_shop_has_a_rate() -> None:
    rates = RATES.model_copy(update={"cut_blank": (0.2, 0.4, 0.6)})
    spec = SPEC.model_copy(update={"rates": rates})
    plan = make_plan(spec, buck=None, panels=_panels(), gauges=None, checks=())
    tasks = {task.name: task for task in plan.tasks}
    assert "Cut the blank of tail" in tasks["Form tail"].needs


def test_every_spot_is_mended_and_then_checked() -> None:
    tasks = {task.name: task for task in _plan(checks=(_check(),)).tasks}
    assert tasks["Mend high spot 1 of built wing"].hours == pytest.approx((0.1, 0.2, 0.4))
    assert set(tasks["Check built wing again"].needs) == {
        "Mend high spot 1 of built wing",
        "Mend low spot 2 of built wing",
    }


def test_every_task_says_its_danger_and_the_standard() -> None:
    plan = _plan(buck=_buck(), panels=_panels(), gauges=_gauges(), checks=(_check(),))
    for task in plan.tasks:
        assert "Current edition" in task.caution
        assert "local codes" in task.caution
        if task.operation == "welding":
            assert "Z49.1" in task.caution
            assert "51B" in task.caution
        elif task.operation != "checking":
            assert "Z87.1" in task.caution
    assert {task.operation for task in plan.tasks} == set(OPERATIONS)


def test_the_whole_has_the_sum_of_its_hours_and_variances() -> None:
    plan = _plan(buck=_buck(), panels=_panels(), gauges=_gauges())
    hours = sum(t.people * (t.hours[0] + 4 * t.hours[1] + t.hours[2]) / 6 for t in plan.tasks)
    assert plan.expected_hours == pytest.approx(hours)
    variance = sum((t.people * (t.hours[2] - t.hours[0]) / 6) ** 2 for t in plan.tasks)
    assert plan.sigma_hours == pytest.approx(variance**0.5)
    named = {task.name: task for task in plan.tasks}
    assert plan.critical_hours == pytest.approx(sum(named[n].expected for n in plan.critical))
    for earlier, later in zip(plan.critical, plan.critical[1:], strict=False):
        assert earlier in named[later].needs


def test_the_plan_says_that_hours_are_the_shops_own_and_who_is_missing() -> None:
    assert {f.code for f in _plan(buck=_buck()).findings} == {"own-hours"}
    learners = SPEC.model_copy(
        update={"crew": (CREW[0].model_copy(update={"skills": {}}), CREW[1])}
    )
    plan = make_plan(learners, buck=_buck(), panels=None, gauges=None, checks=())
    codes = {(f.code, f.where) for f in plan.findings}
    assert ("nobody-able", "welding") in codes
    assert "Cut and weld the inner frame" in plan.left_over
    alone = tuple(s.model_copy(update={"present": ("Maud",)}) for s in SESSIONS)
    few = SPEC.model_copy(update={"sessions": alone})
    plan = make_plan(few, buck=_buck(), panels=None, gauges=None, checks=())
    assert "too-few-people" in {f.code for f in plan.findings}


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"rates": RATES.model_copy(update={"tack": (0.5, 0.2, 0.9)})}, "tack"),
        ({"rates": RATES.model_copy(update={"check_panel": (-1.0, 0.2, 0.9)})}, "check panel"),
        ({"crew": (CREW[0], CREW[0])}, "Two people"),
        ({"sessions": (SESSIONS[0], SESSIONS[0])}, "Two sessions"),
        ({"crew": CREW[:1]}, "'Jonas' is present"),
        ({"sessions": (SESSIONS[0].model_copy(update={"hours": -1.0}),)}, "no hours"),
    ],
)
def test_what_cannot_be_planned_is_refused_in_one_sentence(
    change: dict[str, object], said: str
) -> None:
    with pytest.raises(JobError, match=said):
        make_plan(SPEC.model_copy(update=change), buck=None, panels=None, gauges=None, checks=())


def test_a_job_without_products_has_no_tasks() -> None:
    plan = _plan()
    assert (plan.tasks, plan.assignments, plan.left_over) == ((), (), ())
