"""From the mat to vehicle axes at full size.

The mat's plane is the ground and its z is up. The centre plane stands square on it and is fitted
so that every line falls on the mirror image of its partner; the front axle's plane goes through
the centres of circles fitted to the wheel rims.
"""

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.lines.asymmetry import sides_apart, sides_doubts
from buckwright.lines.datum import UP, axle_centre, centre_plane, rearward_of
from buckwright.lines.sides import mirror_names
from buckwright.model.finding import Finding
from buckwright.model.lines import Datum, LineSpec, PlacedLine, Placement, SidesApart
from buckwright.model.pictures import MeasuredLine
from buckwright.model.points import MeasuredPoint, PlacedPoint

__all__ = ["given_axes", "place_lines"]

Array = NDArray[np.float64]
Lines = dict[str, MeasuredLine]


def place_lines(
    measured: tuple[MeasuredLine, ...],
    specs: tuple[LineSpec, ...],
    datum: Datum,
    *,
    scale: float,
    scale_sigma: float,
    marks: tuple[MeasuredPoint, ...] = (),
) -> tuple[Placement, tuple[PlacedLine, ...]]:
    """Measured lines in vehicle axes at full size, and how they were brought there.

    Parameters: `scale` is full-size length over model length, `scale_sigma` its relative standard
    error; `marks` are single places, of which some may be the datum's wheel centres. Each point's
    standard error is scaled, and `scale_sigma` times its distance from the origin added in
    quadrature.
    Raises JobError where axles or centre plane cannot be found from these lines.
    """
    lines = {line.name: line for line in measured}
    pairs = _pairs(lines, specs)
    normal, offset = centre_plane(lines, pairs, specs)
    front, front_doubts = axle_centre(lines, datum.front_axle, "front", scale, marks)
    rear, rear_doubts = axle_centre(lines, datum.rear_axle, "rear", scale, marks)
    rearward = rearward_of(lines, datum, normal)
    rotation = np.vstack([rearward, np.cross(UP, rearward), UP])
    # The point of the ground in the centre plane that has the front axle's x.
    across = rotation[1]
    side = offset if across @ normal > 0.0 else -offset
    origin = (front @ rearward) * rearward + side * across
    sigma_scale = abs(scale_sigma)
    placed = tuple(_placed(line, rotation, origin, scale, sigma_scale) for line in measured)
    by_name = {line.name: line for line in placed}
    sides = sides_apart(by_name, pairs)
    placement = Placement(
        scale=scale,
        rotation=rotation,
        origin=origin,
        wheelbase=float(scale * (rear - front) @ rearward),
        asymmetry_rms=_over_all(sides),
        sides=sides,
        points=tuple(_placed_point(mark, rotation, origin, scale, sigma_scale) for mark in marks),
        findings=(*front_doubts, *rear_doubts, *sides_doubts(sides), *_side_doubts(by_name, pairs)),
    )
    if placement.wheelbase <= 0.0:
        raise JobError(
            "The rear axle lies in front of the front axle.",
            "Check which rims are named as front and rear, and which line lies at the front.",
        )
    return placement, placed


_NO_WHEELBASE = Finding(
    code="no-wheelbase",
    where="tables",
    message="No table says the wheelbase, so no sheet shows it.",
    remedy="Take a table in again with its wheelbase, at full size.",
)


def given_axes(wheelbase: float) -> Placement:
    """How lines lie that came in vehicle axes at full size already: as they are."""
    return Placement(
        scale=1.0,
        rotation=np.eye(3),
        origin=np.zeros(3),
        wheelbase=wheelbase,
        asymmetry_rms=0.0,
        findings=() if wheelbase > 0.0 else (_NO_WHEELBASE,),
    )


def _pairs(lines: Lines, specs: tuple[LineSpec, ...]) -> tuple[tuple[str, str], ...]:
    """Measured mirror pairs, each once."""
    found: list[tuple[str, str]] = []
    for name, other in mirror_names(specs).items():
        known = name in lines and other in lines and name != other
        if known and (other, name) not in found:
            found.append((name, other))
    return tuple(found)


def _placed(
    line: MeasuredLine, rotation: Array, origin: Array, scale: float, scale_sigma: float
) -> PlacedLine:
    points = scale * (np.asarray(line.points) - origin) @ rotation.T
    size = np.linalg.norm(points, axis=1)
    sigma = np.hypot(scale * np.asarray(line.sigma), scale_sigma * size)
    return PlacedLine(name=line.name, points=points, sigma=sigma, closed=line.closed)


def _placed_point(
    mark: MeasuredPoint, rotation: Array, origin: Array, scale: float, scale_sigma: float
) -> PlacedPoint:
    point = scale * rotation @ (np.asarray(mark.point) - origin)
    return PlacedPoint(
        name=mark.name,
        point=point,
        sigma=float(np.hypot(scale * mark.sigma, scale_sigma * np.linalg.norm(point))),
        radius=scale * mark.radius,
    )


def _over_all(sides: tuple[SidesApart, ...]) -> float:
    """Root mean square in mm of all places of all pairs."""
    square = [float(np.sum(pair.apart**2)) for pair in sides]
    return float(np.sqrt(sum(square) / sum(len(pair.points) for pair in sides)))


def _side_doubts(
    lines: dict[str, PlacedLine], pairs: tuple[tuple[str, str], ...]
) -> tuple[Finding, ...]:
    """A doubt where lines called left lie on the right: the datum may face the wrong way."""
    wrong = [
        name
        for pair in pairs
        for name in pair
        if (name.endswith(" left") and np.mean(np.asarray(lines[name].points)[:, 1]) > 0.0)
        or (name.endswith(" right") and np.mean(np.asarray(lines[name].points)[:, 1]) < 0.0)
    ]
    if not wrong:
        return ()
    return (
        Finding(
            code="sides-swapped",
            where=wrong[0],
            message=f"{len(wrong)} lines lie on the other side than their names say.",
            remedy="Left is the driver's left: rename the lines, or swap front and rear in the "
            "job's datum.",
        ),
    )
