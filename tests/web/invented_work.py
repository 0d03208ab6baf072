"""People, gauges, a survey and a plan for the invented van."""

from datetime import date

import numpy as np

from buckwright.model.checking import CheckResult, Spot
from buckwright.model.gauges import (
    Gauge,
    Gauges,
    GaugeSet,
    Stand,
    StandBoard,
    Sweep,
    SweepArea,
    SweepSet,
)
from buckwright.model.people import FitAnswer, FitQuestion, HeightFit, Person
from buckwright.model.plan import (
    Assignment,
    CrewMember,
    Plan,
    PlanSpec,
    Session,
    Task,
    WorkRates,
)


def make_people():
    heights = (
        HeightFit(name="shoulders", z=1180.0, needed=1010.0, given=1123.0, sigma=2.4, spare=113.0),
        HeightFit(name="elbows", z=820.0, needed=1130.0, given=1172.0, sigma=2.6, spare=42.0),
    )
    return FitAnswer(fits=True, heights=heights, random_pair=0.91, widen_by=0.0)


def make_check(skin):
    wing = skin.region("front wing", "left")
    points = wing.vertices[::3]
    height = 4.0 * np.exp(-(((points - points[60]) / 60.0) ** 2).sum(axis=1))
    height -= 3.0 * np.exp(-(((points - points[140]) / 60.0) ** 2).sum(axis=1))
    spots = tuple(
        Spot(
            kind=kind,
            centre=points[place],
            height=float(height[place]),
            mean=float(height[place]) / 2,
            area=9000.0,
            points=9,
            words=f"a {kind} spot of {abs(height[place]):.1f} mm: {remedy}",
        )
        for kind, place, remedy in (("high", 60, "shrink it"), ("low", 140, "raise it"))
    )
    return CheckResult(
        survey="front wing left",
        region="front wing",
        rotation=np.eye(3),
        translation=np.zeros(3),
        seated=points,
        distance=height,
        rms=0.31,
        seating_sigma=0.12,
        tolerance=1.5,
        spots=spots,
    )


def make_plan():
    hours = ((1.0, 2.0, 4.0), (3.0, 5.0, 9.0), (0.5, 1.0, 1.5), (6.0, 9.0, 16.0))
    names = ("cut the rods", "bend the primary wires", "tack the frame", "form the wing")
    tasks = tuple(
        Task(
            name=name,
            operation=name.split()[0],
            hours=h,
            skill=2,
            needs=names[k - 1 : k] if k else (),
            caution="Eyes and ears." if k == 0 else "",
        )
        for k, (name, h) in enumerate(zip(names, hours, strict=True))
    )
    spots = (
        ("cut the rods", "Saturday", 0.0, 2.2),
        ("bend the primary wires", "Saturday", 2.2, 3.8),
    )
    return Plan(
        tasks=tasks,
        assignments=(
            *(
                Assignment(task=t, session=s, start=a, hours=h, people=("Ines", "Tom"))
                for t, s, a, h in spots
            ),
            Assignment(
                task="tack the frame", session="Sunday", start=0.0, hours=1.0, people=("Tom",)
            ),
        ),
        left_over=("form the wing",),
        expected_hours=18.5,
        sigma_hours=2.1,
    )


def plan_spec():
    rate = (0.5, 1.0, 2.0)
    kinds = WorkRates.model_fields
    return PlanSpec(
        crew=(
            CrewMember(name="Ines", skills={"cut": 3}),
            CrewMember(name="Tom", skills={"cut": 1}),
        ),
        sessions=(
            Session(name="Saturday", day=date(2026, 6, 6), hours=6.0, present=("Ines", "Tom")),
            Session(name="Sunday", day=date(2026, 6, 7), hours=5.0, present=("Tom",)),
        ),
        rates=WorkRates(**dict.fromkeys(kinds, rate)),
    )


