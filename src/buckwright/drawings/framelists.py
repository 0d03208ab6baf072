"""Lists for the inner frame: members with their saw cuts, posts, stand, weight, lift, way out."""

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import BIG, FIGURE, NAME, line, words
from buckwright.drawings.cautions import cautions_for, doubts
from buckwright.drawings.listing import LINE_PITCH, list_columns
from buckwright.model.buck import Buck, CuttingPlan, FrameMember
from buckwright.model.drawings import Label, Sheet, Stroke
from buckwright.model.frame import InnerFrame
from buckwright.model.job import Job
from buckwright.units import format_length

__all__ = ["cut_list_sheet", "member_numbers", "mitre_sheet", "post_sheet", "stand_sheet"]

Array = NDArray[np.float64]
Rows = Sequence[tuple[str, ...]]

ROWS_MOST = 60
"""Rows of a list before it goes on beside itself."""
MITRE_REACH = 4.0
"""Tube widths of a member that are drawn beside its saw cut."""


def member_numbers(buck: Buck) -> dict[str, int]:
    """Numbers of the members by name, as on the drawings."""
    return {m.name: m.number or k for k, m in enumerate(buck.members, 1)}


def cut_list_sheet(job: Job, buck: Buck) -> Sheet:
    """Members with lengths and saw angles, and the bars that they are cut from."""
    heading = ("no", "member", "long points mm", "feet, inches", "saw off square", "kg", "joint")
    numbers = member_numbers(buck)
    members: Rows = [heading] + [
        (
            str(numbers[m.name]),
            m.name,
            f"{m.cut_length:.1f}",
            _inches(m.cut_length),
            _saw(m),
            f"{m.mass:.2f}",
            "bolt" if m.bolted else "weld",
        )
        for m in buck.members
    ]
    notes = [_bound(buck.tube_plan, "tube"), _bound(buck.rod_plan, "rod")]
    frame = buck.frame
    if frame is not None and frame.strip_width:
        notes.insert(
            0,
            f"Slit strip {frame.strip_width:.1f} mm wide and fold it lengthwise to a right angle "
            "over a radius of its own thickness; corner outward.",
        )
    return Sheet(
        name="cut-list",
        title=f"{job.name}, revision {job.revision}: what to cut for the buck",
        strokes=(),
        labels=_blocks(
            f"Cut list - {job.name} {job.revision}",
            (members, _bar_rows(buck.tube_plan), _bar_rows(buck.rod_plan)),
        ),
        notes=(
            *notes,
            "Saw angles are read on the saw's scale, 0 is square; both cuts of a piece slant the "
            "same way. Cut in the order given; the saw cut between pieces is allowed for. Mark "
            "every piece with its name at once. Keep remnants: they are stock.",
            *doubts(buck.findings, "inner frame"),
            *cautions_for("frame"),
        ),
        kind="frame",
    )


def post_sheet(job: Job, buck: Buck) -> Sheet:
    """Posts with length, both end angles, and the member that each stands on."""
    numbers = member_numbers(buck)
    rows: Rows = [
        (
            "post",
            "on member",
            "face",
            "to wire",
            "cut mm",
            "feet, inches",
            "foot off square",
            "at wire",
            "kg",
        )
    ] + [
        (
            p.name,
            f"{numbers.get(p.member, '')} {p.member}",
            p.face,
            p.wire,
            f"{p.cut_length:.1f}",
            _inches(p.cut_length),
            f"{p.angle_at_member_deg:.0f} deg",
            f"{p.angle_at_wire_deg:.0f} deg",
            f"{p.mass:.3f}",
        )
        for p in buck.posts
    ]
    return Sheet(
        name="posts",
        title=f"{job.name}, revision {job.revision}: posts from the frame to the wires",
        strokes=(),
        labels=_blocks(f"Posts - {job.name} {job.revision}", (rows,)),
        notes=(
            "Saw the foot off square by the angle given, so that it sits flat on the face of the "
            "member; file the other end hollow to the wire, whose direction the post meets at the "
            "angle 'at wire'. Tack the wire first, then fit the post without pushing the wire.",
            *doubts(buck.findings, *(post.name for post in buck.posts), "posts"),
            *cautions_for("frame"),
        ),
        kind="frame",
    )


def mitre_sheet(job: Job, buck: Buck) -> Sheet | None:
    """Each different saw cut at full size; None where all are square."""
    alike: dict[float, list[int]] = defaultdict(list)
    numbers = member_numbers(buck)
    for member in buck.members:
        if member.start_mitre_deg > 0.05:
            alike[round(member.start_mitre_deg, 1)].append(numbers[member.name])
    if job.buck is None or not alike:
        return None
    strokes: list[Stroke] = []
    labels: list[Label] = []
    side, top = job.buck.frame_section, 0.0
    for angle, which in sorted(alike.items()):
        strokes.append(_saw_cut(side, angle, top))
        text = f"{angle:.1f} deg off square: members {', '.join(map(str, which))}"
        labels.append(words((0.0, top + side + 6.0), text, NAME))
        top -= side + 45.0
    labels.append(words((0.0, side + 40.0), f"Saw cuts - {job.name} {job.revision}", BIG))
    return Sheet(
        name="frame-saw-cuts",
        title=f"{job.name}, revision {job.revision}: saw cuts of the frame, full size",
        strokes=tuple(strokes),
        labels=tuple(labels),
        notes=(
            "Lay the tube on the drawing to set the saw or a bevel. The other end is cut parallel.",
            *cautions_for("frame"),
        ),
        kind="frame",
    )


