"""From the mat to vehicle axes at full size.

The mat's plane is the ground and its z is up. The centre plane stands square on it and is fitted
so that every line falls on the mirror image of its partner; the front axle's plane goes through
the centres of circles fitted to the wheel rims.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.polyline import arc_lengths, closest_on_polyline
from buckwright.lines.datum import UP, axle_centre, centre_plane, rearward_of
from buckwright.lines.sides import MIRROR, mirror_gap, mirror_names
from buckwright.model.finding import Finding
from buckwright.model.lines import Datum, LineSpec, PlacedLine, Placement
from buckwright.model.pictures import MeasuredLine

__all__ = ["place_lines"]

Array = NDArray[np.float64]
Lines = dict[str, MeasuredLine]


def place_lines(
    measured: tuple[MeasuredLine, ...],
    specs: tuple[LineSpec, ...],
    datum: Datum,
    *,
    scale: float,
    scale_sigma: float,
) -> tuple[Placement, tuple[PlacedLine, ...]]:
    """Measured lines in vehicle axes at full size, and how they were brought there.

    Parameters: `scale` is full-size length over model length, `scale_sigma` its relative standard
    error. Each point's standard error is scaled, and `scale_sigma` times its distance from the
    origin added in quadrature.
    Raises JobError where axles or centre plane cannot be found from these lines.
    """
    lines = {line.name: line for line in measured}
    pairs = _pairs(lines, specs)
    normal, offset = centre_plane(lines, pairs, specs)
    front, front_doubts = axle_centre(lines, datum.front_axle, "front", scale)
    rear, rear_doubts = axle_centre(lines, datum.rear_axle, "rear", scale)
    rearward = rearward_of(lines, datum, normal)
    rotation = np.vstack([rearward, np.cross(UP, rearward), UP])
    # The point of the ground in the centre plane that has the front axle's x.
    across = rotation[1]
    side = offset if across @ normal > 0.0 else -offset
    origin = (front @ rearward) * rearward + side * across
    sigma_scale = abs(scale_sigma)
    placed = tuple(_placed(line, rotation, origin, scale, sigma_scale) for line in measured)
    by_name = {line.name: line for line in placed}
    gaps, doubts = _asymmetry(by_name, pairs)
    placement = Placement(
        scale=scale,
        rotation=rotation,
        origin=origin,
        wheelbase=float(scale * (rear - front) @ rearward),
        asymmetry_rms=float(np.sqrt(np.mean(gaps**2))),
        findings=(*front_doubts, *rear_doubts, *doubts, *_side_doubts(by_name, pairs)),
    )
    if placement.wheelbase <= 0.0:
        raise JobError(
            "The rear axle lies in front of the front axle.",
            "Check which rims are named as front and rear, and which line lies at the front.",
        )
    return placement, placed


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


def _asymmetry(
    lines: dict[str, PlacedLine], pairs: tuple[tuple[str, str], ...]
) -> tuple[Array, tuple[Finding, ...]]:
    """Distances in mm from one line of each pair to the mirror image of the other, and doubts."""
    every, doubts = [], []
    for name, other, gap in _pair_gaps(lines, pairs):
        every.append(gap)
        rms = float(np.sqrt(np.mean(gap**2)))
        length = arc_lengths(np.asarray(lines[name].points))[-1]
        if rms > 0.05 * length:
            raise JobError(
                f"'{name}' and '{other}' are said to mirror each other, but they differ by "
                f"{rms:.0f} mm.",
                "Check that both traces follow the same line of the body, and their names.",
            )
        # Two lines, each with the printed sigma in the two directions across it.
        doubt = float(np.sqrt(2.0 * _square(lines[name]) + 2.0 * _square(lines[other])))
        if rms > 2.0 * doubt:
            doubts.append(_lopsided(name, other, rms, doubt))
    return np.concatenate(every), tuple(doubts)


def _pair_gaps(
    lines: dict[str, PlacedLine], pairs: tuple[tuple[str, str], ...]
) -> Iterator[tuple[str, str, Array]]:
    for name, other in pairs:
        line, partner = lines[name], lines[other]
        gap = mirror_gap(np.asarray(line.points), np.asarray(partner.points), closed=line.closed)
        if not line.closed:
            image = np.asarray(partner.points) * MIRROR
            _, _, along = closest_on_polyline(np.asarray(line.points), image)
            inside = (along > 0.0) & (along < arc_lengths(image)[-1])
            gap = gap[inside] if np.any(inside) else gap
        yield name, other, gap


def _square(line: PlacedLine) -> float:
    return float(np.mean(np.asarray(line.sigma) ** 2))


def _lopsided(name: str, other: str, rms: float, doubt: float) -> Finding:
    return Finding(
        code="sides-differ",
        where=name,
        message=f"'{name}' and '{other}' differ by {rms:.1f} mm rms where measuring explains "
        f"{doubt:.1f} mm: the model is not the same on both sides.",
        remedy="The mean of both sides is used; trace the better side only to build that one.",
    )


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
