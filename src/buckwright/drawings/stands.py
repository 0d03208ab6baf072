"""Gauge stands: every comb at full size, and the bench seen from above with all parts on it."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import BIG, FIGURE, NAME, arrow, short_name, words
from buckwright.drawings.cards import drawn_ring
from buckwright.drawings.cautions import cautions_for, doubts
from buckwright.drawings.listing import lines_below
from buckwright.drawings.viewing import compass
from buckwright.geometry.lettering import lettering_width
from buckwright.model.drawings import Label, Sheet, Stroke
from buckwright.model.gauges import Gauge, Gauges, Stand, StandBoard
from buckwright.model.job import Job

__all__ = ["stand_sheets"]

Array = NDArray[np.float64]

SMALL = 5.0
FORWARD = np.array([-1.0, 0.0, 0.0])
RIGHT = np.array([0.0, 1.0, 0.0])
"""Vehicle directions."""


def stand_sheets(job: Job, gauges: Gauges) -> tuple[Sheet, ...]:
    """For each stand a sheet for each comb, in comb millimetres, and the bench from above."""
    by_name = {gauge.name: gauge for gauge in gauges.gauges}
    sheets: list[Sheet] = []
    for stand in gauges.stands:
        cards = [by_name[name] for name in stand.cards]
        for board in stand.boards:
            name = short_name(board.name, (sheet.name for sheet in sheets))
            sheets.append(_comb_sheet(job, gauges, stand, board, name))
        name = short_name(stand.name, (sheet.name for sheet in sheets))
        sheets.append(_bench_sheet(job, gauges, stand, cards, name))
    return tuple(sheets)


def _comb_sheet(job: Job, gauges: Gauges, stand: Stand, board: StandBoard, name: str) -> Sheet:
    strokes = [Stroke(ink="cut", points=drawn_ring(board), closed=True, name=board.name)]
    labels: list[Label] = []
    for (x, _), card in zip(board.slots, board.slot_names, strict=True):
        beside = x + 0.5 * stand.thickness + 2.0 + SMALL
        labels.append(words((beside, 6.0), _place(card, stand), SMALL, angle=np.pi / 2.0))
    pointer, pointer_words = _on_comb(board)
    low, high = board.outline.min(axis=0), board.outline.max(axis=0)
    room = float(high[0] - low[0])
    lines = (
        (board.name, BIG),
        (f"{stand.hand.upper()} side, this edge on the bench, slots up", NAME),
        (f"{stand.thickness:g} mm board, slots {stand.thickness + stand.clearance:g} mm", NAME),
        (f"{job.name} {job.revision}", FIGURE),
    )
    block = lines_below((float(low[0]), float(low[1]) - 16.0), lines, width=max(room, 400.0))
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: {board.name}",
        strokes=(*pointer, *strokes),
        labels=(*labels, *pointer_words, *block),
        notes=(
            f"Cut it from board that measures {stand.thickness:g} mm. Each slot takes the card "
            "whose name stands beside it, card and comb each slotted half way; all feet on the "
            "bench.",
            f"This comb is for the {stand.hand.upper()} side only.",
            *doubts(gauges.findings, board.name, stand.name),
            *cautions_for("gauge"),
        ),
        kind="gauge",
        cut_file=True,
    )


def _place(card: str, stand: Stand) -> str:
    """The card's name without what all cards of the stand share."""
    short = card.removeprefix(stand.region).removesuffix(stand.hand).strip()
    return short.removesuffix("inside").strip() or card


def _on_comb(board: StandBoard) -> tuple[list[Stroke], list[Label]]:
    """Its name, and an arrow to the front (or the right), on the board in its widest field."""
    edges = np.concatenate(
        [[board.outline[:, 0].min()], np.sort(board.slots[:, 0]), [board.outline[:, 0].max()]]
    )
    widest = int(np.argmax(np.diff(edges)))
    left, right = float(edges[widest]) + 16.0, float(edges[widest + 1]) - 6.0
    height = min(FIGURE, FIGURE * (right - left - 30.0) / lettering_width(board.name, FIGURE))
    middle = 0.5 * (left + right)
    label = words((middle, 6.0), board.name, max(height, 3.0), centred=True)
    for word, way in (("forward", FORWARD), ("right", RIGHT)):
        share = float(board.axes[0] @ way)
        if abs(share) > 0.5:
            reach = 0.5 * min(60.0, right - left) * np.sign(share)
            strokes = arrow((middle - reach, 20.0), (middle + reach, 20.0), head=10.0)
            return list(strokes), [label, words((middle, 23.0), word, SMALL, centred=True)]
    return [], [label]


