"""An invented job with invented answers, in the shape of a small van: closed forms only.

Nothing here is computed by a step: the page must show whatever the store holds.
"""

from datetime import date
from hashlib import sha256
from io import BytesIO

import numpy as np
from PIL import Image, ImageDraw
from scipy.interpolate import make_interp_spline

from buckwright.geometry.camera import project
from buckwright.model.checking import CheckResult, Spot, Survey
from buckwright.model.finding import Finding
from buckwright.model.gauges import Gauge, Gauges, GaugeSpec
from buckwright.model.job import Job, Products, Reference
from buckwright.model.lines import (
    Crossing,
    Departure,
    Line,
    LineNetwork,
    LineSpec,
    Placement,
)
from buckwright.model.people import FitAnswer, FitQuestion, HeightFit, Person
from buckwright.model.pictures import (
    Calibration,
    CameraGroup,
    Mat,
    MeasuredLine,
    Picture,
    PictureSource,
    Trace,
)
from buckwright.model.plan import (
    Assignment,
    CrewMember,
    Plan,
    PlanSpec,
    Session,
    Task,
    WorkRates,
)
from buckwright.model.skin import LineTrack, RegionSpec, Skin, SkinRegion

SCALE = 8.0
FOCAL, SIZE = 900.0, (960, 720)


def half_breadth(x):
    return 640.0 - 6.0e-5 * (x - 1600.0) ** 2


def body_point(x, angle):
    """The body at station x: angle -1 at the left sill, 0 on the roof's centre, 1 at the right."""
    turn = 0.5 * np.pi * np.clip(np.abs(angle) * 1.55, 0.0, 1.0)
    down = np.clip((np.abs(angle) - 1.0 / 1.55) / (1.0 - 1.0 / 1.55), 0.0, 1.0)
    y = np.sign(angle) * half_breadth(x) * np.sin(turn) ** 0.55 * (1.0 - 0.08 * down**2)
    z = 1000.0 + (610.0 - 4.0e-5 * (x - 1700.0) ** 2) * np.cos(turn) ** 0.62 - 660.0 * down
    return np.stack(np.broadcast_arrays(x, y, z), axis=-1)


def wing_point(u, v):
    """A wing round an axle at x = 0: u along it (0 to 1), v across it (-1 to 1)."""
    turn = np.pi * (1.02 - 0.98 * u)
    radius = 400.0 - 60.0 * v**2
    x, z = radius * np.cos(turn), 330.0 + radius * np.sin(turn)
    return np.stack(np.broadcast_arrays(x, -690.0 + 125.0 * v, z), axis=-1)


def grid(rows, columns):
    """Triangles of a rows x columns grid of vertices, and the vertices round its edge."""
    at = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]
    triangles = np.concatenate([np.stack([a, b, c], -1), np.stack([a, c, d], -1)])
    edge = np.concatenate([at[0, :-1], at[:-1, -1], at[-1, :0:-1], at[:0:-1, 0]])
    return triangles.reshape(-1, 3), edge


def spline(name, points, *, closed=False, moved=0.4):
    """A Line through points."""
    curve = make_interp_spline(np.linspace(0.0, 1.0, len(points)), points, k=3)
    return Line(
        name=name,
        degree=3,
        knots=curve.t,
        control=curve.c,
        closed=closed,
        sigma=0.55 + 0.01 * len(name),
        moved_most=moved,
        moved_rms=moved / 3.0,
        curvature_extrema=len(name) % 4,
    )


def true_lines():
    """Points of each line before the departure, by name."""
    x = np.linspace(760.0, 2860.0, 60)
    low = np.linspace(430.0, 2860.0, 60)
    arch = np.linspace(-1.0, 1.0, 80)
    lines = {
        "roof centre line": body_point(x, np.zeros_like(x)),
        "middle section": body_point(np.full_like(arch, 1470.0), arch),
        "rear edge": body_point(np.full_like(arch, 2860.0), arch),
    }
    for side, sign in (("left", -1.0), ("right", 1.0)):
        lines[f"belt {side}"] = body_point(low, np.full_like(low, sign / 1.55))
        lines[f"sill {side}"] = body_point(low, np.full_like(low, sign))
        lines[f"cantrail {side}"] = body_point(x, np.full_like(x, sign * 0.42))
    u = np.linspace(0.0, 1.0, 50)
    lines["front wing crown"] = wing_point(u, np.zeros_like(u))
    return lines


