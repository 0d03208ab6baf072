"""What the lines give where a tape was laid."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.circle import fit_circle
from buckwright.geometry.polyline import arc_lengths
from buckwright.model.job import Reference
from buckwright.model.lines import Line, LineNetwork, LineSpec
from buckwright.model.points import PlacedPoint
from buckwright.model.tapes import Tape, TapePlace, Where

__all__ = ["TapeGround", "on_lines", "tape_ground"]

Array = NDArray[np.float64]

FINE = 2001
ENDS: dict[Where, tuple[int, float]] = {
    "front": (0, -1.0),
    "rear": (0, 1.0),
    "left": (1, -1.0),
    "right": (1, 1.0),
    "bottom": (2, -1.0),
    "top": (2, 1.0),
}
"""Axis and sense of an outermost place."""
AXES = {"length": 0, "width": 1, "height": 2}


@dataclass(frozen=True, eq=False, slots=True)
class TapeGround:
    """What tapes are held against: the lines as measured, before hand and departures."""

    network: LineNetwork
    points: tuple[PlacedPoint, ...]
    wheelbase: float
    rims: tuple[str, ...]
    body: tuple[str, ...]
    scale: float
    """Full-size over model length, for tapes laid on the model."""


def tape_ground(reference: Reference, specs: Sequence[LineSpec], scale: float) -> TapeGround:
    """The ground that a job's lines make."""
    datum = tuple(spec.name for spec in specs if spec.use == "datum")
    network = reference.unpulled or reference.reference
    return TapeGround(
        network=network,
        points=reference.placement.points,
        wheelbase=reference.placement.wheelbase,
        rims=datum,
        body=tuple(line.name for line in network.lines if line.name not in datum),
        scale=scale,
    )


def on_lines(tape: Tape, ground: TapeGround) -> tuple[float, float]:
    """The length that the lines give in the tape's place, and its standard error, mm.

    Raises JobError where a line, a point or a crossing is not there.
    """
    if tape.of == "between":
        (one, a), (two, b) = (_place(place, ground) for place in tape.places)
        return float(np.linalg.norm(one - two)), float(np.hypot(a, b))
    if tape.of == "along":
        return _along(tape, ground)
    if tape.of == "wheelbase":
        if ground.wheelbase <= 0.0:
            raise JobError("The lines give no wheelbase.", "Name rims or a wheelbase first.")
        return ground.wheelbase, np.sqrt(2.0) * _usual(ground, ground.rims or ground.body)
    lines = [line for line in ground.network.lines if line.name in ground.body]
    if not lines:
        raise JobError("There are no lines to measure over.", "Work the lines out first.")
    reach = np.concatenate([line.points(FINE)[:, AXES[tape.of]] for line in lines])
    if tape.of == "height":
        return float(reach.max()), _usual(ground, ground.body)
    if tape.of == "width" and np.all(reach <= 1e-6):
        # The left half alone stands for both.
        return float(-2.0 * reach.min()), 2.0 * _usual(ground, ground.body)
    return float(np.ptp(reach)), np.sqrt(2.0) * _usual(ground, ground.body)


def _usual(ground: TapeGround, names: Sequence[str]) -> float:
    sigma = [line.sigma for line in ground.network.lines if line.name in names]
    return float(np.median(sigma)) if sigma else 0.0


def _line(name: str, ground: TapeGround) -> Line:
    try:
        return ground.network.line(name)
    except KeyError:
        raise JobError(
            f"There is no line or point '{name}'.", "Write its name as the list of lines has it."
        ) from None


def _place(place: TapePlace, ground: TapeGround) -> tuple[Array, float]:
    """Where a tape is held, (3,), and its standard error."""
    point = next((one for one in ground.points if one.name == place.name), None)
    if point is not None and not place.other:
        return np.asarray(point.point), point.sigma
    line = _line(place.name, ground)
    if place.other:
        return _crossing(place, line, ground)
    if place.where == "centre":
        return _centre(line)
    if place.where in ENDS:
        axis, sense = ENDS[place.where]
        points = line.points(FINE)
        return points[int(np.argmax(sense * points[:, axis]))], line.sigma
    if place.where in ("start", "end") and not line.closed:
        return np.asarray(line.curve()(0.0 if place.where == "start" else 1.0)), line.sigma
    raise JobError(
        f"'{place.name}' does not say where on the line.",
        "Write it like 'belt left: front', 'belt left + scuttle front' or 'front rim: centre'.",
    )


def _centre(line: Line) -> tuple[Array, float]:
    try:
        centre, _, radius, rms = fit_circle(line.points(200)[:-1])
    except ValueError:
        radius, rms = 0.0, 1.0
    if not line.closed or rms > 0.1 * radius:
        raise JobError(
            f"'{line.name}' is no rim, so it has no centre.", "Name a place on it instead."
        )
    return np.asarray(centre), line.sigma / np.sqrt(2.0)


def _crossing(place: TapePlace, line: Line, ground: TapeGround) -> tuple[Array, float]:
    other = _line(place.other, ground)
    pair = {place.name, place.other}
    found = [np.asarray(c.point) for c in ground.network.crossings if set(c.lines) == pair]
    if not found:
        raise JobError(
            f"'{place.name}' and '{place.other}' do not cross.", "Name two lines that do."
        )
    sigma = 1.0 / np.sqrt(1.0 / max(line.sigma, 1e-6) ** 2 + 1.0 / max(other.sigma, 1e-6) ** 2)
    if place.where in ENDS:
        axis, sense = ENDS[place.where]
        return max(found, key=lambda point: sense * point[axis]), float(sigma)
    if len(found) > 1:
        raise JobError(
            f"'{place.name}' and '{place.other}' cross {len(found)} times.",
            "Say which with ': front', ': rear', ': left', ': right', ': top' or ': bottom'.",
        )
    return found[0], float(sigma)


def _along(tape: Tape, ground: TapeGround) -> tuple[float, float]:
    """Length along a line, all of it or from one place to the other (the shorter way round)."""
    line = _line(tape.line, ground)
    points = line.points(FINE)
    run = arc_lengths(points)
    sigma = np.sqrt(2.0) * line.sigma
    if not tape.places:
        return float(run[-1]), float(sigma)
    at = []
    for place in tape.places:
        where, _ = _place(place, ground)
        gap = np.linalg.norm(points - where, axis=1)
        if gap.min() > 20.0 + 5.0 * line.sigma:
            raise JobError(
                f"A place of the tape '{tape.name}' lies {gap.min():.0f} mm off '{tape.line}'.",
                "Name places on the line along which the tape runs.",
            )
        at.append(float(run[int(np.argmin(gap))]))
    far = abs(at[1] - at[0])
    return (min(far, float(run[-1]) - far) if line.closed else far), float(sigma)