def _bench_sheet(
    job: Job, gauges: Gauges, stand: Stand, cards: Sequence[Gauge], name: str
) -> Sheet:
    """What stands on the bench, seen from above, at full size."""
    axes = _bench_axes(stand)
    strokes: list[Stroke] = []
    labels: list[Label] = []
    half = 0.5 * stand.thickness
    for board in stand.boards:
        ends = board.outline[[np.argmin(board.outline[:, 0]), np.argmax(board.outline[:, 0])], 0]
        spine = _on_bench(axes, board.origin + np.outer(ends, board.axes[0]))
        strokes.append(_slab(spine, half, board.name))
        labels.append(_beyond(spine, _letter(board)))
    for card in cards:
        run = card.outline @ _foot(card, stand)
        across = card.outline[[np.argmin(run), np.argmax(run)]]
        spine = _on_bench(axes, card.origin + across @ card.axes)
        strokes.append(_slab(spine, half, card.name))
        labels.append(_beyond(spine, _place(card.name, stand)))
    points = np.vstack([stroke.points for stroke in strokes])
    low = points.min(axis=0)
    arrows, arrow_words = compass((float(points[:, 0].max()) + 160.0, float(low[1])), axes)
    lies = "lies in them, outside down" if stand.face == "outside" else "lies on them, outside up"
    lines = (
        (stand.name, BIG),
        (f"{stand.hand.upper()} side: the bench seen from above; the metal {lies}", NAME),
        (f"a card may lean {stand.play:.2f} mm at its highest place in its slot", FIGURE),
        (f"{job.name} {job.revision}", FIGURE),
    )
    block = lines_below((float(low[0]), float(low[1]) - 30.0), lines, width=900.0)
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: {stand.name}, from above",
        strokes=(*strokes, *arrows),
        labels=(*labels, *arrow_words, *block),
        notes=(
            "Stand the combs on this sheet, slots up, then press each card down into both combs "
            "where its name stands. The bench must be flat: it is the foot of every part.",
            *doubts(gauges.findings, stand.name),
            *cautions_for("gauge"),
        ),
        kind="gauge",
    )


def _bench_axes(stand: Stand) -> Array:
    """(3, 3) rows: across the paper, up the paper, towards the viewer, who looks down.

    The front of the vehicle is to the left where it shows.
    """
    up = np.asarray(stand.up)
    across = -FORWARD - (FORWARD @ -up) * up
    if np.linalg.norm(across) < 0.5:
        across = np.array([0.0, 1.0, 0.0]) - up[1] * up
    across /= np.linalg.norm(across)
    return np.stack([across, np.cross(up, across), up])


def _on_bench(axes: Array, points: Array) -> Array:
    return np.asarray(points @ axes[:2].T)


def _foot(card: Gauge, stand: Stand) -> Array:
    """(2,) the direction on the card that runs along the bench."""
    up = card.axes @ stand.up
    return np.array([up[1], -up[0]])


def _slab(spine: Array, half: float, name: str) -> Stroke:
    along = (spine[1] - spine[0]) / np.linalg.norm(spine[1] - spine[0])
    aside = half * np.array([-along[1], along[0]])
    corners = np.vstack([spine[0] - aside, spine[1] - aside, spine[1] + aside, spine[0] + aside])
    return Stroke(ink="outline", points=corners, closed=True, name=name)


def _letter(board: StandBoard) -> str:
    return next(f"comb {word}" for word in board.name.split() if word in ("A", "B"))


def _beyond(spine: Array, text: str) -> Label:
    """The name past the end that is higher on the paper, or farther right."""
    order = np.argsort(spine @ np.array([0.3, 1.0]))
    start, end = spine[order]
    along = (end - start) / np.linalg.norm(end - start)
    angle = float(np.arctan2(along[1], along[0]))
    down = 0.5 * FIGURE * np.array([along[1], -along[0]])
    return words(end + 8.0 * along + down, text, FIGURE, angle=angle)