def departed(points):
    """Moved as the stretch zone of the job moves them."""
    part = np.clip((points[:, 0] - 1500.0) / 400.0, 0.0, 1.0)
    shift = 60.0 * part**3 * (10.0 + part * (6.0 * part - 15.0))
    return points + np.column_stack([shift, np.zeros((len(points), 2))])


def make_lines():
    before = {name: spline(name, points) for name, points in true_lines().items()}
    after = {name: spline(name, departed(points)) for name, points in true_lines().items()}
    crossing = Crossing(
        lines=("roof centre line", "middle section"),
        parameters=(0.34, 0.5),
        point=body_point(np.array(1470.0), np.array(0.0)),
        gap=0.8,
    )
    finding = Finding(
        code="one-sided-line",
        where="sill left",
        message="The sill left was seen in 4 pictures only, and is good to 1.42 mm there.",
        remedy="Take two more pictures from below on the left.",
    )
    return Reference(
        placement=Placement(
            scale=SCALE,
            rotation=np.eye(3),
            origin=np.array([120.0, 150.0, 0.0]),
            wheelbase=2240.4,
            asymmetry_rms=0.9,
        ),
        placed=(),
        reference=LineNetwork(lines=tuple(before.values()), crossings=()),
        network=LineNetwork(
            lines=tuple(after.values()), crossings=(crossing,), findings=(finding,)
        ),
        wheelbase=2300.4,
    )


def _region(name, side, points, shape):
    triangles, edge = grid(*shape)
    flat = points.reshape(-1, 3)
    chart = np.stack(np.meshgrid(*(np.arange(n) * 25.0 for n in shape), indexing="ij"), axis=-1)
    return SkinRegion(
        name=name,
        side=side,
        vertices=flat,
        triangles=triangles,
        chart=chart.reshape(-1, 2),
        boundary=(LineTrack(line=f"{name} edge", vertices=edge, closed=True),),
        inner=(),
        holes=(),
        line_error_most=0.9,
        line_error_rms=0.3,
    )


def make_skin():
    x, angle = np.meshgrid(np.linspace(430.0, 2860.0, 60), np.linspace(-1.0, 1.0, 50), indexing="ij")
    body = body_point(x, angle)
    u, v = np.meshgrid(np.linspace(0.0, 1.0, 40), np.linspace(-1.0, 1.0, 16), indexing="ij")
    left = wing_point(u, v)
    right = wing_point(u, -v) * np.array([1.0, -1.0, 1.0])
    return Skin(
        regions=(
            _region("body", "whole", departed(body.reshape(-1, 3)), x.shape),
            _region("front wing", "left", left, u.shape),
            _region("front wing", "right", right, u.shape),
        )
    )


def make_people():
    heights = (
        HeightFit(name="shoulders", z=1180.0, needed=1010.0, given=1123.0, sigma=2.4, spare=113.0),
        HeightFit(name="elbows", z=820.0, needed=1130.0, given=1172.0, sigma=2.6, spare=42.0),
    )
    return FitAnswer(fits=True, heights=heights, random_pair=0.91, widen_by=0.0)


def cameras():
    """Six cameras round the mat, as OpenCV would have them."""
    for place, turn in enumerate(np.linspace(0.2, 0.2 + 2 * np.pi, 6, endpoint=False)):
        height = 420.0 if place % 2 else 620.0
        centre = np.array([290 + 700 * np.cos(turn), -200 + 700 * np.sin(turn), height])
        forward = np.array([290.0, -200.0, 80.0]) - centre
        forward /= np.linalg.norm(forward)
        right = np.cross(forward, [0.0, 0.0, 1.0])
        right /= np.linalg.norm(right)
        yield f"view {place + 1:02d}.jpg", np.stack([right, np.cross(forward, right), forward]), centre


def _rodrigues(turn):
    from scipy.spatial.transform import Rotation

    return Rotation.from_matrix(turn).as_rotvec()


def _in_mat(points):
    return points / SCALE + np.array([120.0, -200.0, 0.0])


