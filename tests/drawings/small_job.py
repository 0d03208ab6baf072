"""A small invented job with hand-made products: a barrel of a body with a domed panel."""

from datetime import date
from functools import cache

import numpy as np
from scipy.interpolate import make_interp_spline

from buckwright.model.buck import (
    BarCut,
    Buck,
    BuckSpec,
    CuttingPlan,
    FrameMember,
    Piece,
    Post,
    Tack,
    Wire,
    WireSpec,
)
from buckwright.model.checking import Survey
from buckwright.model.finding import Finding
from buckwright.model.gauges import GaugeSpec
from buckwright.model.job import Job, Products, Reference
from buckwright.model.lines import (
    Datum,
    Departure,
    Line,
    LineNetwork,
    LineSpec,
    PlacedLine,
    Placement,
)
from buckwright.model.panels import (
    PanelSpec,
    SheetStock,
)
from buckwright.model.plan import Assignment, CrewMember, Plan, PlanSpec, Session, Task, WorkRates
from buckwright.model.skin import RegionSpec
from drawings.small_metal import checks, gauges, panels, skin

BASE = 2300.0
FIND = Finding(
    code="few-pictures",
    where="belt left",
    message="Only 3 pictures show it.",
    remedy="Take two more from the left.",
)


def fair(name, points, *, closed=False):
    points = np.asarray(points, dtype=float)
    at = np.linspace(0.0, 1.0, len(points))
    spline = make_interp_spline(at, points, k=3, bc_type="periodic" if closed else None)
    return Line(
        name=name,
        degree=3,
        knots=spline.t,
        control=spline.c,
        closed=closed,
        sigma=0.8,
    )


def arch(x, half, low, high, count=41):
    angle = np.linspace(0.0, np.pi, count)
    y = -half * np.sign(np.cos(angle)) * np.abs(np.cos(angle)) ** 0.6
    z = low + (high - low) * np.sin(angle) ** 0.6
    return np.column_stack([np.full(count, x), y, z])


def side_line(sign, half, height, rise):
    x = np.linspace(420.0, 2900.0, 31)
    y = sign * (half - 40.0 * ((x - 1660.0) / 1240.0) ** 2)
    z = height + rise * np.sin((x - 420.0) / 2480.0 * np.pi)
    return np.column_stack([x, y, z])


def ring_points(x, y, z, radius, count=60):
    angle = np.linspace(0.0, 2.0 * np.pi, count + 1)
    flat = np.column_stack([radius * np.cos(angle), 0.0 * angle, radius * np.sin(angle)])
    return flat + np.array([x, y, z])


@cache
def reference():
    roof = np.column_stack(
        [
            np.linspace(790.0, 2900.0, 21),
            np.zeros(21),
            1620.0 - np.linspace(-1.0, 1.0, 21) ** 2 * 60,
        ]
    )
    lines = (
        fair("belt left", side_line(-1.0, 660.0, 1000.0, 30.0)),
        fair("belt right", side_line(1.0, 660.0, 1000.0, 30.0)),
        fair("sill left", side_line(-1.0, 600.0, 330.0, 0.0)),
        fair("sill right", side_line(1.0, 600.0, 330.0, 0.0)),
        fair("roof centre line", roof),
        fair("scuttle front", arch(420.0, 560.0, 330.0, 1080.0)),
        fair("middle section", arch(1500.0, 660.0, 330.0, 1618.0)),
        fair("rear edge", arch(2900.0, 620.0, 330.0, 1560.0)),
        fair("window left", ring_points(1100.0, -655.0, 1200.0, 150.0), closed=True),
    )
    rims = tuple(
        PlacedLine(
            name=f"{end} rim left",
            points=ring_points(x, -700.0, 330.0, 220.0)[:-1],
            sigma=np.full(60, 0.8),
            closed=True,
        )
        for end, x in (("front", 0.0), ("rear", BASE))
    )
    network = LineNetwork(lines=lines, crossings=(), findings=(FIND,))
    placement = Placement(
        scale=8.0, rotation=np.eye(3), origin=np.zeros(3), wheelbase=BASE - 60.0, asymmetry_rms=1.0
    )
    return Reference(
        placement=placement, placed=rims, reference=network, network=network, wheelbase=BASE
    )


def wire(name, points, *, side="whole", closed=False, sprung=False):
    points = np.asarray(points, dtype=float)
    length = float(
        np.linalg.norm(
            np.diff(np.vstack([points, points[:1]]) if closed else points, axis=0), axis=1
        ).sum()
    )
    return Wire(
        name=name,
        line=f"line {name}",
        region="body",
        side=side,
        layer=0,
        diameter=6.35,
        axis=points,
        closed=closed,
        length=length,
        cut_length=length + (0.0 if closed else 20.0),
        set_in=4.4,
        least_radius=180.0,
        form_radius=0.0 if sprung else 160.0,
        sprung=sprung,
        mass=0.2486 * length / 1000.0,
    )


