"""The example's known truth, held against what was computed."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from buckwright.geometry.polyline import closest_on_polyline
from buckwright.model.job import Products
from buckwright.model.lines import LineNetwork
from buckwright.model.pictures import Calibration, MeasuredLine
from buckwright.model.points import MeasuredPoint

__all__ = ["errors_against_truth", "truth_lines"]

Array = NDArray[np.float64]


def errors_against_truth(folder: Path, products: Products) -> dict[str, Any]:
    """Errors of cameras, measured lines and fair lines of the example, as numbers.

    `folder` holds truth.json and truth_cameras.json. Cameras and measured lines are compared
    after laying the mat's adjusted corners on its true ones (turn and shift, no scale): where a
    stretched, wavy sheet has its origin is a convention. The fair reference is compared in
    vehicle axes at full size.
    """
    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))["lines"]
    cameras = json.loads((folder / "truth_cameras.json").read_text(encoding="utf-8"))
    told: dict[str, Any] = {}
    if products.calibration is not None:
        seat = _seat(cameras, products.calibration)
        told["camera_centres_rms_mm"] = _camera_error(cameras, products.calibration, seat)
        told |= _line_errors(truth, cameras, products.measured, seat)
        told |= _point_errors(cameras, products.points, seat)
    if products.lines is not None:
        told |= _fair_errors(truth, products.lines.reference)
        told["wheelbase_error_mm"] = products.lines.placement.wheelbase - cameras["wheelbase"]
    return told


def truth_lines(told: dict[str, Any]) -> list[str]:
    """The same for people, with what was asked for beside it."""
    points = []
    if "points_rms_mm" in told:
        words = f"{told['points_rms_mm']:.3f} mm rms at the model, worst {told['worst_point']}"
        points = [f"  points    {words} ({told['worst_point_mm']:.2f})"]
    return [
        f"  cameras   {told['camera_centres_rms_mm']:.3f} mm rms (asked: 0.05)",
        f"  lines     {told['lines_rms_mm']:.3f} mm rms at the model (asked: 0.16), "
        f"worst line {told['worst_line_rms_mm']:.2f} ({told['worst_line']})",
        *points,
        f"  honesty   {100 * told['inside_two_sigma']:.0f} % of the errors inside two sigma "
        "(asked: 90 to 99)",
        f"  full size {told['full_size_rms_mm']:.2f} mm rms after fairing, "
        f"{100 * told['fair_inside_two_sigma']:.0f} % inside two sigma; "
        f"wheelbase {told['wheelbase_error_mm']:+.1f} mm",
    ]


def _centre(rotation_vector: Any, translation: Any) -> Array:
    # A copy: this library refuses read-only arrays.
    turned = Rotation.from_rotvec(np.array(rotation_vector, dtype=np.float64))
    return np.asarray(turned.inv().apply(-np.asarray(translation, dtype=np.float64)))


def _seat(cameras: dict[str, Any], calibration: Calibration) -> Callable[[Array], Array]:
    """The motion that lays the mat's adjusted corners on its true ones."""
    true = np.array([point["mm"] for point in cameras["mat_points"]])
    found = np.array(calibration.mat_points)
    turn, _ = Rotation.align_vectors(true - true.mean(axis=0), found - found.mean(axis=0))

    def seat(points: Array) -> Array:
        return np.asarray(turn.apply(points - found.mean(axis=0)) + true.mean(axis=0))

    return seat


def _camera_error(
    cameras: dict[str, Any], calibration: Calibration, seat: Callable[[Array], Array]
) -> float:
    true = {camera["name"]: camera for camera in cameras["pictures"]}
    gaps = [
        seat(_centre(p.rotation_vector, p.translation))
        - _centre(true[p.name]["rotation_vector"], true[p.name]["translation"])
        for p in calibration.pictures
    ]
    return float(np.sqrt(np.mean(np.sum(np.square(gaps), axis=1))))


def _line_errors(
    truth: dict[str, Any],
    cameras: dict[str, Any],
    measured: tuple[MeasuredLine, ...],
    seat: Callable[[Array], Array],
) -> dict[str, Any]:
    place = cameras["model_on_mat"]
    turn, shift = np.array(place["rotation"]), np.array(place["translation"])
    errors: dict[str, Array] = {}
    ratios = []
    for line in measured:
        true = truth[line.name]
        at = place["scale"] * np.array(true["points"]) @ turn.T + shift
        gap, _, _ = closest_on_polyline(seat(line.points), at, closed=true["closed"])
        errors[line.name] = gap
        # The gap across a line has two directions, each with the printed sigma.
        ratios.append(gap / (np.sqrt(2.0) * line.sigma))
    rms = {name: float(np.sqrt(np.mean(gap**2))) for name, gap in errors.items()}
    worst = max(rms, key=lambda name: rms[name])
    every = np.concatenate(list(errors.values()))
    return {
        "lines_rms_mm": float(np.sqrt(np.mean(every**2))),
        "worst_line": worst,
        "worst_line_rms_mm": rms[worst],
        "inside_two_sigma": float(np.mean(np.concatenate(ratios) < 2.0)),
    }


def _point_errors(
    cameras: dict[str, Any],
    measured: tuple[MeasuredPoint, ...],
    seat: Callable[[Array], Array],
) -> dict[str, Any]:
    if not measured:
        return {}
    place, true = cameras["model_on_mat"], cameras["marked_points"]
    turn, shift = np.array(place["rotation"]), np.array(place["translation"])
    gaps = {
        point.name: float(
            np.linalg.norm(
                seat(np.asarray(point.point)[None])[0]
                - (place["scale"] * turn @ np.array(true[point.name]) + shift)
            )
        )
        for point in measured
    }
    worst = max(gaps, key=lambda name: gaps[name])
    return {
        "points_rms_mm": float(np.sqrt(np.mean(np.square(list(gaps.values()))))),
        "worst_point": worst,
        "worst_point_mm": gaps[worst],
    }


def _fair_errors(truth: dict[str, Any], network: LineNetwork) -> dict[str, Any]:
    gaps, inside = [], []
    for line in network.lines:
        true = truth[line.name]
        gap, _, _ = closest_on_polyline(
            line.points(400), np.array(true["points"]), closed=true["closed"]
        )
        gaps.append(gap)
        # A gap has the two directions across the line, each with the told doubt.
        inside.append(gap < 2.0 * np.sqrt(2.0) * line.doubt)
    return {
        "full_size_rms_mm": float(np.sqrt(np.mean(np.concatenate(gaps) ** 2))),
        "fair_inside_two_sigma": float(np.mean(np.concatenate(inside))),
    }
