"""What do we bend and weld?"""

from typing import Any

import numpy as np

from buckwright.buck import changes_of
from buckwright.model.boards import Boards
from buckwright.model.buck import Bay, Buck, BuckSpec, CuttingPlan, Wire, WireChange, WireSpec
from buckwright.model.frame import InnerFrame
from buckwright.model.job import Job, Products
from buckwright.web.buck_choices import told_choices
from buckwright.web.frames import pack_frame
from buckwright.web.words import Words, counted, fine, mass, run

__all__ = ["answer", "buck_frame", "detail"]


def answer(job: Job, products: Products) -> Words | None:
    """How many wires from how much stock, and how far the frame keeps from the metal."""
    buck = products.buck
    if buck is None:
        return None
    plan = buck.rod_plan
    sprung = sum(wire.sprung for wire in buck.wires)
    bound = ", the least possible" if plan.proven else f", where {plan.bars_bound} is the least"
    return [
        counted(len(buck.wires), "wire"),
        f" ({sprung} only sprung into place), ",
        run(sum(wire.cut_length for wire in buck.wires)),
        " of rod from ",
        counted(len(plan.bars), "bar"),
        f"{bound}; ",
        counted(len(buck.tacks), "tack"),
        ", ",
        mass(buck.mass),
        ". The frame stays ",
        fine(buck.frame_clearance),
        " clear of the skin.",
    ]


def detail(job: Job, products: Products) -> dict[str, Any]:
    """Wires with what stands of them, rules of spacing, frame, stock, and what may be chosen.

    What stands is held against the wires here and now, so that a tick shows at once.
    """
    spec, buck = job.buck, products.buck
    if buck is None or spec is None:
        return {"wires": []}
    changes = changes_of(job.built, buck.wires, tolerance=spec.built_tolerance) if job.built else ()
    by_wire = {change.wire: change for change in changes}
    asked = {wire.identity or wire.name: wire for wire in spec.wires}
    tacks = _tacks_of(buck)
    return {
        "wires": [
            _wire(wire, asked.get(wire.identity or wire.name), by_wire.get(wire.name), tacks)
            for wire in buck.wires
        ],
        "asked": [wire.model_dump(exclude={"identity"}) for wire in spec.wires],
        "changes": [_change(change) for change in changes],
        "bays": [_bay(bay) for bay in buck.bays],
        "proposed": [
            {
                "name": each.wire.name,
                "why": each.why,
                "reason": each.reason,
                "after": [_bay(bay) for bay in each.after],
            }
            for each in buck.proposed
        ],
        "members": [_member(member) for member in buck.members],
        "posts": [
            {**_straight(post), "member": post.member, "wire": post.wire} for post in buck.posts
        ],
        "plans": [_plan(plan) for plan in (buck.rod_plan, buck.tube_plan)],
        "rack": [bar.model_dump() for bar in job.remnants],
        "mass": buck.mass,
        "centre": None if buck.centre_of_gravity is None else buck.centre_of_gravity.tolist(),
        "frame": None if buck.frame is None else _frame(buck.frame),
        "boards": None if buck.boards is None else _boards(buck.boards),
        "choices": told_choices(spec),
        "regions": [region.name for region in job.regions],
        "lines": _free_lines(job, spec),
        "fields": _limits(spec),
    }


def _tacks_of(buck: Buck) -> dict[str, int]:
    count: dict[str, int] = {}
    for tack in buck.tacks:
        for name in tack.wires:
            count[name] = count.get(name, 0) + 1
    return count


def _wire(
    wire: Wire, asked: WireSpec | None, change: WireChange | None, tacks: dict[str, int]
) -> dict[str, Any]:
    told = wire.model_dump(
        include={"name", "line", "region", "side", "layer", "stage", "diameter", "closed"}
        | {"length", "cut_length", "set_in", "least_radius", "form_radius", "sprung", "mass"}
    )
    stands = change is not None and bool(change.built_as)
    bending = wire.bending
    way = ("sprung" if wire.sprung else "bent") if bending is None else bending.way
    return {
        **told,
        "tacks": tacks.get(wire.name, 0),
        "spliced": len(wire.parts) > 1,
        "way": way,
        "words": "" if bending is None else bending.words,
        "asked": None if asked is None else asked.name,
        "built_as": change.built_as if change is not None and stands else None,
        "verdict": None if change is None else change.verdict,
    }


