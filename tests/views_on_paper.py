"""Views by a camera that is known exactly: OpenCV puts points on the picture."""

from dataclasses import dataclass, field

import cv2
import numpy as np

from buckwright.model.pictures import PictureSource
from buckwright.model.views import VIEW_AXES, Known, Pick, ViewPicture, ViewSpec, ViewTrace

SIZE = (4000, 3000)
MIDDLE = (np.array(SIZE) - 1.0) / 2.0


def source(name: str, size=SIZE, turned: int = 0) -> PictureSource:
    return PictureSource(name=name, sha256=f"{name:0<64}"[:64], size=size, turned=turned)


def in_space(seen_from: str, flat, along) -> np.ndarray:
    """Points (n, 3) in vehicle axes of places (n, 2) right and up at a coordinate of the sight."""
    axes, flat = VIEW_AXES[seen_from], np.atleast_2d(flat)
    points = np.empty((len(flat), 3))
    points[:, axes.right[0]] = axes.right[1] * flat[:, 0]
    points[:, axes.up[0]] = axes.up[1] * flat[:, 1]
    points[:, axes.away[0]] = along
    return points


def in_view(seen_from: str, points) -> np.ndarray:
    axes, points = VIEW_AXES[seen_from], np.atleast_2d(points)
    right, up = axes.right, axes.up
    return np.column_stack([right[1] * points[:, right[0]], up[1] * points[:, up[0]]])


@dataclass
class Camera:
    """Stands over `foot` at `distance` before the vehicle coordinate `plane`, a little askew."""

    seen_from: str
    distance: float
    foot: tuple[float, float] = (1200.0, 900.0)
    plane: float = 0.0
    focal: float = 5000.0
    askew: tuple[float, float, float] = field(default=(0.0, 0.0, 0.0))

    def pose(self):
        axes = VIEW_AXES[self.seen_from]
        turn = np.zeros((3, 3))
        turn[0, axes.right[0]] = axes.right[1]
        turn[1, axes.up[0]] = -axes.up[1]
        turn[2, axes.away[0]] = axes.away[1]
        turn = cv2.Rodrigues(np.array(self.askew))[0] @ turn
        at = self.plane - axes.away[1] * self.distance
        return turn, -turn @ in_space(self.seen_from, self.foot, at)[0]

    def px(self, points) -> np.ndarray:
        turn, shift = self.pose()
        lens = np.array([[self.focal, 0, MIDDLE[0]], [0, self.focal, MIDDLE[1]], [0, 0, 1.0]])
        points = np.ascontiguousarray(points, dtype=np.float64)
        return cv2.projectPoints(points, cv2.Rodrigues(turn)[0], shift, lens, np.zeros(5))[0][:, 0]

    def view(self, name: str, *traces: ViewTrace, box=(0.0, 200.0, 2400.0, 1600.0), **more):
        """Squared by a rectangle in its plane whose places are known."""
        x0, y0, x1, y1 = box
        at = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
        picture = ViewPicture(
            source=source(f"{name}.jpg"),
            corners=self.px(in_space(self.seen_from, at, self.plane)),
            corners_at=at,
        )
        asked = {"plane": self.plane, "distance": self.distance} | more
        return ViewSpec(
            name=name, seen_from=self.seen_from, pictures=(picture,), traces=traces, **asked
        )

    def trace(self, view: str, line: str, points, **more) -> ViewTrace:
        return ViewTrace(line=line, picture=f"{view}.jpg", px=self.px(points), **more)


def far_view(name: str, scale: float, seen_from="left", **more) -> ViewSpec:
    """Taken square on, put to scale by two wheel centres of a wheelbase of 2240 mm."""
    picture = ViewPicture(source=source(f"{name}.jpg"))
    wheels = (
        Known(pick=Pick(picture=f"{name}.jpg", px=(500.0, 2000.0)), right=0.0, up=310.0),
        Known(
            pick=Pick(picture=f"{name}.jpg", px=(500.0 + 2240.0 / scale, 2000.0)),
            right=2240.0,
            up=310.0,
        ),
    )
    return ViewSpec(name=name, seen_from=seen_from, pictures=(picture,), known=wheels, **more)
