"""How well a skin keeps to its lines: distance to each, and where it breaks across one."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.mesh import MeshLocator
from buckwright.geometry.opened import breaks_along, opened_mesh
from buckwright.model.creases import CreaseTrack, LineBound
from buckwright.model.finding import PlacedFinding
from buckwright.model.skin import RegionSpec
from buckwright.skin.frame import RegionFrame
from buckwright.skin.refining import FineSheet
from buckwright.skin.sampling import Run
from buckwright.skin.sheet import Sheet

__all__ = ["Bounds", "broken_lines", "line_bounds", "refuse_stray_creases"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Arc = tuple[str, int]

KINK = 3.0
"""Degrees by which a skin that is to be smooth must break across a line to be told."""
BLUNT = 1.0
"""Degrees; a crease that breaks less everywhere is none."""


@dataclass(frozen=True, eq=False, slots=True)
class Bounds:
    """What is known of each line, each crease, and the rms distance of all lines, mm."""

    lines: tuple[LineBound, ...]
    creases: tuple[CreaseTrack, ...]
    rms: float


def refuse_stray_creases(spec: RegionSpec) -> None:
    """JobError for a crease along a line that does not lie on the region."""
    for crease in spec.creases:
        if crease.line not in spec.inner:
            raise JobError(
                f"'{crease.line}' is to be sharp in '{spec.name}', but is no line on it.",
                "Add it to the lines of the region, or take the crease off.",
            )


def line_bounds(fine: FineSheet, vertices: Array, triangles: Index, *, turned: bool) -> Bounds:
    """The bounds of every line of a sheet, against the mesh that it becomes (holes cut out).

    `turned` is True where the sheet's own triangles face inward.
    """
    frame = fine.sheet.frame
    locator = MeshLocator(vertices, triangles)
    # Chords between vertices lie farthest off at their middles.
    count = 5 if fine.parts == 1 else 2 * fine.parts
    runs = frame.lines.runs()
    off = [np.abs(locator.closest(frame.samples.between_samples(run, count))[0]) for run in runs]
    jumps = _jumps(fine.sheet, -1.0 if turned else 1.0)
    found = []
    for name in dict.fromkeys(run.line for run in runs):
        apart = np.concatenate([o for run, o in zip(runs, off, strict=True) if run.line == name])
        mine = {arc: jump for arc, jump in jumps.items() if arc[0] == name}
        sharp = {arc: jump for arc, jump in mine.items() if arc in frame.creases}
        smooth = {arc: jump for arc, jump in mine.items() if arc not in frame.creases}
        # Where part of a line is sharp its rest is not looked at: there the crease fades out.
        jump, place = _greatest(frame, sharp or smooth)
        found.append(
            LineBound(
                line=name,
                most=float(apart.max()),
                rms=float(np.sqrt(np.mean(apart**2))),
                jump=jump,
                place=place,
                crease=bool(sharp),
            )
        )
    whole = np.concatenate(off)
    return Bounds(tuple(found), _crease_tracks(fine, jumps), float(np.sqrt(np.mean(whole**2))))


def broken_lines(bounds: Sequence[LineBound], region: str) -> tuple[PlacedFinding, ...]:
    """Lines across which the skin breaks and should not, and creases that do not break."""
    found = []
    for bound in bounds:
        place = "x {:.0f}, y {:.0f}, z {:.0f}".format(*bound.place)
        if not bound.crease and abs(bound.jump) > KINK:
            found.append(
                PlacedFinding(
                    code="kink",
                    where=region,
                    message=f"The skin breaks by {abs(bound.jump):.1f} degrees across "
                    f"'{bound.line}' near {place}, where it is to be smooth.",
                    remedy="Mark the line as sharp if it is, or check it in the pictures.",
                    place=bound.place,
                )
            )
        if bound.crease and abs(bound.jump) < BLUNT:
            found.append(
                PlacedFinding(
                    code="blunt-crease",
                    where=region,
                    message=f"'{bound.line}' is marked as sharp, but the lines round it make "
                    f"no break: {abs(bound.jump):.1f} degrees at most.",
                    remedy="Take the crease off, or trace lines across it on both sides.",
                    place=bound.place,
                )
            )
    return tuple(found)


def _jumps(sheet: Sheet, sense: float) -> dict[Arc, Array]:
    """Degrees of break at each step of each arc inside the region; NaN where none is known."""
    frame = sheet.frame
    arcs = [(run.line, k) for run in (*frame.lines.inner, *frame.lines.holes) for k in run.numbers]
    if not arcs:
        return {}
    steps = [frame.pairs([arc]) for arc in arcs]
    opened = opened_mesh(sheet.triangles, len(sheet.vertices), np.vstack(steps))
    breaks = sense * np.degrees(breaks_along(sheet.vertices, opened, sheet.triangles))
    ends = np.cumsum([len(step) for step in steps])
    return dict(zip(arcs, np.split(breaks, ends[:-1]), strict=True))


def _greatest(
    frame: RegionFrame, jumps: dict[Arc, Array]
) -> tuple[float, tuple[float, float, float]]:
    """The greatest break, in degrees, and where it is."""
    best, place = 0.0, frame.points[0]
    for arc, values in jumps.items():
        if not np.isfinite(values).any():
            continue
        k = int(np.nanargmax(np.abs(values)))
        if abs(values[k]) >= abs(best):
            best = float(values[k])
            place = frame.points[frame.pairs([arc])[k]].mean(axis=0)
    return best, (float(place[0]), float(place[1]), float(place[2]))


def _crease_tracks(fine: FineSheet, jumps: dict[Arc, Array]) -> tuple[CreaseTrack, ...]:
    """The creases as tracks of the fine mesh, with the break at each vertex."""
    frame = fine.sheet.frame
    found = []
    for run in frame.lines.inner:
        for part in _sharp_parts(run, frame.creases):
            chain = fine.along(part)
            steps = np.concatenate([jumps[run.line, k] for k in part.numbers])
            places = (np.arange(len(steps)) + 0.5) * fine.parts
            known = np.isfinite(steps)
            angles = np.interp(np.arange(len(chain)), places[known], steps[known])
            found.append(
                CreaseTrack(line=run.line, vertices=chain, closed=part.closed, angles=angles)
            )
    return tuple(found)


def _sharp_parts(run: Run, creases: Sequence[Arc]) -> list[Run]:
    """The pieces of a run that are sharp."""
    parts: list[list[int]] = []
    for number in run.numbers:
        if (run.line, number) not in creases:
            continue
        if parts and parts[-1][-1] == number - 1:
            parts[-1].append(number)
        else:
            parts.append([number])
    return [
        Run(run.line, tuple(p), closed=run.closed and len(p) == len(run.numbers)) for p in parts
    ]
