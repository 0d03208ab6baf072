"""What do we bend and weld?"""

from typing import Any

import numpy as np

from buckwright.model.buck import Buck, CuttingPlan, Wire
from buckwright.model.job import Job, Products
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
    """Wires, frame, posts, and how the stock is cut."""
    buck = products.buck
    if buck is None:
        return {"wires": []}
    return {
        "wires": [_wire(buck, wire) for wire in buck.wires],
        "members": [_straight(member) for member in buck.members],
        "posts": [
            {**_straight(post), "member": post.member, "wire": post.wire} for post in buck.posts
        ],
        "plans": [_plan(plan) for plan in (buck.rod_plan, buck.tube_plan)],
    }


def _wire(buck: Buck, wire: Wire) -> dict[str, Any]:
    told = wire.model_dump(exclude={"axis"})
    tacks = [
        {"to": t.wires[1 - t.wires.index(wire.name)], "at": t.at[t.wires.index(wire.name)]}
        for t in buck.tacks
        if wire.name in t.wires
    ]
    return {**told, "tacks": sorted(tacks, key=lambda tack: tack["at"])}


def _straight(part: Any) -> dict[str, Any]:
    return {"name": part.name, "cut_length": part.cut_length, "mass": part.mass}


def _plan(plan: CuttingPlan) -> dict[str, Any]:
    return {**plan.model_dump(), "used": sum(p.length for bar in plan.bars for p in bar.pieces)}


def buck_frame(job: Job, buck: Buck) -> bytes:
    """Wire axes w<i> (n x 3); both ends of members and posts (k x 2 x 3); tacks (k x 3)."""
    arrays: dict[str, Any] = {f"w{place}": wire.axis for place, wire in enumerate(buck.wires)}
    arrays["members"] = np.array([[m.start, m.end] for m in buck.members]).reshape(-1, 6)
    arrays["posts"] = np.array([[p.start, p.end] for p in buck.posts]).reshape(-1, 6)
    arrays["tacks"] = np.array([tack.point for tack in buck.tacks]).reshape(-1, 3)
    about = {
        "wires": [
            {"name": w.name, "diameter": w.diameter, "layer": w.layer, "closed": w.closed}
            for w in buck.wires
        ],
        "section": 25.4 if job.buck is None else job.buck.frame_section,
    }
    return pack_frame(about, arrays)
