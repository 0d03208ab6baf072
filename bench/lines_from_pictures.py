"""Lines from the example's pictures: error at the model against the true lines.

Each line from 4, 6, 8 of the pictures that show it, and from all of them, traced by hand (1 px of
wobble that fades over 60 px) and snapped to tape or edge from clicks 90 px apart that lie on the
hand's traces. Pictures are chosen one after the other: the one that shows most of the line, then
always the one whose direction is farthest from those chosen, by the share of the line it shows.
Cameras are those of the whole shoot; then those of a shoot of four pictures, and of six, alone:
chosen from high and low and all round, and drawn at random. A line is silently wrong where it is
off by more than half a millimetre and by more than five of its printed standard errors, and no
finding says so. OpenCV's `triangulatePoints` has marks matched for it by the
truth, which a shop has not, and two pictures.
"""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from time import process_time
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from buckwright.capture import calibrate, find_corners, line_from_traces, snap_line
from buckwright.errors import JobError
from buckwright.files.jobfolder import read_job_folder
from buckwright.files.photographs import read_picture_bytes
from buckwright.geometry.camera import camera_centre
from buckwright.geometry.polyline import arc_lengths, closest_on_polyline, polyline_length
from buckwright.model.pictures import Calibration, Corners, Mat, Trace

Array = NDArray[np.float64]

WREN = Path(__file__).parents[1] / "examples" / "wren"
CLICK_PX, BEND_PX = 90.0, 6.0
COUNTS = (4, 6, 8, 16)
ROUND = {4: (4, 7, 13, 14), 6: (4, 6, 7, 13, 14, 15)}
"""Places among the pictures of small shoots, of the left side, from both heights."""
RANDOM_SHOOTS = 4


@dataclass(frozen=True, eq=False, slots=True)
class Shoot:
    """The example's pictures, solved, with what is true of them."""

    mat: Mat
    corners: tuple[Corners, ...]
    calibration: Calibration
    greys: dict[str, NDArray[np.uint8]]
    traces: tuple[Trace, ...]
    marks: dict[str, str]
    closed: dict[str, bool]
    true: dict[str, Array]
    """Points of the true lines in the frame that the calibration found."""


def load() -> Shoot:
    """The example, its corners found and its cameras solved."""
    job, originals = read_job_folder(WREN)
    if job.mat is None:
        raise JobError("The example has no mat.", "Make it again with 'make pictures'.")
    mat = job.mat
    greys = {
        picture.name: read_picture_bytes(originals[picture.sha256], name=picture.name)[1]
        for picture in job.pictures
    }
    corners = [find_corners(grey, mat, picture=name) for name, grey in greys.items()]
    calibration = calibrate(corners, mat)
    truth = json.loads((WREN / "truth.json").read_text(encoding="utf-8"))["lines"]
    cameras = json.loads((WREN / "truth_cameras.json").read_text(encoding="utf-8"))
    return Shoot(
        mat=mat,
        corners=tuple(corners),
        calibration=calibration,
        greys=greys,
        traces=tuple(trace for trace in job.traces if trace.line in truth),
        marks={spec.name: spec.mark for spec in job.lines},
        closed={name: line["closed"] for name, line in truth.items()},
        true={
            name: _seated(np.array(line["points"]), cameras, calibration)
            for name, line in truth.items()
        },
    )


def _seated(points: Array, cameras: dict[str, Any], calibration: Calibration) -> Array:
    """True points laid into the frame of the solved mat, by turn and shift."""
    place = cameras["model_on_mat"]
    on_mat = place["scale"] * points @ np.array(place["rotation"]).T + place["translation"]
    true = np.array([point["mm"] for point in cameras["mat_points"]])
    found = np.array(calibration.mat_points)
    turn, _ = Rotation.align_vectors(found - found.mean(axis=0), true - true.mean(axis=0))
    return np.asarray(turn.apply(on_mat - true.mean(axis=0)) + found.mean(axis=0))


def chosen_pictures(shoot: Shoot, name: str, count: int) -> tuple[str, ...]:
    """The pictures of a line, as the head of this file says."""
    length: dict[str, float] = {}
    towards: dict[str, Array] = {}
    solved = {picture.name for picture in shoot.calibration.pictures}
    for trace in (t for t in shoot.traces if t.line == name and t.picture in solved):
        picture = shoot.calibration.picture(trace.picture)
        centre = camera_centre(picture.rotation_vector, picture.translation)
        ray = centre - shoot.true[name].mean(axis=0)
        reach = float(np.linalg.norm(ray))
        length[trace.picture] = length.get(trace.picture, 0.0) + polyline_length(trace.px) * reach
        towards[trace.picture] = ray / reach
    most = max(length.values())
    chosen = [max(length, key=lambda picture: length[picture])]
    while len(chosen) < min(count, len(length)):
        value = {
            picture: length[picture] / most
            * min(_apart(towards[picture], towards[other]) for other in chosen)
            for picture in length if picture not in chosen
        }  # fmt: skip
        chosen.append(max(value, key=lambda picture: value[picture]))
    return tuple(chosen)


