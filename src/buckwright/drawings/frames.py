"""The inner frame at full size in three views, and the list of what to cut for the buck."""

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import BIG, FIGURE, NAME, short_name, station_grid, words
from buckwright.drawings.cautions import cautions_for, doubts
from buckwright.drawings.elevations import ELEVATIONS, Elevation, fine_points
from buckwright.drawings.listing import LINE_PITCH, list_columns
from buckwright.drawings.placing import place_names
from buckwright.model.buck import Buck, CuttingPlan, FrameMember, Post
from buckwright.model.drawings import Ink, Label, Sheet, Stroke
from buckwright.model.job import Job, Reference
from buckwright.units import format_length

__all__ = ["frame_sheets"]

Array = NDArray[np.float64]


def frame_sheets(job: Job, reference: Reference, buck: Buck) -> tuple[Sheet, ...]:
    """Side, plan and front view with members named, then the cut list; none without a frame."""
    if job.buck is None or not buck.members:
        return ()
    width = job.buck.frame_section
    views = tuple(_view(view, job, reference, buck, width) for view in ELEVATIONS[:3])
    return (*views, _cut_list(job, buck))


def _view(view: Elevation, job: Job, reference: Reference, buck: Buck, width: float) -> Sheet:
    rod = job.buck.rod_diameter if job.buck else 0.0
    members = [_bar(view, member, width, "outline") for member in buck.members]
    posts = [_bar(view, post, rod, "crease") for post in buck.posts]
    axes = [
        (member.name, view.flat(np.stack([member.start, member.end]))) for member in buck.members
    ]
    low, high = (
        getattr(np.vstack([s.points for s in (*members, *posts)]), end)(axis=0)
        for end in ("min", "max")
    )
    low, high = low - 60.0, high + 60.0
    ghosts = [
        Stroke(ink="thin", points=view.flat(piece), name=one.name)
        for one in reference.network.lines
        for piece in [fine_points(one)]
    ]
    grid, figures = station_grid(
        low, high, ("xyz"[view.across], "xyz"[view.up]), flip=view.sense < 0.0
    )
    seen = [(name, axis) for name, axis in axes if np.ptp(axis, axis=0).max() > 4.0 * width]
    names = place_names(seen, [*members, *posts], NAME)
    left, bottom = np.floor(low / 100.0) * 100.0
    title = f"Frame, {view.title.lower()}"
    heading = words((left, bottom - 90.0), f"{title} - {job.name} {job.revision}", BIG)
    return Sheet(
        name=short_name(title),
        title=f"{job.name}, revision {job.revision}: {title.lower()}, full size",
        strokes=(*grid, *_clipped(ghosts, low, high), *posts, *members),
        labels=(*figures, *names, heading),
        notes=(
            f"Square tube {width:g} mm. Lay the frame on the paper, tack, measure both diagonals, "
            "then weld. Posts are rod; their lengths are on the cut list.",
            f"Nearest to the skin's inner face: {buck.frame_clearance:.0f} mm. "
            f"Buck with frame: {buck.mass:.1f} kg.",
            *doubts(buck.findings, *(member.name for member in buck.members), "frame", "posts"),
            *cautions_for("frame"),
        ),
        kind="frame",
    )


def _bar(view: Elevation, part: FrameMember | Post, width: float, ink: Ink) -> Stroke:
    """The four-cornered outline of a straight bar; seen end on, its square."""
    a, b = view.flat(np.stack([part.start, part.end]))
    length = float(np.linalg.norm(b - a))
    along = (b - a) / length if length > 0.5 * width else np.array([1.0, 0.0])
    if length <= 0.5 * width:
        a, b = a - 0.5 * width * along, b + 0.5 * width * along
    across = 0.5 * width * np.array([-along[1], along[0]])
    return Stroke(
        ink=ink,
        points=np.stack([a + across, b + across, b - across, a - across]),
        closed=True,
        name=part.name,
    )


def _clipped(strokes: list[Stroke], low: Array, high: Array) -> list[Stroke]:
    """The runs of the strokes' points inside the box."""
    found = []
    for stroke in strokes:
        inside = np.all((stroke.points >= low) & (stroke.points <= high), axis=1)
        edges = np.flatnonzero(np.diff(np.concatenate([[False], inside, [False]]).astype(int)))
        for first, last in edges.reshape(-1, 2):
            if last - first > 1:
                found.append(stroke.model_copy(update={"points": stroke.points[first:last]}))
    return found


def _cut_list(job: Job, buck: Buck) -> Sheet:
    members = [("member", "cut mm", "feet, inches", "kg")] + [
        (m.name, f"{m.cut_length:.1f}", _inches(m.cut_length), f"{m.mass:.2f}")
        for m in buck.members
    ]
    posts = [("post", "from member", "to wire", "cut mm", "feet, inches", "angle there")] + [
        (
            p.name,
            p.member,
            p.wire,
            f"{p.cut_length:.1f}",
            _inches(p.cut_length),
            f"{p.angle_at_wire_deg:.0f} deg",
        )
        for p in buck.posts
    ]
    labels: list[Label] = [words((0.0, 0.0), f"Cut list - {job.name} {job.revision}", BIG)]
    top = -40.0
    for rows in (members, posts, _bar_rows(buck.tube_plan), _bar_rows(buck.rod_plan)):
        if len(rows) > 1:
            block = list_columns((0.0, top), rows, FIGURE)
            labels += block
            top = min(label.at[1] for label in block) - 2.0 * LINE_PITCH * FIGURE
    return Sheet(
        name="cut-list",
        title=f"{job.name}, revision {job.revision}: what to cut for the buck",
        strokes=(),
        labels=tuple(labels),
        notes=(
            _bound(buck.tube_plan, "tube"),
            _bound(buck.rod_plan, "rod"),
            "Cut in the order given; the saw cut between pieces is allowed for. Mark every piece "
            "with its name at once. Keep remnants: they are stock.",
            *cautions_for("frame"),
        ),
        kind="frame",
    )


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
    count, least = len(plan.bars), plan.bars_bound
    proof = "no plan needs fewer" if plan.proven else f"no plan can need fewer than {least}"
    return f"{count} bars of {what} ({plan.stock}), saw cut {plan.kerf:g} mm; {proof}."


def _inches(mm: float) -> str:
    return format_length(mm, system="inch")
