"""Lines moved within their tolerance, all of a region together, so that the skin is fairer.

What is wrong with a line by itself shows when the others are asked: a surface is laid through
all lines at once, boundaries too, drawn by each and held by none, and every line is moved onto
it. How limber the surface is, the lines decide themselves: pieces of them are left out and
foretold from the rest, and the stiffness that foretells best is taken; if that is the least of
all, the lines stay as they are. No line moves more than its tolerance. What mirrored each other
before does so after. Lines that were moved have little doubt left that the skin could iron out.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from buckwright.geometry.fairness import FairSurface, Hold
from buckwright.geometry.mesh import vertex_normals
from buckwright.geometry.polyline import arc_lengths, polyline_length
from buckwright.geometry.spline import basis_matrix
from buckwright.model.fields import Softening
from buckwright.model.finding import Finding
from buckwright.model.lines import Crossing, Line, LineNetwork
from buckwright.model.skin import RegionSpec
from buckwright.skin.frame import RegionFrame, wave_stiffness
from buckwright.skin.grain import skin_grain
from buckwright.skin.layout import lay_out_lines
from buckwright.skin.moved_lines import LEFT
from buckwright.skin.region_lines import gather_lines
from buckwright.skin.sampling import Run, sample_network
from buckwright.skin.sheet import Sheet, first_sheet

__all__ = ["Softened", "soften_lines", "soften_regions"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

AROUND = 120
"""Samples round a region's boundary."""
WAVES = (0.2, 0.3, 0.42, 0.6, 0.85)
"""Of the region's size: waves along a line alone that are smoothed, tried from short to long."""

MIRROR = np.array([1.0, -1.0, 1.0])
ALIKE = 1e-6
"""mm by which control points of mirror images may differ."""
BLOCK = 0.35
"""Of the region's size: how far lines are left out to foretell them."""


@dataclass(frozen=True, eq=False, slots=True)
class Softened:
    """Lines after softening."""

    network: LineNetwork
    wave: float
    """mm, waves along a line shorter than this were smoothed where no other line kept them."""
    moved_most: float
    moved_rms: float
    """mm, of all points of the region's lines."""
    foretold: tuple[tuple[float, float], ...]
    """(wave, mm rms by which lines left out were missed) of everything that was tried."""


def soften_lines(
    network: LineNetwork,
    spec: RegionSpec,
    *,
    tolerance: float,
    wave: float | None = None,
    kept: frozenset[str] = frozenset(),
) -> Softened:
    """The network with the region's lines moved by at most `tolerance` mm each, square to it.

    `wave` mm says how long the waves are that are smoothed; None: lines left out piece by piece
    decide. Lines in `kept` draw the surface and stay where they are. Raises JobError where the
    lines bound nothing, ValueError for a tolerance that is not positive.
    """
    if not tolerance > 0.0:
        message = "the tolerance must be positive"
        raise ValueError(message)
    sheet, size = _hard_sheet(network, spec)
    fair = _fair(sheet)
    foretold: list[tuple[float, float]] = []
    if wave is None:
        waves, block = [share * size for share in WAVES], BLOCK * size
        foretold = [(one, _missed(sheet, fair, one, block)) for one in waves]
        wave = min(foretold, key=lambda pair: pair[1])[0]
    # Where the limberest surface foretells best, the lines need all the shape they have.
    still = bool(foretold) and wave == foretold[0][0]
    off = np.zeros((len(sheet.frame.used), 3)) if still else _moves(sheet, fair, wave, tolerance)
    for run in sheet.frame.lines.runs():
        if run.line in kept:
            off[sheet.frame.local(sheet.frame.samples.along(run))] = 0.0
    size_of = np.linalg.norm(off, axis=1)
    return Softened(
        _moved_network(network, sheet, off),
        wave,
        float(size_of.max()),
        float(np.sqrt(np.mean(size_of**2))),
        tuple(foretold),
    )


def soften_regions(
    network: LineNetwork, regions: Sequence[RegionSpec], softened: Sequence[Softening]
) -> tuple[LineNetwork, tuple[Finding, ...]]:
    """The network with the lines of those regions softened that ask for it, and notes of it.

    A line of several regions moves with the first of them and is kept by the others.
    """
    by_name = {spec.name: spec for spec in regions}
    kept: set[str] = set()
    notes = []
    for asked in softened:
        spec = by_name.get(asked.region)
        if spec is None:
            continue
        answer = soften_lines(network, spec, tolerance=asked.tolerance, kept=frozenset(kept))
        network = answer.network
        kept |= {*spec.boundary, *spec.inner, *spec.holes}
        notes.append(_note(spec.name, asked.tolerance, answer))
    return network, tuple(notes)


