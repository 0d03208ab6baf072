"""Invented openings: a door that touches, one pane that drops; nothing here was worked out."""

import numpy as np

from buckwright.model.finding import Finding
from buckwright.model.openings import (
    Drop,
    GlassSpec,
    Hinge,
    HingeAxis,
    HingePin,
    Opening,
    Openings,
    OpeningSpec,
    Outline,
    Pane,
    Swing,
    Touch,
)

HINGE = Hinge(
    pins=(HingePin(point=(800.0, -640.0, 500.0)), HingePin(point=(800.0, -640.0, 900.0))),
    swing=1.2,
)


def opening_specs():
    return (
        OpeningSpec(
            name="door left",
            kind="door",
            outline=("sill left",),
            hinge=HINGE,
            glass=GlassSpec(drops=True),
        ),
        OpeningSpec(name="screen", kind="screen", outline=("sill left",), glass=GlassSpec()),
    )


def rectangle(low, high, steps=12):
    side = np.linspace(0.0, 1.0, steps, endpoint=False)[:, None]
    corners = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
    sides = zip(corners, np.roll(corners, -1, axis=0), strict=True)
    flat = np.vstack([a + side * (b - a) for a, b in sides])
    return np.column_stack([flat[:, 0], np.full(len(flat), -640.0), flat[:, 1]])


def outline():
    return Outline(
        points=rectangle((800.0, 350.0), (1400.0, 1300.0)),
        perimeter=3100.0,
        area=570000.0,
        off_most=0.4,
        off_at=(800.0, -640.0, 350.0),
        inner=rectangle((802.5, 352.5), (1397.5, 1297.5)),
        outer=rectangle((797.5, 347.5), (1402.5, 1302.5)),
    )


def pane(*, drop):
    edge = rectangle((900.0, 1000.0), (1300.0, 1250.0))
    flat = np.array([[-200.0, -125.0], [200.0, -125.0], [200.0, 125.0], [-200.0, 125.0]])
    steps = np.linspace(0.0, 250.0, 6)
    return Pane(
        shape="flat",
        origin=(1100.0, -630.0, 1125.0),
        axes=np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]),
        curvature=0.0,
        edge=edge,
        off=1.3 * np.sin(np.arange(len(edge))),
        off_rms=0.9,
        off_most=1.3,
        off_at=(900.0, -640.0, 1000.0),
        off_other=0.6,
        stands_in=8.0,
        outline=flat,
        area=100000.0,
        drop=Drop(
            wanted=250.0,
            reached=250.0,
            stopped_by="",
            steps=steps,
            outer=6.0 + 0.02 * steps,
            inner=30.0 - 0.02 * steps,
            edge=np.full(6, 40.0),
            direction=(0.0, 1.0),
            needed=40.0,
            shift=0.0,
        )
        if drop
        else None,
    )


def make_openings():
    corners = rectangle((802.5, 352.5), (1397.5, 1297.5), steps=1)
    swing = Swing(
        wanted=1.2,
        reached=0.8,
        sense=-1,
        touch=Touch(
            angle=0.8,
            point=(802.0, -630.0, 700.0),
            part="its front edge",
            against="the jamb at its front edge",
        ),
        angles=np.linspace(0.0, 0.8, 5),
        clearances=np.array([5.0, 4.0, 3.0, 1.5, 0.0]),
        least=0.0,
        least_angle=0.8,
        least_at=(802.0, -630.0, 700.0),
        least_against="the jamb at its front edge",
        lift=-3.0,
        width=520.0,
        width_at=900.0,
        vertices=corners,
        # Half a door: its glass is seen beside it.
        triangles=np.array([[0, 1, 2]]),
    )
    axis = HingeAxis(
        point=(800.0, -640.0, 700.0),
        direction=(0.0, 0.0, 1.0),
        span=(-200.0, 200.0),
        residual=0.0,
        twist=0.0,
        tested=False,
        lean_back=0.0,
        lean_right=0.0,
    )
    doubt = Finding(
        code="swing-touches",
        where="door left",
        message="After 45.84 degrees its front edge meets the jamb at its front edge.",
        remedy="Move the hinge axis outward.",
    )
    return Openings(
        openings=(
            Opening(
                name="door left",
                kind="door",
                outline=outline(),
                axis=axis,
                swing=swing,
                pane=pane(drop=True),
                findings=(doubt,),
                region="body",
                side="whole",
                taken=np.arange(6),
            ),
            Opening(name="screen", kind="screen", outline=outline(), pane=pane(drop=False)),
        )
    )
