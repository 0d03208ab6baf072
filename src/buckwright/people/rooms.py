"""Measures of the cab by their names in SAE J1100, and the room round heads, legs and wheels."""

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.mesh import MeshLocator, vertex_normals
from buckwright.geometry.mesh_rays import first_hit
from buckwright.model.package import Clearance, PackageSpec, Room
from buckwright.model.people import FitQuestion, HeightFit
from buckwright.model.skin import Skin
from buckwright.people.inner_width import cut_inner_section
from buckwright.people.seating import Seated
from buckwright.people.steering import SteeringWheel
from buckwright.tables.rows import table_rows

__all__ = ["Lining", "cab_rooms", "hip_room", "leg_clearances"]

Array = NDArray[np.float64]

BACK_OF_UPRIGHT = np.deg2rad(8.0)
HEAD_ROOM_MORE, LEG_ROOM_MORE, ANKLE_UP = 102.0, 254.0, 100.0
"""mm that SAE J1100 adds for H61 and L34 (memory); an ankle's height over the heel (memory)."""
HEAD_HALF = 115.0
"""mm, half the height of a head (memory)."""
BELLY_ROOM, THIGH_ROOM = 25.0, 15.0
"""mm wanted before the belly and over the thighs: common practice, no source."""


class Lining:
    """The roof lining: the whole regions of the skin set in along their normals."""

    def __init__(self, skin: Skin, *, depth: float) -> None:
        faces = []
        for region in skin.regions:
            vertices = np.asarray(region.vertices)
            inner = vertices - depth * vertex_normals(vertices, region.triangles)
            faces.append((inner, np.asarray(region.triangles)))
        self._faces = tuple(faces)
        self._locators = tuple(MeshLocator(v, t) for v, t in faces)

    def along(self, origin: Array, direction: Array) -> float | None:
        """How far from `origin` along the unit `direction` the lining is; None if nowhere."""
        hits = [first_hit(v, t, origin, direction) for v, t in self._faces]
        met = [hit for hit in hits if hit is not None]
        return min(met) if met else None

    def head(self, seated: Seated) -> Clearance | None:
        """Least room round a head, an ellipsoid of its sizes; negative where it pokes out.

        None where there is no roof over the person.
        """
        half = np.array(
            [0.5 * seated.body["head_length"], 0.5 * seated.body["head_breadth"], HEAD_HALF]
        )
        centre = np.array([seated.shoulder[0], seated.y, seated.crown - HEAD_HALF])
        up = self.along(centre, np.array([0.0, 0.0, 1.0]))
        if up is None:
            return None
        value, place = self._nearest(centre, half)
        if up < HEAD_HALF:
            value, place = up - HEAD_HALF, centre + np.array([0.0, 0.0, HEAD_HALF])
        return Clearance(
            name=f"{seated.name}'s head",
            value=value,
            wanted=0.0,
            at=(float(place[0]), float(place[1]), float(place[2])),
            words="from the head, measured erect, to the nearest of the lining",
        )

    def nearest(self, points: Array) -> tuple[float, Array]:
        """Least distance of points (n, 3) to the lining, and the point that has it."""
        away = np.min([abs(one.closest(points)[0]) for one in self._locators], axis=0)
        k = int(np.argmin(away))
        return float(away[k]), points[k]

    def _nearest(self, centre: Array, half: Array) -> tuple[float, Array]:
        """Least distance from an ellipsoid's upper half to the lining, and where on it."""
        best, reach = np.array([0.25 * np.pi, np.pi]), np.array([0.25 * np.pi, np.pi])
        value, place = np.inf, centre
        for _ in range(4):
            up, turn = (np.linspace(b - r, b + r, 13) for b, r in zip(best, reach, strict=True))
            angles = np.stack(np.meshgrid(np.clip(up, 0.0, 0.5 * np.pi), turn), -1).reshape(-1, 2)
            points = centre + half * _on_ball(angles)
            away = np.min([abs(one.closest(points)[0]) for one in self._locators], axis=0)
            k = int(np.argmin(away))
            if away[k] < value:
                value, place, best = float(away[k]), points[k], angles[k]
            reach = reach / 4.0
        return value, place


def _on_ball(angles: Array) -> Array:
    """(n, 3) points of the unit ball at angles (n, 2): upward and round."""
    up, turn = angles.T
    return np.column_stack([np.cos(up) * np.cos(turn), np.cos(up) * np.sin(turn), np.sin(up)])


def hip_room(question: FitQuestion, skin: Skin, seated: Seated) -> float | None:
    """SAE J1100 W5: least width between the trims about the hips; None where there is no side."""
    depth = question.sheet_thickness + question.door_thickness
    x, z = seated.hip
    found = []
    for station in (x - 76.0, x, x + 76.0):
        section = cut_inner_section(skin, station=station, depth=depth)
        for level in np.linspace(z - 25.0, z + 76.0, 6):
            left, right = section.half_breadths(float(level))
            if left is not None and right is not None:
                found.append(left + right)
    return min(found) if found else None


def cab_rooms(
    heights: tuple[HeightFit, ...],
    driver: Seated,
    lining: Lining,
    steering: SteeringWheel,
    hips: float | None,
) -> tuple[Room, ...]:
    """The measures that can be taken, in the order of the table."""
    by_name = {fit.name: fit.given for fit in heights}
    hip = np.array([driver.hip[0], driver.y, driver.hip[1]])
    back = np.array([np.sin(BACK_OF_UPRIGHT), 0.0, np.cos(BACK_OF_UPRIGHT)])
    roof = lining.along(hip, back)
    ankle = np.array([driver.heel[0], driver.heel[1] + ANKLE_UP])
    legs = float(np.hypot(hip[0] - ankle[0], hip[2] - ankle[1]))
    values = {
        "W3": by_name.get("shoulders"),
        "W31": by_name.get("elbows"),
        "W5": hips,
        "H61": None if roof is None else roof + HEAD_ROOM_MORE,
        "L34": legs + LEG_ROOM_MORE,
        "H30": float(hip[2] - driver.heel[1]),
        "L53": float(hip[0] - driver.heel[0]),
        "W7": float(steering.centre[1]),
    }
    return tuple(
        Room(code=row["code"], name=row["name"], value=value, words=row["words"], mark=row["mark"])
        for row in table_rows("cab_rooms.csv")
        if (value := values[row["code"]]) is not None
    )


def leg_clearances(
    driver: Seated,
    people: tuple[Seated, ...],
    spec: PackageSpec,
    steering: SteeringWheel,
    front: tuple[float, float, str],
) -> tuple[Clearance, ...]:
    """Belly and thighs at the steering wheel, and feet behind what is in front of them.

    `front` is the station, the room wanted there, and what stands there.
    """
    rim = steering.lowest
    at = (float(rim[0]), float(rim[1]), float(rim[2]))
    who = driver.name
    belly = spec.wheel_reach - driver.body["abdomen_depth"]
    thighs = spec.wheel_height - driver.body["thigh_clearance"]
    found = [
        Clearance(name=f"{who}'s belly", value=belly, wanted=BELLY_ROOM, at=at,
                  words="from the belly to the steering wheel"),
        Clearance(name=f"{who}'s thighs", value=thighs, wanted=THIGH_ROOM, at=at,
                  words="from the thighs up to the steering wheel"),
    ]  # fmt: skip
    station, wanted, behind = front
    for one in people:
        found.append(
            Clearance(
                name=f"{one.name}'s feet",
                value=one.toe - station,
                wanted=wanted,
                at=(one.toe, one.y, one.heel[1]),
                words=f"from the toes to the {behind}",
            )
        )
    return tuple(found)
