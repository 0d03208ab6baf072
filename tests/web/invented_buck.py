"""The invented buck in full: bend tables, frame, rules of spacing, two stages."""

import numpy as np

from buckwright.model.bending import Bending, Push, RodPiece
from buckwright.model.buck import Bay, BuckSpec, ProposedWire, Remnant, Splice, WireSpec
from buckwright.model.frame import BodyPart, Foot, FrameRooms, InnerFrame, Lift, WayOut, Wheel
from web.invented_metal import make_buck
from web.invented_shape import true_lines

SECTION = "W3"
"""The wire that follows a plane instead of a line."""
SECOND_STAGE = ("W8", "W9")


def whole_spec():
    """A wire along each line, the third at a station instead."""
    wires = []
    for place, line in enumerate(true_lines()):
        name = f"W{place + 1}"
        follows = {"plane": ("x", 2860.0)} if name == SECTION else {"line": line}
        stage = 2 if name in SECOND_STAGE else 1
        wires.append(WireSpec(name=name, region="body", stage=stage, **follows))
    return BuckSpec(wires=tuple(wires), frame_x=(700.0, 2800.0))


def rack():
    return (Remnant(stock="6.35 mm rod", length=1830.0, count=2),)


def whole_buck():
    buck = make_buck()
    wires = [
        wire.model_copy(
            update={
                "asked": wire.name,
                "identity": wire.name,
                "stage": 2 if wire.name in SECOND_STAGE else 1,
                "bending": _bending(wire),
            }
        )
        for wire in buck.wires
    ]
    wires[4] = wires[4].model_copy(
        update={
            "parts": (1400.0, wires[4].length - 1380.0),
            "splices": (
                Splice(at=1390.0, overlap=60.0, stub_length=120.0, radius=900.0, tack_gap=200.0),
            ),
        }
    )
    members = tuple(
        member.model_copy(update={"bolted": k < 2, "start_mitre_deg": 30.0 if k == 2 else 0.0})
        for k, member in enumerate(buck.members)
    )
    return buck.model_copy(
        update={
            "wires": tuple(wires),
            "members": members,
            "frame": _frame(),
            "centre_of_gravity": np.array([1650.0, -2.0, 840.0]),
            "bays": (_bay("W4", "W6", shape=False), _bay("W1", "W5", shape=True)),
            "proposed": tuple(_proposed(z) for z in (660.0, 760.0)),
            "to_make": tuple(wire.name for wire in wires),
        }
    )


def _bending(wire):
    way = "sprung" if wire.sprung else "bent"
    pieces = tuple(
        RodPiece(
            start=wire.length * k / 3.0,
            length=wire.length / 3.0,
            radius=0.0 if k == 1 else 420.0,
            rotation_deg=90.0 if k == 2 else 0.0,
            turn_deg=0.0 if k == 1 else 31.0,
            form_radius=0.0 if k == 1 else 371.5,
            form_turn_deg=0.0 if k == 1 else 35.2,
        )
        for k in range(3)
    )
    push = Push(
        at=710.0,
        held_by=("W2",),
        force=17.4,
        direction=np.array([0.0, 0.0, 1.0]),
        words="up",
    )
    return Bending(
        pieces=pieces,
        start=wire.axis[0],
        along=np.array([1.0, 0.0, 0.0]),
        towards=np.array([0.0, 0.0, 1.0]),
        off=0.31,
        off_plane=2.0,
        way=way,
        words="Spring it into place; the tacks hold it." if way == "sprung" else "Bend each arc.",
        elastic_radius=1760.0,
        bender_radius=19.05,
        pushes=(push,) if way == "sprung" else (),
    )


def _bay(one, other, *, shape):
    return Bay(
        wires=(one, other),
        region="body",
        width=676.0,
        place=np.array([1700.0, -640.0, 700.0]),
        sagitta=17.9,
        radius=3190.0,
        held_sagitta=2.2 if shape else 8.5,
        deflection=19.7,
        shape_held=shape,
        stiff=False,
        words="The skin stands 17.9 mm off the straight between them.",
    )


def _proposed(z):
    wire = WireSpec(name=f"body level {z:g}", region="body", plane=("z", z))
    before = _bay("W4", "W6", shape=False)
    after = before.model_copy(update={"held_sagitta": 1.9, "deflection": 2.4, "stiff": True})
    return ProposedWire(
        wire=wire, why="both", reason="It divides the bay.", before=before, after=(after,)
    )


def _frame():
    return InnerFrame(
        kind="square tube",
        stock="25.4 x 1.65 mm square tube",
        mass_per_m=1.2,
        rooms=FrameRooms(skin=31.2, wires=24.0, wheels=None, people=30.5),
        wheels=(
            Wheel(
                name="front left",
                centre=np.array([0.0, -690.0, 330.0]),
                radius=330.0,
                width=150.0,
            ),
        ),
        people=(
            BodyPart(
                person="Ada",
                part="trunk",
                low=np.array([1100.0, -400.0, 700.0]),
                high=np.array([1350.0, -50.0, 1300.0]),
            ),
        ),
        people_source="as measured.",
        feet=(
            Foot(
                name="foot 1", leg="F1", at=np.array([700.0, -450.0, 20.0]), kind="foot", load=9.0
            ),
        ),
        sill_height=330.0,
        tips_at_deg=29.0,
        members_mass=24.0,
        centre_of_gravity=np.array([1700.0, 0.0, 800.0]),
        lifts=(
            Lift(what="inner frame", mass=24.0, people=2, limit=26.7, rule="ISO 11228-1"),
            Lift(what="buck with frame", mass=76.0, people=0, limit=60.0, rule="ISO 11228-1"),
        ),
        way_out=WayOut(
            free=True,
            way="down, out of the open underside",
            direction=np.array([0.0, 0.0, -1.0]),
            least_gap=27.9,
        ),
    )
