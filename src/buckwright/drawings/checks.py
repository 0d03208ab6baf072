"""Check sheets: the outline of what was surveyed, with its high and low spots."""

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import BIG, FIGURE, NAME, cross, ring, short_name, words
from buckwright.drawings.cautions import cautions_for
from buckwright.drawings.listing import lines_below
from buckwright.drawings.viewing import chart_compass
from buckwright.geometry.lettering import lettering_width
from buckwright.geometry.mesh import MeshLocator
from buckwright.model.checking import CheckResult, Spot
from buckwright.model.drawings import Ink, Label, Sheet, Stroke
from buckwright.model.job import Job
from buckwright.model.skin import LineTrack, Skin, SkinRegion

__all__ = ["check_sheets"]

Array = NDArray[np.float64]


def check_sheets(job: Job, skin: Skin, checks: tuple[CheckResult, ...]) -> tuple[Sheet, ...]:
    """One sheet for each survey: the region laid flat, seen from outside."""
    sheets: list[Sheet] = []
    sides = {survey.name: survey.side for survey in job.surveys}
    for check in checks:
        name = short_name(f"check-{check.survey}", (sheet.name for sheet in sheets))
        region = skin.region(check.region, sides.get(check.survey))
        sheets.append(_sheet(job, region, check, name))
    return tuple(sheets)


def _sheet(job: Job, region: SkinRegion, check: CheckResult, name: str) -> Sheet:
    tracks = [
        *(_track(region, track, "outline") for track in (*region.boundary, *region.holes)),
        *(_track(region, track, "thin") for track in region.inner),
    ]
    low, high = (getattr(region.chart, end)(axis=0) for end in ("min", "max"))
    locator = MeshLocator(region.vertices, region.triangles)
    off = np.abs(check.distance) > check.tolerance
    dots = [
        stroke
        for point, distance in zip(
            _on_chart(region, locator, check.seated[off]), check.distance[off], strict=True
        )
        for stroke in cross(point, 3.0, "stretch" if distance > 0.0 else "shrink")
    ]
    spots, spot_labels = _spots(check.spots, region, locator)
    lines = [
        (f"Check of {check.survey}", BIG),
        (f"{len(check.spots)} spots beyond {check.tolerance:g} mm; "
         f"the rest lies within {check.rms:.2f} mm rms", NAME),
        *((f"{_letter(i)}: {_height(s)}, {s.area / 100.0:.0f} cm2. {s.words}", FIGURE)
          for i, s in enumerate(check.spots)),
    ]  # fmt: skip
    wide = max(float(high[0] - low[0]), 420.0)
    block = lines_below((float(low[0]), float(low[1]) - 30.0), lines, width=wide)
    bottom = min(label.at[1] for label in block) - 110.0
    arrows, arrow_words = chart_compass((float(low[0]) + 130.0, bottom), region)
    return Sheet(
        name=name,
        title=f"{job.name}, revision {job.revision}: check of {check.survey}",
        strokes=(*tracks, *dots, *spots, *arrows),
        labels=(*spot_labels, *block, *arrow_words),
        notes=(
            "The skin laid flat, seen from outside: lengths on it are near the true ones, not "
            "exact. Find a spot by the lines. Positive stands out of the skin (high), negative "
            f"lies under it (low). Heights above the skin are known to about "
            f"{check.seating_sigma:.2f} mm; give or take tells how far they may be off as heights "
            "above the shape that was meant, 95 in 100, for the skin is in doubt as well.",
            *(f"{f.message} {f.remedy}" for f in check.findings),
            *cautions_for("check"),
        ),
        kind="check",
    )


def _on_chart(region: SkinRegion, locator: MeshLocator, points: Array) -> Array:
    """(n, 2) places on the flat picture of the points (n, 3) nearest on the skin."""
    if not len(points):
        return np.zeros((0, 2))
    _, _, triangle, weights = locator.closest(points)
    return np.asarray(np.einsum("nk,nkd->nd", weights, region.chart[region.triangles[triangle]]))


def _track(region: SkinRegion, track: LineTrack, ink: Ink) -> Stroke:
    points = region.chart[track.vertices]
    return Stroke(ink=ink, points=points, closed=track.closed, name=track.line)


def _spots(
    found: tuple[Spot, ...], region: SkinRegion, locator: MeshLocator
) -> tuple[list[Stroke], list[Label]]:
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for index, spot in enumerate(found):
        (at,) = _on_chart(region, locator, spot.centre[None])
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


def _sure(spot: Spot) -> str:
    """The height with its doubt, where that is known."""
    told = _height(spot)
    return f"{told} give or take {spot.doubt:.1f}" if spot.doubt > 0.0 else told