def make_pictures():
    """Sources with their bytes, traces, and the calibration."""
    principal = (SIZE[0] / 2 - 0.5, SIZE[1] / 2 - 0.5)
    sources, blobs, traces, solved = [], [], [], []
    for name, turn, centre in cameras():
        pose = {"rotation_vector": _rodrigues(turn), "translation": -turn @ centre}
        solved.append(
            Picture(
                name=name,
                size=SIZE,
                focal=FOCAL,
                principal=principal,
                distortion=np.zeros(5),
                residual_px=0.28 + 0.01 * len(solved),
                corners_used=180,
                **pose,
            )
        )

        def to_px(points, pose=pose):
            return project(
                points,
                turn=pose["rotation_vector"],
                shift=pose["translation"],
                focal=np.array(FOCAL),
                principal=np.array(principal),
                lens=np.zeros(5),
            )

        image = Image.new("RGB", SIZE, (196, 190, 178))
        draw = ImageDraw.Draw(image)
        for column in range(19):
            for row in range(13):
                square = np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]], dtype=float)
                corners = (square + [column, -row - 1, 0]) * 30.0
                shade = (40, 40, 44) if (column + row) % 2 else (236, 234, 228)
                draw.polygon([tuple(p) for p in to_px(corners)], fill=shade)
        for line, points in true_lines().items():
            px = to_px(_in_mat(points))
            draw.line([tuple(p) for p in px], fill=(120, 60, 40), width=3)
            traces.append(Trace(line=line, picture=name, px=px))
        out = BytesIO()
        image.save(out, "JPEG", quality=80)
        blobs.append(out.getvalue())
        sources.append(
            PictureSource(name=name, sha256=sha256(out.getvalue()).hexdigest(), size=SIZE)
        )
    calibration = Calibration(
        pictures=tuple(solved),
        groups=(CameraGroup(focal=FOCAL, centre=principal, distortion=np.zeros(5)),),
        mat_points=np.zeros((0, 3)),
        residual_px=0.31,
        scale="bar",
        scale_sigma=0.00012,
        centre_sigma=np.full(len(solved), 0.031),
        findings=(
            Finding(
                code="few-heights",
                where="view 04.jpg",
                message="All pictures were taken between 420 mm and 620 mm above the mat.",
                remedy="Take two from above and two close to the mat.",
            ),
        ),
    )
    return tuple(sources), tuple(blobs), tuple(traces), calibration


def make_measured():
    return tuple(
        MeasuredLine(
            name=name,
            points=_in_mat(points),
            sigma=np.full(len(points), 0.09),
            closed=False,
            pictures=("view 01.jpg", "view 02.jpg", "view 03.jpg"),
            residual_px=0.7,
            conditioning=np.ones(len(points)),
        )
        for name, points in true_lines().items()
    )


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
    spots = (("cut the rods", "Saturday", 0.0, 2.2), ("bend the primary wires", "Saturday", 2.2, 3.8))
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
        crew=(CrewMember(name="Ines", skills={"cut": 3}), CrewMember(name="Tom", skills={"cut": 1})),
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
    cards = []
    for place, station in enumerate((-200.0, 0.0, 200.0)):
        for hand, sign in (("left", 1.0), ("right", -1.0)):
            flip = np.array([sign, 1.0])
            cards.append(
                Gauge(
                    name=f"FW{place + 1} {hand[0].upper()}",
                    hand=hand,
                    plane=("x", station),
                    section=np.column_stack([np.full(40, station), profile]),
                    profile=profile * flip,
                    outline=outline * flip,
                    marks=profile[[20]] * flip,
                    mark_names=("front wing crown",),
                    origin=np.array([station, -700.0, 400.0]),
                )
            )
    return Gauges(gauges=tuple(cards))


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


def job_and_answers():
    """The job, its photographs, and everything worked out."""
    from web.invented_metal import buck_spec, make_buck, make_panels, panel_specs

    sources, blobs, traces, calibration = make_pictures()
    skin = make_skin()
    names = tuple(LineSpec(name=name) for name in true_lines())
    job = Job(
        name="Plover",
        revision="A",
        scale=SCALE,
        mat=Mat(squares=(19, 13), square_mm=30.0, marker_mm=22.0, dictionary="DICT_5X5_250"),
        pictures=sources,
        traces=traces,
        lines=names,
        departures=(
            Departure(
                name="longer load floor",
                reason="two bales side by side",
                axis="x",
                start=1500.0,
                end=1900.0,
                by=60.0,
            ),
        ),
        regions=(RegionSpec(name="body", boundary=("sill left", "rear edge")),),
        people=people_question(),
        buck=buck_spec(),
        **panel_specs(),
        gauges=(GaugeSpec(region="front wing", axis="x", at=(-200.0, 0.0, 200.0)),),
        surveys=(
            Survey(
                name="front wing left", region="front wing", points=np.zeros((4, 3)), sigma=0.2
            ),
        ),
        plan=plan_spec(),
    )
    answers = Products(
        calibration=calibration,
        measured=make_measured(),
        lines=make_lines(),
        skin=skin,
        people=make_people(),
        buck=make_buck(),
        panels=make_panels(),
        gauges=make_gauges(),
        checks=(make_check(skin),),
        plan=make_plan(),
    )
    return job, blobs, answers