def _change(change: WireChange) -> dict[str, Any]:
    told = change.model_dump(include={"wire", "verdict", "most", "bent_most", "built_as", "words"})
    return {**told, "trim": list(change.trim)}


def _bay(bay: Bay) -> dict[str, Any]:
    told = bay.model_dump(exclude={"place"})
    return {**told, "place": bay.place.round(1).tolist()}


def _straight(part: Any) -> dict[str, Any]:
    return {"name": part.name, "cut_length": part.cut_length, "mass": part.mass}


def _member(member: Any) -> dict[str, Any]:
    return {
        **_straight(member),
        "role": member.role,
        "number": member.number,
        "bolted": member.bolted,
        "mitres": [member.start_mitre_deg, member.end_mitre_deg],
        "mitre_plane": member.mitre_plane,
    }


def _plan(plan: CuttingPlan) -> dict[str, Any]:
    told = plan.model_dump(exclude={"findings"})
    return {**told, "used": sum(p.length for bar in plan.bars for p in bar.pieces)}


def _frame(frame: InnerFrame) -> dict[str, Any]:
    told = frame.model_dump(
        include={"kind", "stock", "strip_width", "rooms", "raised", "sill_height", "tips_at_deg"}
        | {"members_mass", "unbraced", "lifts", "people_source"}
    )
    way = frame.way_out
    if way is not None:
        told["way_out"] = way.model_dump(exclude={"direction"})
    return {
        **told,
        "way_out": told.get("way_out"),
        "feet": [foot.model_dump(include={"name", "leg", "kind", "load"}) for foot in frame.feet],
    }


def _boards(boards: Boards) -> dict[str, Any]:
    return {
        "boards": [
            {
                "name": board.name,
                "kind": board.kind,
                "at": board.at,
                "mass": board.mass,
                "parts": len(board.parts),
                "slots": len(board.slots),
                "words": board.gap_words,
            }
            for board in boards.boards
        ],
        "mass": boards.mass,
        "gap_most": boards.gap_most,
        "assembly": boards.assembly,
    }


def _free_lines(job: Job, spec: BuckSpec) -> list[str]:
    taken = {wire.line for wire in spec.wires}
    return [line.name for line in job.lines if line.use == "body" and line.name not in taken]


def _limits(spec: BuckSpec) -> dict[str, float]:
    return spec.model_dump(include={"sagitta_limit", "push_limit", "hand_push", "built_tolerance"})


def buck_frame(job: Job, buck: Buck) -> bytes:
    """Numbers of the buck in space.

    Wire axes w<i> (n x 3); both ends of members and posts (k x 6); tacks and feet (k x 3);
    wheels: middle, radius, width (k x 5); people: low and high corner of boxes (k x 6); outlines
    of boards b<i> (n x 3).
    """
    arrays: dict[str, Any] = {f"w{place}": wire.axis for place, wire in enumerate(buck.wires)}
    arrays["members"] = np.array([[m.start, m.end] for m in buck.members]).reshape(-1, 6)
    arrays["posts"] = np.array([[p.start, p.end] for p in buck.posts]).reshape(-1, 6)
    arrays["tacks"] = np.array([tack.point for tack in buck.tacks]).reshape(-1, 3)
    frame, boards = buck.frame, () if buck.boards is None else buck.boards.boards
    feet, wheels, people = (
        ((), (), ()) if frame is None else (frame.feet, frame.wheels, frame.people)
    )
    arrays["feet"] = np.array([foot.at for foot in feet]).reshape(-1, 3)
    arrays["wheels"] = np.array([[*w.centre, w.radius, w.width] for w in wheels]).reshape(-1, 5)
    arrays["people"] = np.array([[*box.low, *box.high] for box in people]).reshape(-1, 6)
    for place, board in enumerate(boards):
        own, across, up = board.plane_axes
        points = np.full((len(board.outline), 3), board.at)
        points[:, across], points[:, up] = board.outline[:, 0], board.outline[:, 1]
        points[:, own] = board.at
        arrays[f"b{place}"] = points
    about = {
        "wires": [
            {"name": w.name, "diameter": w.diameter, "layer": w.layer, "closed": w.closed}
            for w in buck.wires
        ],
        "section": 25.4 if job.buck is None else job.buck.frame_section,
        "wheels": [wheel.name for wheel in wheels],
        "people": [f"{box.person}: {box.part}" for box in people],
        "boards": [board.name for board in boards],
    }
    return pack_frame(about, arrays)