def _note(region: str, tolerance: float, answer: Softened) -> Finding:
    if answer.moved_most == 0.0:
        return Finding(
            code="softened-lines",
            where=region,
            message=f"No line of '{region}' was moved: as they are they foretell each other best.",
            remedy="Trace more lines where the shape is in doubt.",
            kind="note",
        )
    return Finding(
        code="softened-lines",
        where=region,
        message=f"The lines of '{region}' were moved together by up to {answer.moved_most:.2f} mm, "
        f"{answer.moved_rms:.2f} mm rms, within the {tolerance:g} mm that they may.",
        remedy="Set the tolerance to nothing where a line must stay as it was traced.",
        kind="note",
    )


def _hard_sheet(network: LineNetwork, spec: RegionSpec) -> tuple[Sheet, float]:
    """A coarse surface held by all lines, and the region's size: the root of its area."""
    rough = sample_network(network, (spec,), edge_length=25.0, step=100.0)
    around = polyline_length(rough.points[gather_lines(rough, spec)[0].loop(rough)], closed=True)
    step = around / AROUND
    samples = sample_network(network, (spec,), edge_length=min(25.0, step), step=step)
    lines, fields = gather_lines(samples, spec)
    frame = RegionFrame(samples, lines, frozenset(), {})
    numbers, layout = lay_out_lines(samples.points, fields)
    places = layout[np.searchsorted(numbers, frame.used)]
    return first_sheet(frame, places, {}, step), 0.25 * around


def _pull(frame: RegionFrame) -> Array:
    """(k,) mm of line that each vertex stands for."""
    pull = np.zeros(len(frame.used))
    for run in frame.lines.runs():
        for number in run.numbers:
            vertices = frame.local(frame.samples.arcs[run.line][number].vertices)
            half = 0.5 * np.linalg.norm(np.diff(frame.points[vertices], axis=0), axis=1)
            np.add.at(pull, vertices[:-1], half)
            np.add.at(pull, vertices[1:], half)
    return pull


def _fair(sheet: Sheet) -> FairSurface:
    """What the sheet costs to bend, however it is drawn."""
    grain = skin_grain(sheet.chart, sheet.triangles, sheet.vertices)
    return FairSurface(sheet.chart, sheet.triangles, sheet.vertices, grain)


def _drawn(sheet: Sheet, fair: FairSurface, pull: Array) -> Array:
    """The surface drawn by the lines with a stiffness (k,) at each of their vertices."""
    drawn = np.flatnonzero(pull > 0.0)
    none = np.zeros(0, dtype=np.int64)
    at = sheet.frame.points
    return fair.vertices(Hold(none, np.zeros((0, 3)), drawn, at[drawn], pull[drawn]))


def _normal_moves(sheet: Sheet, vertices: Array) -> Array:
    """(k,) how far the surface lies off the lines' vertices, along its normals."""
    count = len(sheet.frame.used)
    normals = vertex_normals(sheet.vertices, sheet.triangles)[:count]
    return np.asarray(np.einsum("ij,ij->i", vertices[:count] - sheet.frame.points, normals))


def _missed(sheet: Sheet, fair: FairSurface, wave: float, block: float) -> float:
    """Rms distance at which lines lie from surfaces that were laid without them.

    The lines are left out over blocks of the chart, every ninth at once, and foretold in the
    middle of each block: so far from what is known that errors alike over less are not
    foretold by themselves.
    """
    frame = sheet.frame
    count = len(frame.used)
    place = sheet.chart[:count] / block
    cell = np.floor(place).astype(np.int64)
    deep = (np.abs(place - cell - 0.5) < 0.25).all(axis=1)
    inner = np.ones(count, dtype=bool)
    inner[frame.loop] = False
    fold = 3 * (cell[:, 0] % 3) + cell[:, 1] % 3
    pull = wave_stiffness(wave) * _pull(frame)
    squares: list[float] = []
    for k in range(9):
        asked = (fold == k) & deep & inner
        if asked.any():
            kept = np.where(fold == k, 0.0, pull)
            squares += (_normal_moves(sheet, _drawn(sheet, fair, kept))[asked] ** 2).tolist()
    return float(np.sqrt(np.mean(squares))) if squares else 0.0


