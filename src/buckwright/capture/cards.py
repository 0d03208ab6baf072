"""Where the cards of a set lie: the first figure of cards and cameras, joined view by view.

A view is one card in one picture. Each gives where its card lies before its camera; the pictures
join the cards, the cards join the pictures, best known first. A flat card seen small has two
poses that look nearly alike, so every way of joining is tried and the one that fits the other
views best is kept.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckwright.capture.sightings import Cameras, Sightings
from buckwright.capture.start import plain_cameras
from buckwright.errors import JobError
from buckwright.geometry.camera import project, rotation_matrix, rotation_vector

__all__ = ["first_figure", "recentred"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_LEAST_OF_A_VIEW = 6
_CAPPED_PX = 20.0


@dataclass(frozen=True, eq=False, slots=True)
class _View:
    picture: int
    card: int
    turn: Array
    """(3, 3) card to camera."""
    shift: Array
    rows: Index
    """Corners of the sightings that belong to it."""


def first_figure(
    seen: Sightings, local: Array, each: int
) -> tuple[Cameras, Sightings, Array, tuple[int, ...]]:
    """Cameras, the corners that agree, all cards' corners in one frame, and the cards joined.

    Parameters: `local` (each, 3) is one card as drawn, `each` its number of corners. The frame is
    that of the card seen most. Pictures that could not be joined keep no corner. Raises JobError
    where fewer than two pictures can be joined.
    """
    views, lens, kept = _views(seen, local, each)
    figure = _Figure(seen, local, each, lens)
    figure.join(views)
    if len(figure.cameras) < 2:
        raise JobError(
            "Fewer than two pictures can be joined by the cards they show.",
            "Take pictures that show three cards or more, each picture two of those of the last.",
        )
    count = int(seen.corner.max()) // each + 1
    turn, shift = np.zeros((len(seen.names), 3)), np.zeros((len(seen.names), 3))
    for k, (matrix, move) in figure.cameras.items():
        turn[k], shift[k] = rotation_vector(matrix), move
    points = np.vstack([figure.laid(card) for card in range(count)])
    cameras = Cameras(lens=lens, turn=turn, shift=shift, drift=np.zeros_like(turn), points=points)
    placed = np.isin(seen.picture, list(figure.cameras))
    joined = np.isin(seen.corner // each, list(figure.cards))
    return cameras, seen.kept(kept & placed & joined), points, tuple(sorted(figure.cards))


def recentred(points: Array, local: Array) -> Array:
    """Each card of the adjusted points, laid anew as drawn where it lies now."""
    laid = []
    for now in points.reshape(-1, len(local), 3):
        turn, shift = _rigid(local, now)
        laid.append(local @ turn.T + shift)
    return np.vstack(laid)


def _rigid(points: Array, onto: Array) -> tuple[Array, Array]:
    """Rotation and shift that lay points (n, 3) on others best.

    Reference: W. Kabsch, 'A solution for the best rotation', Acta Cryst. A32 (1976).
    """
    middle, aim = points.mean(axis=0), onto.mean(axis=0)
    left, _, right = np.linalg.svd((onto - aim).T @ (points - middle))
    sense = np.diag([1.0, 1.0, np.sign(np.linalg.det(left @ right))])
    turn = left @ sense @ right
    return turn, aim - turn @ middle


def _views(
    seen: Sightings, local: Array, each: int
) -> tuple[list[_View], Array, NDArray[np.bool_]]:
    """Views with their poses, the lenses, and which corners agree so far."""
    card = seen.corner // each
    key = seen.picture * (int(card.max()) + 1) + card
    names, number, counts = np.unique(key, return_inverse=True, return_counts=True)
    full = counts >= _LEAST_OF_A_VIEW
    if np.count_nonzero(full) < 2:
        raise JobError(
            "No two pictures show enough of any card.",
            "Take them again from nearer: a card should be a fifth of the picture high.",
        )
    place = np.cumsum(full) - 1
    rows = np.flatnonzero(full[number])
    pictures = (names // (int(card.max()) + 1))[full]
    single = replace(
        seen.kept(full[number]),
        names=tuple(f"{k}" for k in names[full]),
        sizes=tuple(seen.sizes[k] for k in pictures),
        group=seen.group[pictures],
        picture=place[number[rows]],
        corner=seen.corner[rows] % each,
    )
    cameras, agreed = plain_cameras(single, local)
    matrix = rotation_matrix(cameras.turn)
    kept = np.ones(len(seen.corner), dtype=bool)
    kept[rows] = np.isin(
        single.picture * each + single.corner, agreed.picture * each + agreed.corner
    )
    views = [
        _View(
            picture=int(pictures[k]),
            card=int(names[full][k] % (int(card.max()) + 1)),
            turn=matrix[k],
            shift=cameras.shift[k],
            rows=rows[(single.picture == k) & kept[rows]],
        )
        for k in range(len(pictures))
    ]
    return views, cameras.lens, kept


Pose = tuple[Array, Array]


class _Figure:
    """Cards and cameras joined so far, each as (rotation, shift)."""

    def __init__(self, seen: Sightings, local: Array, each: int, lens: Array) -> None:
        self.seen, self.local, self.each, self.lens = seen, local, each, lens
        self.cards: dict[int, Pose] = {}
        self.cameras: dict[int, Pose] = {}

    def laid(self, card: int) -> Array:
        """(each, 3) corners of a card; one that was not joined lies where the first does."""
        turn, shift = self.cards.get(card, (np.eye(3), np.zeros(3)))
        return self.local @ turn.T + shift

    def join(self, views: list[_View]) -> None:
        """Join all that can be joined, from the card with the most corners on."""
        counts: dict[int, int] = {}
        for view in views:
            counts[view.card] = counts.get(view.card, 0) + len(view.rows)
        self.cards[max(counts, key=lambda card: counts[card])] = (np.eye(3), np.zeros(3))
        while True:
            cameras = self._best({v.picture for v in views} - set(self.cameras), views, "picture")
            cards = {v.card for v in views if v.picture in self.cameras} - set(self.cards)
            if cameras is not None:
                self.cameras[cameras] = self._camera(cameras, views)
                continue
            card = self._best(cards, views, "card")
            if card is None:
                return
            self.cards[card] = self._card(card, views)

    def _best(self, open_: set[int], views: list[_View], what: str) -> int | None:
        """Of those not joined yet, the one that most corners join."""
        counts = dict.fromkeys(open_, 0)
        for view in views:
            number = view.picture if what == "picture" else view.card
            other = view.card in self.cards if what == "picture" else view.picture in self.cameras
            if number in counts and other:
                counts[number] += len(view.rows)
        best = max(counts, key=lambda number: counts[number], default=None)
        return best if best is not None and counts[best] > 0 else None

    def _camera(self, picture: int, views: list[_View]) -> Pose:
        mine = [v for v in views if v.picture == picture and v.card in self.cards]
        tried = []
        for view in mine:
            turn, shift = self.cards[view.card]
            matrix = view.turn @ turn.T
            tried.append((matrix, view.shift - matrix @ shift))
        return min(
            tried, key=lambda pose: sum(self._gap(v, self.cards[v.card], pose) for v in mine)
        )

    def _card(self, card: int, views: list[_View]) -> Pose:
        mine = [v for v in views if v.card == card and v.picture in self.cameras]
        tried = []
        for view in mine:
            turn, shift = self.cameras[view.picture]
            tried.append((turn.T @ view.turn, turn.T @ (view.shift - shift)))
        return min(
            tried, key=lambda pose: sum(self._gap(v, pose, self.cameras[v.picture]) for v in mine)
        )

    def _gap(self, view: _View, card: Pose, camera: Pose) -> float:
        """Sum of capped distances in px of a view's corners from where they should be seen."""
        seen, rows = self.seen, view.rows
        points = self.local[seen.corner[rows] % self.each] @ card[0].T + card[1]
        lens = self.lens[seen.group[view.picture]]
        px = project(
            points,
            turn=rotation_vector(camera[0]),
            shift=camera[1],
            focal=lens[0],
            principal=lens[1:3],
            lens=lens[3:],
        )
        gap = np.linalg.norm(px - seen.px[rows], axis=1)
        return float(np.minimum(gap, _CAPPED_PX).sum())
