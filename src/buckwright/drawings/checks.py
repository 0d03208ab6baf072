"""Check sheets: the outline of what was surveyed, with its high and low spots."""

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import BIG, FIGURE, NAME, cross, ring, short_name, words
from buckwright.drawings.cautions import cautions_for
from buckwright.drawings.listing import lines_below
from buckwright.drawings.viewing import compass, seen_from, view_from
from buckwright.geometry.lettering import lettering_width
from buckwright.geometry.plane import Plane, project
from buckwright.model.checking import CheckResult, Spot
from buckwright.model.drawings import Ink, Label, Sheet, Stroke
from buckwright.model.job import Job
from buckwright.model.skin import LineTrack, Skin, SkinRegion

__all__ = ["check_sheets"]

Array = NDArray[np.float64]


def check_sheets(job: Job, skin: Skin, checks: tuple[CheckResult, ...]) -> tuple[Sheet, ...]:
    """One sheet for each survey, seen from outside."""
    sheets: list[Sheet] = []
    sides = {survey.name: survey.side for survey in job.surveys}
    for check in checks:
        name = short_name(f"check-{check.survey}", (sheet.name for sheet in sheets))
        region = skin.region(check.region, sides.get(check.survey))
        sheets.append(_sheet(job, region, check, name))
    return tuple(sheets)


def _sheet(job: Job, region: SkinRegion, check: CheckResult, name: str) -> Sheet:
    plane = view_from(region.vertices, _outward(region))
    tracks = [
        *(_track(region, plane, track, "outline") for track in region.boundary),
        *(_track(region, plane, track, "outline") for track in region.holes),
        *(_track(region, plane, track, "thin") for track in region.inner),
    ]
    low = np.vstack([stroke.points for stroke in tracks]).min(axis=0)
    points, _ = project(check.seated, plane)
    dots = [
        stroke
        for point, distance in zip(points, check.distance, strict=True)
        if abs(distance) > check.tolerance
        for stroke in cross(point, 3.0, "stretch" if distance > 0.0 else "shrink")
    ]
    spots, spot_labels = _spots(check.spots, plane)
    lines = [
        (f"Check of {check.survey}", BIG),
        (f"{len(check.spots)} spots beyond {check.tolerance:g} mm; "
         f"the rest lies within {check.rms:.2f} mm rms", NAME),
        *((f"{_letter(i)}: {_height(s)}, {s.area / 100.0:.0f} cm2. {s.words}", FIGURE)
          for i, s in enumerate(check.spots)),
    ]  # fmt: skip
    block = lines_below((float(low[0]), float(low[1]) - 30.0), lines)
    room = max(float(label.corners()[:, 0].max()) for label in block)
    arrows, arrow_words = compass((room + 110.0, float(low[1]) - 130.0), plane.axes)
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: check of {check.survey}",
        strokes=(*tracks, *dots, *spots, *arrows),
        labels=(*spot_labels, *block, *arrow_words),
        notes=(
            f"Seen from {seen_from(plane.axes)}. Positive stands out of the skin (high), "
            "negative lies under it (low). Heights are known to about "
            f"{check.seating_sigma:.2f} mm.",
            *(f"{f.message} {f.remedy}" for f in check.findings),
            *cautions_for("check"),
        ),
        kind="check",
    )


def _outward(region: SkinRegion) -> Array:
    """Mean outward direction of the region, weighed by area."""
    corners = region.corners()
    cross_products = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return np.asarray(cross_products.sum(axis=0))


def _track(region: SkinRegion, plane: Plane, track: LineTrack, ink: Ink) -> Stroke:
    flat, _ = project(region.vertices[track.vertices], plane)
    return Stroke(ink=ink, points=flat, closed=track.closed, name=track.line)


def _spots(found: tuple[Spot, ...], plane: Plane) -> tuple[list[Stroke], list[Label]]:
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for index, spot in enumerate(found):
        (at,), _ = project(spot.centre[None], plane)
        radius = max(float(np.sqrt(spot.area / np.pi)), 12.0)
        ink: Ink = "stretch" if spot.kind == "high" else "shrink"
        strokes.append(ring(ink, at, radius, f"spot {_letter(index)}"))
        text = f"{_letter(index)} {_height(spot)}"
        width = lettering_width(text, NAME)
        labels.append(words((at[0] - 0.5 * width, at[1] + radius + 0.6 * NAME), text, NAME))
    return strokes, labels


def _letter(index: int) -> str:
    return chr(ord("A") + index % 26) + ("" if index < 26 else str(index // 26))


def _height(spot: Spot) -> str:
    return f"{spot.height:+.1f} mm"