def _moves(sheet: Sheet, fair: FairSurface, wave: float, tolerance: float) -> Array:
    """(k, 3) moves of the lines' vertices, none longer than the tolerance.

    Where the surface would draw a line farther, it is held more firmly there.
    """
    pull = wave_stiffness(wave) * _pull(sheet.frame)
    firm = np.ones(len(pull))
    for _ in range(8):
        off = _normal_moves(sheet, _drawn(sheet, fair, pull * firm))
        excess = np.abs(off) / tolerance
        if excess.max() <= 1.0:
            break
        firm *= np.clip(excess, 1.0, 3.0) ** 2
    count = len(sheet.frame.used)
    normals = vertex_normals(sheet.vertices, sheet.triangles)[:count]
    return np.asarray(np.clip(off, -tolerance, tolerance)[:, None] * normals)


def _moved_network(network: LineNetwork, sheet: Sheet, off: Array) -> LineNetwork:
    runs: dict[str, list[Run]] = {}
    for run in sheet.frame.lines.runs():
        runs.setdefault(run.line, []).append(run)
    changes = {name: _change(network.line(name), sheet, own, off) for name, own in runs.items()}
    changes = _mirrored_alike(network, changes)
    lines = tuple(
        line.model_copy(
            update={
                "control": line.control + changes[line.name],
                "fair_sigma": LEFT * line.doubt,
            }
        )
        if line.name in changes and np.any(changes[line.name])
        else line
        for line in network.lines
    )
    by_name = {line.name: line for line in lines}
    crossings = tuple(_moved_crossing(c, by_name) for c in network.crossings)
    return network.model_copy(update={"lines": lines, "crossings": crossings})


def _mirrored_alike(network: LineNetwork, changes: dict[str, Array]) -> dict[str, Array]:
    """Changes of control points with those of their mirror images brought together."""
    found = dict(changes)
    for name, change in changes.items():
        mirrored = network.line(name).control * MIRROR
        for other, theirs in changes.items():
            control = network.line(other).control
            for way in (slice(None), slice(None, None, -1)):
                same = control.shape == mirrored.shape and np.allclose(
                    control[way], mirrored, atol=ALIKE
                )
                if same:
                    found[name] = 0.5 * (change + theirs[way] * MIRROR)
    return found


def _change(line: Line, sheet: Sheet, runs: Sequence[Run], off: Array) -> Array:
    """What the moves of a line's vertices make of its control points."""
    frame = sheet.frame
    arcs = [frame.samples.arcs[line.name][k] for run in runs for k in run.numbers]
    along = np.concatenate([arc.along for arc in arcs])
    moves = np.vstack([off[frame.local(arc.vertices)] for arc in arcs])
    at = np.linspace(0.0, 1.0, 6 * len(line.control) + 200, endpoint=not line.closed)
    points = np.asarray(line.curve()(at))
    lengths = arc_lengths(points, closed=line.closed)
    whole = float(lengths[-1])
    asked = lengths[: len(at)]
    if line.closed:
        along = np.mod(along, whole)
        along = np.concatenate([along - whole, along, along + whole])
        moves = np.vstack([moves, moves, moves])
    along, first = np.unique(np.round(along, 6), return_index=True)
    moved = PchipInterpolator(along, moves[first])(np.clip(asked, along[0], along[-1]))
    moved = _faded(moved, asked, along) if not line.closed else moved
    basis = basis_matrix(line.knots, line.degree, at, closed=line.closed)
    change = np.linalg.lstsq(basis, moved, rcond=None)[0]
    if line.closed:
        change = np.vstack([change, change[: line.degree]])
    return np.asarray(change)


def _faded(moved: Array, asked: Array, along: Array) -> Array:
    """Moves that end with no step where the line goes on beyond the region."""
    beyond = np.maximum(along[0] - asked, asked - along[-1]).clip(0.0)
    reach = 0.1 * (asked[-1] - asked[0])
    part = np.clip(beyond / reach, 0.0, 1.0)
    return np.asarray(moved * (1.0 - part**2 * (3.0 - 2.0 * part))[:, None])


def _moved_crossing(crossing: Crossing, lines: dict[str, Line]) -> Crossing:
    ends = [
        np.asarray(lines[name].curve()(at))
        for name, at in zip(crossing.lines, crossing.parameters, strict=True)
    ]
    gap = float(np.linalg.norm(ends[0] - ends[1]))
    return crossing.model_copy(update={"point": 0.5 * (ends[0] + ends[1]), "gap": gap})