def stand_sheet(job: Job, buck: Buck, frame: InnerFrame) -> Sheet:
    """Feet with loads, weights and how many lift, rooms kept, and the way out, in words."""
    numbers = member_numbers(buck)
    feet: Rows = [("foot", "under member", "x", "y", "carries kg")] + [
        (
            foot.name,
            f"{numbers[foot.leg]} {foot.leg}",
            f"{foot.at[0]:.0f}",
            f"{foot.at[1]:.0f}",
            f"{foot.load:.0f}",
        )
        for foot in frame.feet
    ]
    lifts: Rows = [("to lift", "kg", "people", "may lift kg")] + [
        (
            lift.what,
            f"{lift.mass:.1f}",
            str(lift.people) if lift.people else "hoist",
            f"{lift.limit:.0f}",
        )
        for lift in frame.lifts
    ]
    rooms: Rows = [("room kept to", "mm")] + [
        (what, f"{room:.1f}")
        for what, room in (
            ("skin's inner face", frame.rooms.skin),
            ("wires", frame.rooms.wires),
            ("wheels", frame.rooms.wheels),
            ("people, bolted members out", frame.rooms.people),
        )
        if room is not None
    ]
    return Sheet(
        name="frame-stand",
        title=f"{job.name}, revision {job.revision}: how the frame stands, is lifted, comes out",
        strokes=(),
        labels=_blocks(f"Stand and lift - {job.name} {job.revision}", (feet, lifts, rooms)),
        notes=(
            *_stand_words(buck, frame),
            *(lift.rule + "." for lift in frame.lifts[:1]),
            *([f"People: {frame.people_source}"] if frame.people_source else []),
            *doubts(buck.findings, "inner frame", *(lift.what for lift in frame.lifts)),
            *cautions_for("frame"),
        ),
        kind="frame",
    )


def _stand_words(buck: Buck, frame: InnerFrame) -> list[str]:
    said = []
    if frame.feet:
        height = "the ground is right" if not frame.raised else f"raised {frame.raised:.0f} mm"
        said.append(
            f"Sill {frame.sill_height:.0f} mm over the floor, {height}; it falls over on a slope "
            f"of {frame.tips_at_deg:.0f} degrees. Loads are for an uneven floor, on which three "
            "feet carry all."
        )
    if buck.centre_of_gravity is not None:
        # No minus before what rounds to nothing.
        x, y, z = np.round(buck.centre_of_gravity) + 0.0
        said.append(f"Centre of gravity of the buck: x {x:.0f}, y {y:.0f}, z {z:.0f}.")
    if frame.way_out is not None and frame.way_out.free:
        said.append(
            f"Way out, posts cut off first: {frame.way_out.way}, nearest to the metal "
            f"{frame.way_out.least_gap:.0f} mm."
        )
    return said


def _saw_cut(side: float, angle: float, bottom: float) -> Stroke:
    """The end of a tube: its long point at the upper left."""
    back = side * float(np.tan(np.radians(angle)))
    reach = back + MITRE_REACH * side
    return line(
        "outline",
        (reach, bottom + side),
        (0.0, bottom + side),
        (back, bottom),
        (reach, bottom),
        name=f"saw cut {angle:.1f}",
    )


def _blocks(heading: str, blocks: tuple[Rows, ...]) -> tuple[Label, ...]:
    """A heading and lists under each other; a list with its head alone is left out."""
    labels: list[Label] = [words((0.0, 0.0), heading, BIG)]
    top = -40.0
    for rows in blocks:
        if len(rows) > 1:
            block = list_columns((0.0, top), rows, FIGURE, most=ROWS_MOST)
            labels += block
            top = min(label.at[1] for label in block) - 2.0 * LINE_PITCH * FIGURE
    return tuple(labels)


def _saw(member: FrameMember) -> str:
    if not member.mitre_plane:
        return "square, both"
    return f"{member.start_mitre_deg:.1f}, {member.end_mitre_deg:.1f} deg ({member.mitre_plane})"


def _bar_rows(plan: CuttingPlan) -> list[tuple[str, str]]:
    rows = [(f"{plan.stock}: bar", "pieces in order, mm")]
    for number, bar in enumerate(plan.bars, 1):
        pieces = [f"{piece.name} {piece.length:.1f}" for piece in bar.pieces]
        for first in range(0, len(pieces), 4):
            head = f"{number}: {bar.bar_length:.0f}" if first == 0 else ""
            tail = f"; left {bar.remnant:.0f}" if first + 4 >= len(pieces) else ","
            rows.append((head, ", ".join(pieces[first : first + 4]) + tail))
    return rows


def _bound(plan: CuttingPlan, what: str) -> str:
    if plan.words:
        return plan.words
    count, least = len(plan.bars), plan.bars_bound
    proof = "no plan needs fewer" if plan.proven else f"no plan can need fewer than {least}"
    return f"{count} bars of {what} ({plan.stock}), saw cut {plan.kerf:g} mm; {proof}."


def _inches(mm: float) -> str:
    return format_length(mm, system="inch")
