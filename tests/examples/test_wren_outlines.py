"""The example's outlines and marked points: where its photographs and its cameras show them."""

import json
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from lens import cameras
from make_pictures import AIM
from outlines import OUTLINE, OUTLINED, points_on_model
from studio import Placing
from tracing import WOBBLE_PX

HERE = Path(__file__).parents[2] / "examples" / "wren"


def read(name: str) -> Any:
    return json.loads((HERE / name).read_text(encoding="utf-8"))


def off_the_edge_in_the_picture(number: int) -> np.ndarray:
    """How far, in px outward, an outline lies from the strongest step of the picture's colours.

    Only at those of its points where the picture steps at all.
    """
    (ring,) = (
        np.array(one["px"])
        for one in read("traces.json")["traces"][OUTLINE]
        if one["picture"] == f"wren_{number:02d}.jpg"
    )
    colours = cv2.imread(str(HERE / "pictures" / f"wren_{number:02d}.jpg"))
    assert colours is not None
    along = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)
    normal = np.column_stack([along[:, 1], -along[:, 0]])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    reach = np.arange(-5.0, 5.125, 0.25)
    at = (ring[:, None] + reach[:, None] * normal[:, None]).astype(np.float32)
    seen = cv2.remap(colours, at[..., 0], at[..., 1], cv2.INTER_LINEAR).astype(np.float64)
    step = np.linalg.norm(seen[:, 8:] - seen[:, :-8], axis=2)
    clear = step.max(axis=1) > 60.0
    return np.asarray(-(reach[:-8] + 1.0)[step.argmax(axis=1)][clear])


def test_the_outlines_follow_the_edge_of_the_model_as_the_photographs_show_it() -> None:
    for number in OUTLINED[::4]:
        off = off_the_edge_in_the_picture(number)
        assert len(off) > 150
        assert abs(np.median(off)) < 0.4
        # A hand's wobble across the line, and a few marks of the mat that are near it.
        assert 0.7 * WOBBLE_PX < np.std(off) < 1.7 * WOBBLE_PX


def test_the_marked_points_are_where_the_cameras_see_them() -> None:
    truth, marks = read("truth_cameras.json"), read("traces.json")["traces"]
    stands = {camera.name: camera for camera in cameras(AIM)}
    off = []
    for name, (place, _) in points_on_model().items():
        assert truth["marked_points"][name] == pytest.approx(place, abs=1e-3)
        assert len(marks[name]) >= 3, name
        at = Placing.on_mat().to_mat(place[None])
        off += [
            np.array(one["px"])[0] - stands[one["picture"]].project(at)[0] for one in marks[name]
        ]
    assert np.std(off) == pytest.approx(WOBBLE_PX, abs=0.25)