def make_gauges():
    z = np.linspace(0.0, 300.0, 40)
    profile = np.column_stack([40.0 - 0.0009 * (z - 120.0) ** 2, z])
    outline = np.vstack([profile, [[-40.0, 300.0], [-40.0, 0.0]]])
    axes = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
    cards = []
    for place, station in enumerate((-200.0, 0.0, 200.0)):
        for hand, sign in (("left", 1.0), ("right", -1.0)):
            flip = np.array([sign, 1.0])
            origin = np.array([station, -sign * 700.0, 400.0])
            cards.append(
                Gauge(
                    name=f"FW{place + 1} {hand[0].upper()}",
                    hand=hand,
                    plane=("x", station),
                    section=origin + (profile * flip) @ axes,
                    profile=profile * flip,
                    outline=outline * flip,
                    marks=profile[[20]] * flip,
                    mark_names=("front wing crown",),
                    origin=origin,
                    axes=axes,
                    region="front wing",
                    squareness_deg=61.0,
                    thickness=3.0,
                    edge_off=0.72 if place == 2 else 0.1,
                )
            )
    return Gauges(
        gauges=tuple(cards),
        sets=(_chosen(),),
        stands=tuple(_stand(hand) for hand in ("left", "right")),
        sweeps=(_sweeps(),),
    )


def _chosen():
    return GaugeSet(
        region="front wing",
        face="outside",
        normal=np.array([1.0, 0.0, 0.0]),
        at=np.array([-200.0, 0.0, 200.0]),
        tolerance=1.0,
        error=0.87,
        error_at=np.array([-90.0, -690.0, 610.0]),
        law="Lay a batten over the cards.",
    )


def _stand(hand):
    sign = 1.0 if hand == "left" else -1.0
    comb = StandBoard(
        name=f"front wing comb A {hand}",
        outline=np.array([[-260.0, 0.0], [260.0, 0.0], [260.0, 60.0], [-260.0, 60.0]]),
        origin=np.array([0.0, -sign * 740.0, 500.0]),
        axes=np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]),
        slots=np.array([[-200.0, 30.0], [0.0, 30.0], [200.0, 30.0]]),
        slot_names=tuple(f"FW{place} {hand[0].upper()}" for place in (1, 2, 3)),
    )
    return Stand(
        name=f"front wing stand {hand}",
        hand=hand,
        region="front wing",
        face="outside",
        boards=(comb,),
        cards=comb.slot_names,
        up=np.array([0.0, 0.0, 1.0]),
        foot=400.0,
        thickness=3.0,
        clearance=0.1,
        play=0.24,
    )


def _sweeps():
    arc = np.array([[-75.0, 5.0], [0.0, 0.0], [75.0, 5.0]])
    corners = np.array([[0.0, -700.0, 400.0], [100.0, -700.0, 400.0], [0.0, -700.0, 500.0]])
    return SweepSet(
        region="front wing",
        side="left",
        chord=150.0,
        tolerance=0.5,
        sweeps=tuple(
            Sweep(name=name, radius=radius, bends="hollow", outline=arc, edge=arc)
            for name, radius in (("A", 215.0), ("B", 431.0))
        ),
        gap=0.43,
        chart=corners[:, [0, 2]],
        triangles=np.array([[0, 1, 2]]),
        vertices=corners,
        greater=np.full(3, 12.0),
        lesser=np.full(3, 6.0),
        greater_sweep=np.zeros(3, dtype=int),
        lesser_sweep=np.ones(3, dtype=int),
        areas=(
            SweepArea(
                sweep="A",
                way="greater",
                area=120000.0,
                centre=np.array([0.0, -700.0, 450.0]),
                direction=np.array([0.0, 0.0, 1.0]),
            ),
            SweepArea(
                sweep="B",
                way="lesser",
                area=90000.0,
                centre=np.array([60.0, -700.0, 430.0]),
                direction=np.array([1.0, 0.0, 0.0]),
            ),
        ),
    )


def people_question():
    sizes = {"sitting_height": 900.0, "shoulder_height": 600.0, "elbow_height": 240.0}
    return FitQuestion(
        people=(
            Person(name="Ines", shoulder_breadth=440.0, elbow_breadth=480.0, **sizes),
            Person(name="Tom", shoulder_breadth=500.0, elbow_breadth=560.0, **sizes),
        ),
        seat_x=1300.0,
        seat_z=580.0,
    )
