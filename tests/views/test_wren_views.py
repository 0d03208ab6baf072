"""The example's own photographs as single views: hand traces of real lenses against the truth.

No square mark is painted on the model, so four places of a plane are put where the picture's true
camera shows them, with half a pixel of a hand's error.
"""

import json
from pathlib import Path

import cv2
import numpy as np
from scipy.spatial import cKDTree

from buckwright.geometry.polyline import closest_on_polyline
from buckwright.model.pictures import PictureSource
from buckwright.model.views import ViewPicture, ViewSpec, ViewTrace
from buckwright.views import join_views, square_view, view_curve

WREN = Path(__file__).parents[2] / "examples" / "wren"
TRUTH = json.loads((WREN / "truth.json").read_text(encoding="utf-8"))["lines"]
CAMERAS = json.loads((WREN / "truth_cameras.json").read_text(encoding="utf-8"))
TRACES = json.loads((WREN / "traces.json").read_text(encoding="utf-8"))["traces"]


def seen(points: np.ndarray, picture: str) -> np.ndarray:
    camera = next(one for one in CAMERAS["pictures"] if one["name"] == picture)
    place = CAMERAS["model_on_mat"]
    at = place["scale"] * points @ np.array(place["rotation"]).T + np.array(place["translation"])
    lens = np.diag([camera["focal"], camera["focal"], 1.0])
    lens[:2, 2] = camera["principal"]
    turn, shift = np.array(camera["rotation_vector"]), np.array(camera["translation"])
    return cv2.projectPoints(at, turn, shift, lens, np.array(CAMERAS["distortion"]))[0][:, 0]


def view(name: str, seen_from: str, picture: str, plane, box, shown, lines, distance) -> ViewSpec:
    away = 3 - sum(shown)
    at = np.array([[box[0], box[1]], [box[2], box[1]], [box[2], box[3]], [box[0], box[3]]])
    places = np.zeros((4, 3))
    places[:, shown], places[:, away] = at, plane
    clicked = seen(places, picture) + np.random.default_rng(3).normal(0.0, 0.5, (4, 2))
    traces = []
    for line in lines:
        along = np.array(TRUTH[line]["points"])[:, away]
        traces += [
            ViewTrace(
                line=line,
                picture=picture,
                px=np.array(trace["px"]),
                between=(along.min(), along.max()),
                closed=TRUTH[line]["closed"],
            )
            for trace in TRACES[line]
            if trace["picture"] == picture
        ]
    source = PictureSource(name=picture, sha256="0" * 64, size=(4032, 3024))
    squared = ViewPicture(source=source, corners=clicked, corners_at=at)
    return ViewSpec(
        name=name,
        seen_from=seen_from,
        pictures=(squared,),
        plane=plane,
        distance=distance,
        traces=tuple(traces),
    )


def side(*lines: str) -> ViewSpec:
    box = (0.0, 200.0, 2400.0, 1500.0)
    return view("side", "left", "wren_07.jpg", -744.0, box, [0, 2], lines, 0.0)


def plan(*lines: str) -> ViewSpec:
    box = (300.0, -700.0, 2700.0, 700.0)
    return view("plan", "top", "wren_16.jpg", 1000.0, box, [0, 1], lines, 3839.0)


def beyond_band(spec: ViewSpec, shown: list[int]) -> np.ndarray:
    """Of every traced point: how far the truth lies beyond its band, in standard errors."""
    found, squared = [], square_view(spec)
    for trace in spec.traces:
        curve = view_curve(spec, squared, trace)
        true = np.array(TRUTH[trace.line]["points"])
        k = np.linspace(0.0, len(true) - 1.0, 8000)
        true = np.column_stack([np.interp(k, np.arange(len(true)), true[:, i]) for i in range(3)])
        nearest = cKDTree(seen(true, trace.picture)).query(trace.px)[1]
        at, way = true[nearest][:, shown], curve.far - curve.near
        size = np.maximum(np.sum(way**2, axis=1), 1e-12)
        share = np.clip(np.sum((at - curve.near) * way, axis=1) / size, 0.0, 1.0)
        gap = np.linalg.norm(at - curve.near - share[:, None] * way, axis=1)
        found.append(gap / curve.sigma)
        # What the plane of scale alone shows is far off: the band is no empty promise.
        assert np.linalg.norm(curve.read - at, axis=1).max() > 60.0
    return np.concatenate(found)


def test_lines_of_the_side_picture_lie_within_their_printed_bands() -> None:
    spec = side("belt left", "sill left", "window left", "door left", "cantrail left")
    squared = square_view(spec)
    # The true camera stands 3144.9 mm before the plane; the picture itself tells it.
    assert abs(squared.distance - 3144.9) < 3.0 * squared.distance_sigma
    errors = beyond_band(spec, [0, 2])
    assert np.mean(errors < 2.0) > 0.95
    assert errors.max() < 3.5


def test_lines_of_the_picture_from_above_lie_within_their_printed_bands() -> None:
    errors = beyond_band(plan("roof centre line", "cantrail left", "screen edge"), [0, 1])
    assert np.mean(errors < 2.0) > 0.95
    assert errors.max() < 3.5


def test_side_and_plan_give_the_cantrail_in_space() -> None:
    joined = join_views([side("cantrail left"), plan("cantrail left")])
    (line,) = joined.lines
    gap = closest_on_polyline(line.points, np.array(TRUTH["cantrail left"]["points"]))[0]
    # Two photographs from half a metre, of a model 1:8, each wrong by 80 to 200 mm by itself.
    assert np.sqrt(np.mean(gap**2)) < 4.0
    assert np.mean(gap < 2.0 * np.sqrt(2.0) * line.sigma) > 0.9