def _apart(one: Array, other: Array) -> float:
    """Sine of the angle between two directions; 1 beyond a right angle."""
    cosine = float(one @ other)
    return float(np.sqrt(max(0.0, 1.0 - cosine**2))) if cosine > 0.0 else 1.0


def snapped(shoot: Shoot) -> tuple[tuple[Trace, ...], float]:
    """Every hand trace snapped from clicks that lie on it; ms of CPU to a click."""
    found, clicks, began = [], 0, process_time()
    for trace in shoot.traces:
        px = np.asarray(trace.px)
        loop = shoot.closed[trace.line] and bool(np.linalg.norm(px[0] - px[-1]) < 3.0)
        own = _clicks(px)[: -1 if loop else None]
        kind = "edge" if shoot.marks[trace.line] == "edge" else "tape"
        snap = snap_line(shoot.greys[trace.picture], own, kind=kind, closed=loop)
        clicks += len(own)
        found.append(
            trace.model_copy(
                update={"px": snap.points, "kind": kind, "closed": loop, "clicks": own,
                        "sigma": snap.sigma}
            )
        )  # fmt: skip
    return tuple(found), 1000.0 * (process_time() - began) / clicks


def _clicks(px: Array) -> Array:
    """Points of a hand's trace 90 px apart, closer where it bends."""
    along = arc_lengths(px)
    rows = [0]
    for k in range(1, len(px)):
        chord = px[k] - px[rows[-1]]
        between = px[rows[-1] : k] - px[rows[-1]]
        side = np.abs(chord[0] * between[:, 1] - chord[1] * between[:, 0])
        bend = float(side.max()) / max(float(np.linalg.norm(chord)), 1e-9)
        if along[k] - along[rows[-1]] >= CLICK_PX or bend > BEND_PX or k == len(px) - 1:
            rows.append(k)
    return px[rows]


@dataclass(frozen=True, eq=False, slots=True)
class Outcome:
    """What came of one line."""

    name: str
    gaps: Array
    """mm from its points to the true line."""
    inside: Array
    """Of those whether within two printed standard errors."""
    sigma: Array
    """mm, as printed."""
    told: bool
    """Whether a finding says that something is wrong or weak."""
    pictures: int
    seconds: float

    @property
    def rms(self) -> float:
        """mm."""
        return float(np.sqrt(np.mean(self.gaps**2)))


def outcomes(shoot: Shoot, traces: Sequence[Trace], count: int) -> Iterator[Outcome | str]:
    """Every line from so many pictures; its name alone where it is refused."""
    for name, true in shoot.true.items():
        try:
            pictures = chosen_pictures(shoot, name, count)
        except ValueError:
            yield name
            continue
        own = [t for t in traces if t.line == name and t.picture in pictures]
        began = process_time()
        try:
            line = line_from_traces(name, own, shoot.calibration, closed=shoot.closed[name])
        except JobError:
            yield name
            continue
        seconds = process_time() - began
        gap, _, _ = closest_on_polyline(np.asarray(line.points), true, closed=line.closed)
        # A gap has the two directions across the line, each with the printed sigma.
        inside = gap < 2.0 * np.sqrt(2.0) * line.sigma
        told = bool(line.findings)
        sigma = np.asarray(line.sigma)
        yield Outcome(name, gap, inside, sigma, told, len(line.pictures), seconds)


