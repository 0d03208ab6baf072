"""The inner frame at full size in three views, and the sheets of lists that go with it."""

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import (
    BIG,
    FIGURE,
    cross,
    line,
    ring,
    short_name,
    station_grid,
    words,
)
from buckwright.drawings.cautions import cautions_for, doubts
from buckwright.drawings.elevations import ELEVATIONS, Elevation, fine_points
from buckwright.drawings.framelists import (
    cut_list_sheet,
    member_numbers,
    mitre_sheet,
    post_sheet,
    stand_sheet,
)
from buckwright.drawings.placing import place_names
from buckwright.model.buck import Buck, FrameMember, Post
from buckwright.model.drawings import Ink, Label, Sheet, Stroke
from buckwright.model.job import Job, Reference

__all__ = ["frame_sheets"]

Array = NDArray[np.float64]

NUMBER = 14.0
"""mm of capitals of a member's number."""


def frame_sheets(job: Job, reference: Reference, buck: Buck) -> tuple[Sheet, ...]:
    """Three views with members numbered, cut list, saw cuts, posts, stand; none without a frame."""
    if job.buck is None or not buck.members:
        return ()
    width = job.buck.frame_section
    views = tuple(_view(view, job, reference, buck, width) for view in ELEVATIONS[:3])
    sheets = [*views, cut_list_sheet(job, buck), mitre_sheet(job, buck)]
    if buck.posts:
        sheets.append(post_sheet(job, buck))
    if buck.frame is not None:
        sheets.append(stand_sheet(job, buck, buck.frame))
    return tuple(sheet for sheet in sheets if sheet is not None)


def _view(view: Elevation, job: Job, reference: Reference, buck: Buck, width: float) -> Sheet:
    rod = job.buck.rod_diameter if job.buck else 0.0
    members = [_bar(view, m, width, "mark" if m.bolted else "outline") for m in buck.members]
    posts = [_bar(view, post, rod, "crease") for post in buck.posts]
    marks, mark_words = _marks(view, buck)
    drawn = np.vstack([stroke.points for stroke in (*members, *posts, *marks)])
    low, high = drawn.min(axis=0) - 60.0, drawn.max(axis=0) + 60.0
    ghosts = [
        Stroke(ink="thin", points=view.flat(piece), name=one.name)
        for one in reference.network.lines
        for piece in [fine_points(one)]
    ]
    grid, figures = station_grid(
        low, high, ("xyz"[view.across], "xyz"[view.up]), flip=view.sense < 0.0
    )
    names = place_names(_numbered(view, buck, width), [*members, *posts], NUMBER)
    pins = place_names(_pinned(view, buck, rod), [*members, *posts], FIGURE)
    left, bottom = np.floor(low / 100.0) * 100.0
    title = f"Frame, {view.title.lower()}"
    heading = words((left, bottom - 90.0), f"{title} - {job.name} {job.revision}", BIG)
    return Sheet(
        name=short_name(title),
        title=f"{job.name}, revision {job.revision}: {title.lower()}, full size",
        strokes=(*grid, *_clipped(ghosts, low, high), *marks, *posts, *members),
        labels=(*figures, *pins, *names, *mark_words, heading),
        notes=(*_notes(buck, width), *cautions_for("frame")),
        kind="frame",
    )


def _notes(buck: Buck, width: float) -> tuple[str, ...]:
    stock = buck.frame.stock if buck.frame else f"Square tube {width:g} mm"
    bolts = any(member.bolted for member in buck.members)
    return (
        f"{stock[0].upper()}{stock[1:]}. Lay the frame on the paper, tack, measure both "
        "diagonals of every face, then weld. Numbers are those of the cut list; posts, p with "
        "their number, are rod and have a list of their own.",
        f"Nearest to the skin's inner face: {buck.frame_clearance:.0f} mm. "
        f"Buck with frame: {buck.mass:.1f} kg.",
        *(["Members in the pen of marks are bolted, not welded."] if bolts else []),
        *doubts(buck.findings, "inner frame", "frame", "posts"),
    )


def _numbered(view: Elevation, buck: Buck, width: float) -> list[tuple[str, Array]]:
    """Number and axis of every member that does not stand end on; one hidden by another shares."""
    numbers, seen = member_numbers(buck), dict[tuple[int, ...], tuple[list[int], Array]]()
    for member in buck.members:
        axis = view.flat(np.stack([member.start, member.end]))
        if np.linalg.norm(axis[1] - axis[0]) < 2.0 * width:
            continue
        place = tuple(np.round(np.sort(axis, axis=0) / width).astype(int).ravel())
        lean = int(np.sign(np.prod(axis[1] - axis[0]).round(3)))
        seen.setdefault((*place, lean), ([], axis))[0].append(numbers[member.name])
    found = [(", ".join(map(str, which)), axis) for which, axis in seen.values()]
    return sorted(found, key=lambda pair: float(np.linalg.norm(pair[1][1] - pair[1][0])))


def _pinned(view: Elevation, buck: Buck, rod: float) -> list[tuple[str, Array]]:
    """Number and axis of every post that does not stand end on."""
    axes = [
        (f"p{post.name.removeprefix('post ')}", view.flat(np.stack([post.start, post.end])))
        for post in buck.posts
    ]
    return [(name, axis) for name, axis in axes if np.linalg.norm(axis[1] - axis[0]) > 3.0 * rod]


def _marks(view: Elevation, buck: Buck) -> tuple[list[Stroke], list[Label]]:
    """The floor, feet, wheels, the people's heads and trunks, and the centre of gravity."""
    frame, strokes, labels = buck.frame, list[Stroke](), list[Label]()
    if frame is None:
        return strokes, labels
    upright = view.up == 2
    for wheel in frame.wheels:
        low = wheel.centre - np.array([wheel.radius, 0.5 * wheel.width, wheel.radius])
        high = 2.0 * wheel.centre - low
        strokes.append(
            ring("thin", view.flat(wheel.centre[None])[0], wheel.radius, wheel.name)
            if view.across == 0 and upright
            else _rectangle(view, low, high, wheel.name)
        )
    shown = [part for part in frame.people if not part.part.startswith("lower legs")]
    strokes += [_rectangle(view, p.low, p.high, f"{p.person}, {p.part}") for p in shown]
    if frame.feet and upright:
        ends = view.flat(np.array([foot.at for foot in frame.feet]))
        left, right = float(ends[:, 0].min()) - 60.0, float(ends[:, 0].max()) + 60.0
        floor = -frame.raised
        strokes.append(line("centre", (left, floor), (right, floor), name="floor"))
        labels.append(words((left, floor - 2.0 * FIGURE), "floor", FIGURE))
    if buck.centre_of_gravity is not None:
        at = view.flat(buck.centre_of_gravity[None])[0]
        strokes += [ring("mark", at, 12.0, "centre of gravity"), *cross(at, 24.0)]
        labels.append(words(at + np.array([16.0, 16.0]), "centre of gravity", FIGURE))
    return strokes, labels


def _rectangle(view: Elevation, low: Array, high: Array, name: str) -> Stroke:
    a, b = view.flat(np.stack([low, high]))
    return Stroke(
        ink="thin",
        points=np.array([a, [b[0], a[1]], b, [a[0], b[1]]]),
        closed=True,
        name=name,
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