@cache
def buck():
    network = reference().network
    wires = (
        wire("roof centre line", network.line("roof centre line").points(300), sprung=True),
        wire("middle section", network.line("middle section").points(400)),
        wire("belt left", network.line("belt left").points(400), side="left"),
        wire("belt right", network.line("belt right").points(400), side="right"),
        wire("window left", ring_points(1100.0, -655.0, 1200.0, 150.0, 240)[:-1], side="left",
             closed=True),
        wire("helix", np.column_stack([
            np.linspace(800.0, 2000.0, 300),
            300.0 * np.cos(np.linspace(0.0, 3.0, 300)),
            1000.0 + 300.0 * np.sin(np.linspace(0.0, 3.0, 300)),
        ])),
    )  # fmt: skip
    tacks = (
        *(
            Tack(wires=("middle section", "belt left"), at=(620.0 + k, 1110.0), point=np.zeros(3))
            for k in (0.0, 4.0, 9.0)
        ),
        Tack(wires=("roof centre line", "middle section"), at=(712.0, 1700.0), point=np.zeros(3)),
        Tack(wires=("helix", "middle section"), at=(100.0, 2000.0), point=np.zeros(3)),
        Tack(wires=("window left", "belt left"), at=(300.0, 700.0), point=np.zeros(3)),
    )
    corner = np.array([[900.0, -400.0, 500.0], [2500.0, 400.0, 1200.0]])
    members = []
    for a in range(8):
        for bit in (1, 2, 4):
            if not a & bit:
                ends = [np.array([corner[(k >> i) & 1, i] for i in range(3)]) for k in (a, a | bit)]
                length = float(np.linalg.norm(ends[1] - ends[0]))
                members.append(
                    FrameMember(
                        name=f"F{len(members) + 1}",
                        start=ends[0],
                        end=ends[1],
                        cut_length=length,
                        mass=1.2 * length / 1000.0,
                    )
                )
    middle = network.line("middle section").points(400)
    posts = tuple(
        Post(
            name=f"post {k + 1}",
            member="F3",
            wire="middle section",
            start=np.array([1500.0, 0.6 * middle[i, 1], 0.6 * middle[i, 2] + 200.0]),
            end=middle[i],
            cut_length=250.0 + k,
            angle_at_wire_deg=85.0,
            mass=0.06,
        )
        for k, i in enumerate((60, 120, 200, 280, 340))
    )
    rod = CuttingPlan(
        stock="6.35 mm rod",
        bars=tuple(
            BarCut(
                stock="6.35 mm rod",
                bar_length=6096.0,
                pieces=(Piece(name=w.name, length=w.cut_length),),
                remnant=6096.0 - w.cut_length,
            )
            for w in wires
        ),
        bars_bound=4,
        kerf=2.0,
        proven=False,
    )
    tube = CuttingPlan(
        stock="25.4 mm tube",
        bars=tuple(
            BarCut(
                stock="25.4 mm tube",
                bar_length=6096.0,
                pieces=tuple(Piece(name=m.name, length=m.cut_length) for m in members[k : k + 4]),
                remnant=400.0,
            )
            for k in (0, 4, 8)
        ),
        bars_bound=3,
        kerf=2.0,
        proven=True,
    )
    return Buck(
        wires=wires,
        tacks=tacks,
        members=tuple(members),
        posts=posts,
        rod_plan=rod,
        tube_plan=tube,
        mass=31.5,
        frame_clearance=34.0,
        findings=(
            Finding(
                code="close",
                where="helix",
                message="It passes 2 mm from middle section.",
                remedy="Bend it by eye there.",
            ),
        ),
    )


@cache
def plan():
    tasks = (
        Task(name="bend middle section", operation="bend", hours=(0.5, 1.0, 2.0), skill=2),
        Task(name="weld frame", operation="weld", hours=(2.0, 3.0, 5.0), skill=3, people=2,
             needs=("bend middle section",), caution="ANSI Z49.1"),
    )  # fmt: skip
    done = Assignment(
        task="bend middle section", session="one", start=0.0, hours=1.25, people=("Ada",)
    )
    return Plan(
        tasks=tasks,
        assignments=(done,),
        left_over=("weld frame",),
        expected_hours=4.25,
        sigma_hours=0.6,
    )


@cache
def job():
    rates = WorkRates(**dict.fromkeys(WorkRates.model_fields, (1.0, 2.0, 3.0)))
    session = Session(name="one", day=date(2026, 3, 7), hours=3.0, present=("Ada",))
    crew = CrewMember(name="Ada", skills={"bend": 2})
    return Job(
        name="Wren",
        revision="B",
        scale=8.0,
        lines=(
            LineSpec(name="belt left", mirror="belt right"),
            LineSpec(name="belt right", mirror="belt left"),
            LineSpec(name="sill left", mark="edge", mirror="sill right"),
            LineSpec(name="sill right", mark="edge", mirror="sill left"),
            LineSpec(name="roof centre line"),
            LineSpec(name="scuttle front", mark="edge"),
            LineSpec(name="rear edge", mark="edge"),
            LineSpec(name="middle section"),
            LineSpec(name="window left", mark="edge", closed=True),
        ),
        datum=Datum(
            front_axle=("front rim left",),
            rear_axle=("rear rim left",),
            forward_of=("scuttle front", "rear edge"),
        ),
        departures=(
            Departure(
                name="longer load floor",
                reason="a bed must fit",
                axis="x",
                start=1500.0,
                end=1900.0,
                by=60.0,
            ),
        ),
        regions=(RegionSpec(name="front wing", boundary=("front wing edge",), side="left"),),
        buck=BuckSpec(wires=(WireSpec(name="belt left", region="body"),)),
        sheet=SheetStock(alloy="3003-H14", thickness=1.2),
        panels=(PanelSpec(name="wing crown", region="front wing"),),
        gauges=(GaugeSpec(region="front wing", axis="x", at=(1200.0,)),),
        surveys=(
            Survey(name="left front wing", region="front wing", points=np.zeros((1, 3)), sigma=0.2),
        ),
        plan=PlanSpec(crew=(crew,), sessions=(session,), rates=rates),
    )  # fmt: skip


@cache
def products():
    return Products(
        lines=reference(),
        skin=skin(),
        buck=buck(),
        panels=panels(),
        gauges=gauges(),
        checks=checks(),
        plan=plan(),
    )