def alone(shoot: Shoot, pictures: Sequence[str]) -> Shoot:
    """A shoot of those pictures only, its cameras solved from them."""
    own = [c for c in shoot.corners if c.picture in pictures]
    calibration = calibrate(own, shoot.mat)
    # Corners that no two of them show stay where they are drawn, which says nothing of the frame.
    times = np.bincount(np.concatenate([c.ids for c in own]), minlength=len(calibration.mat_points))
    seen = times >= min(np.sort(times)[-20], max(3, len(own) // 2))
    before, after = shoot.calibration.mat_points[seen], calibration.mat_points[seen]
    turn, _ = Rotation.align_vectors(after - after.mean(axis=0), before - before.mean(axis=0))
    # Where these pictures do not show the bar, lengths are right but for one factor, which the
    # calibration says and no line can.
    grown = (
        1.0
        if calibration.scale == "bar"
        else float(np.std(after, axis=0)[:2].sum() / np.std(before, axis=0)[:2].sum())
    )
    return replace(
        shoot,
        calibration=calibration,
        true={
            name: np.asarray(grown * turn.apply(line - before.mean(axis=0)) + after.mean(axis=0))
            for name, line in shoot.true.items()
        },
    )


def silent(found: Sequence[Outcome | str]) -> list[str]:
    """Lines that are wrong without a word."""
    return [
        one.name
        for one in found
        if isinstance(one, Outcome)
        and not one.told
        and np.any((one.gaps > 0.5) & (one.gaps > 5.0 * np.sqrt(2.0) * one.sigma))
    ]


def small_shoots(shoot: Shoot, traces: Sequence[Trace], kind: str) -> None:
    """Print the figures of shoots of four and of six pictures alone."""
    names = [picture.name for picture in shoot.calibration.pictures]
    random = np.random.default_rng(4)
    for count in (4, 6):
        found = list(outcomes(alone(shoot, [names[k] for k in ROUND[count]]), traces, count))
        _tell(kind, count, found)
        wrong, lines, refused = [], 0, 0
        for _ in range(RANDOM_SHOOTS):
            chosen = [names[k] for k in random.choice(len(names), count, replace=False)]
            try:
                found = list(outcomes(alone(shoot, chosen), traces, count))
            except JobError:
                continue
            wrong += silent(found)
            lines += len(found)
            refused += sum(isinstance(one, str) for one in found)
        print(f"    drawn at random: {lines} lines, {refused} refused, silently wrong: "
              f"{len(wrong)} {', '.join(sorted(set(wrong)))}")  # fmt: skip


def _tell(kind: str, count: int, found: list[Outcome | str]) -> None:
    done = [one for one in found if isinstance(one, Outcome)]
    every = np.concatenate([one.gaps for one in done])
    worst = max(done, key=lambda one: one.rms)
    inside = 100.0 * float(np.mean(np.concatenate([one.inside for one in done])))
    refused = [one for one in found if isinstance(one, str)]
    times = [one.seconds for one in done]
    print(
        f"  {kind:8} {count:3}: {np.sqrt(np.mean(every**2)):.3f} mm rms, median line "
        f"{np.median([one.rms for one in done]):.3f}, worst {worst.rms:.3f} ({worst.name}); "
        f"{inside:.0f} % inside two sigma; {np.mean(times):.2f} s of CPU to a line, at most "
        f"{max(times):.2f}" + (f"; refused: {', '.join(refused)}" if refused else "")
    )


def triangulated(shoot: Shoot) -> float:
    """Error in mm rms of OpenCV's points from a hand's marks in the two best pictures."""
    square: list[Array] = []
    for name, true in shoot.true.items():
        rays, rows = [], []
        for picture in chosen_pictures(shoot, name, 2):
            camera = shoot.calibration.picture(picture)
            turn = cv2.Rodrigues(np.array(camera.rotation_vector))[0]
            rows.append(np.column_stack([turn, camera.translation]))
            focal, (u, v) = camera.focal, camera.principal
            matrix = np.array([[focal, 0.0, u], [0.0, focal, v], [0.0, 0.0, 1.0]])
            lens = np.array(camera.distortion)
            seen, _ = cv2.projectPoints(
                true, np.array(camera.rotation_vector), np.array(camera.translation), matrix, lens
            )
            random = np.random.default_rng(len(rays))
            marked = seen[:, 0] + random.normal(size=(len(true), 2))
            rays.append(cv2.undistortPoints(marked[:, None], matrix, lens)[:, 0].T)
        if len(rays) < 2:
            continue
        points = cv2.triangulatePoints(rows[0], rows[1], rays[0], rays[1])
        gap, _, _ = closest_on_polyline((points[:3] / points[3]).T, true, closed=shoot.closed[name])
        square.append(gap**2)
    return float(np.sqrt(np.mean(np.concatenate(square))))


def main() -> None:
    """Print the error for each number of pictures, by hand and snapped."""
    shoot = load()
    print("error of 27 lines at the model (1:8, a pixel is 0.2 mm)")
    for count in COUNTS:
        _tell("by hand", count, list(outcomes(shoot, shoot.traces, count)))
    traces, cost = snapped(shoot)
    for count in COUNTS:
        _tell("snapped", count, list(outcomes(shoot, traces, count)))
    print("shoots of so many pictures, cameras from these alone")
    small_shoots(shoot, shoot.traces, "by hand")
    small_shoots(shoot, traces, "snapped")
    print(f"  snapping takes {cost:.1f} ms of CPU to a click")
    print(f"  cv2.triangulatePoints, two pictures, marks matched: {triangulated(shoot):.3f} mm rms")
