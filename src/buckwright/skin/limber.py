"""How limber a skin the lines are drawn into, and along which grain: as they say themselves.

The stiffer the skin, the more of the lines' errors it irons out, and the more of their shape. What
it gains and loses together is, but for a constant,

    square of what it leaves beside the lines + 2 * (how much of their errors it follows),

which Mallows' criterion reckons without knowing the true shape: the error of a faired line is
known in size, and how far along it it is alike. The least of it is looked for on a coarse sheet,
for several strengths of the grain. Lines in no doubt stay hard; of them the grain alone is asked.
References: Mallows, 'Some comments on Cp', Technometrics 15 (1973),
doi:10.1080/00401706.1973.10489103; with errors that are alike: Stein, 'Estimation of the mean of a
multivariate normal distribution', Ann. Statist. 9 (1981), doi:10.1214/aos/1176345632.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.fairness import FairSurface, Hold
from buckwright.geometry.mesh import vertex_normals
from buckwright.skin.frame import LineDoubt, RegionFrame, wave_stiffness
from buckwright.skin.grain import skin_grain
from buckwright.skin.sheet import Sheet

__all__ = ["limber_sheet"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

GRAINS = (1.4, 2.0, 2.8, 4.0)
"""For how many times as much lengths across the grain may count: what is tried."""
FIRST, SHORTEST = 8.0, 2.5
"""Steps of a sheet: the first and the shortest wave along a line that are tried."""
LONGEST = 25.0
"""Times the shortest."""
LONGER = 1.26
"""From each wave that is tried to the next."""
ENOUGH = 20
"""Places at which lines err by themselves that can tell grains apart; with fewer it stays as it
is."""
LEAST = 0.05
"""mm: the doubt of a line in none, as far as the grain is asked."""
PLACES, MOST_PLACES = 7.0, 16
"""Along a line at which it errs by itself where it does not say, and at most."""


def limber_sheet(sheet: Sheet, step: float) -> Sheet:
    """The sheet with the stiffness of its lines and the grain that they ask for.

    `step` is the sheet's edge length, mm. Cost of some fifteen factorisations of the sheet.
    """
    errors = _errors(sheet.frame)
    grains = GRAINS if sum(error.places for error in errors) >= ENOUGH else (sheet.grain,)
    drawing = [error for error in errors if error.line in sheet.stiffness]
    if not drawing and len(grains) < 2:
        return sheet
    shortest = SHORTEST * step
    found = [(FIRST * step, np.inf)]
    for grain in grains:
        found.append(_Trial(sheet, errors, grain).least(found[-1][0], shortest))
    best = int(np.argmin([price for _, price in found]))
    wave, typical, most = found[best][0], _typical(errors), wave_stiffness(shortest)
    drawn = {e.line: min(most, wave_stiffness(wave) * typical / e.density) for e in drawing}
    return replace(sheet, stiffness={**sheet.stiffness, **drawn}, grain=grains[best - 1])


@dataclass(frozen=True, eq=False, slots=True)
class _Error:
    """What is known of one line's error on the region, at its vertices inside."""

    line: str
    vertices: Index
    lengths: Array
    """mm of the line that each stands for."""
    doubt: float
    places: int
    """At which it errs by itself."""

    @property
    def density(self) -> float:
        """mm^3: square of the doubt times the length over which it is alike."""
        return self.doubt**2 * float(self.lengths.sum()) / self.places

    def ways(self) -> Array:
        """(v, places) in which it may be off, each as likely as the others; squares add up."""
        along = (np.cumsum(self.lengths) - 0.5 * self.lengths) / self.lengths.sum()
        waves = np.cos(np.pi * along[:, None] * np.arange(self.places))
        size = np.where(np.arange(self.places) > 0, np.sqrt(2.0), 1.0)
        return np.asarray(waves * size * self.doubt / np.sqrt(self.places))


def _errors(frame: RegionFrame) -> list[_Error]:
    """Of the lines that could draw the skin, in doubt or not."""
    chains: dict[str, list[Index]] = {}
    for line, number in frame.arcs():
        if not frame.keeps(line, number, frame.doubts):
            chain = frame.local(frame.samples.arcs[line][number].vertices)
            chains.setdefault(line, []).append(chain)
    return [_error(frame, line, parts, frame.doubts[line]) for line, parts in chains.items()]


def _error(frame: RegionFrame, line: str, parts: Sequence[Index], doubt: LineDoubt) -> _Error:
    halves = [0.5 * np.linalg.norm(np.diff(frame.points[part], axis=0), axis=1) for part in parts]
    lengths = np.concatenate([np.append(half, 0.0) + np.append(0.0, half) for half in halves])
    places = float(lengths.sum()) / doubt.alike if doubt.alike > 0.0 else PLACES
    count = int(np.clip(round(places), 1, min(MOST_PLACES, len(lengths))))
    return _Error(line, np.concatenate(parts), lengths, max(doubt.line, LEAST), count)


def _typical(errors: Sequence[_Error]) -> float:
    return float(np.median([error.density for error in errors]))


class _Trial:
    """A sheet with one grain, drawn by its lines more or less limberly."""

    def __init__(self, sheet: Sheet, errors: Sequence[_Error], most: float) -> None:
        opened = sheet.opened()
        seats = opened.seats
        grain = skin_grain(sheet.chart[seats], opened.triangles, sheet.vertices[seats], most=most)
        self.surface = FairSurface(sheet.chart, sheet.triangles, sheet.vertices, grain, opened)
        firm = {error.line: _typical(errors) / error.density for error in errors}
        self.hold = sheet.frame.hold(firm)
        self.normals = vertex_normals(sheet.vertices, sheet.triangles)[self.hold.drawn]
        self.ways = self._ways(errors, firm, len(sheet.chart))
        none = np.zeros((len(self.hold.fixed), self.ways.shape[1]))
        self.fixed_at = np.hstack([self.hold.fixed_at, none])
        self.drawn_to = np.hstack([self.hold.drawn_to, self.ways])

    def _ways(self, errors: Sequence[_Error], firm: dict[str, float], count: int) -> Array:
        """(d, w) ways in which the drawn vertices may be off: where lines cross, their mean."""
        ways = np.zeros((count, sum(error.places for error in errors)))
        first = 0
        for error in errors:
            share = (firm[error.line] * error.lengths)[:, None]
            np.add.at(ways[:, first : first + error.places], error.vertices, share * error.ways())
            first += error.places
        return np.asarray(ways[self.hold.drawn] / self.hold.stiffness[:, None])

    def price(self, wave: float) -> float:
        """What Mallows asks for where waves shorter than so many mm are smoothed."""
        hold = self.hold
        firm = wave_stiffness(wave) * hold.stiffness
        held = Hold(hold.fixed, self.fixed_at, hold.drawn, self.drawn_to, firm)
        found = self.surface.vertices(held)[hold.drawn]
        off = np.einsum("ij,ij->i", found[:, :3] - hold.drawn_to, self.normals)
        follows = np.einsum("ij,ij->i", found[:, 3:], self.ways)
        return float(hold.stiffness @ (off**2 + 2.0 * follows))

    def least(self, start: float, shortest: float) -> tuple[float, float]:
        """The wave, mm, of the least price, and that price; looked for from a first guess."""
        known: dict[int, float] = {}

        def price(k: int) -> float:
            if k not in known:
                known[k] = self.price(start * LONGER**k)
            return known[k]

        k, last = 0, int(np.floor(np.log(LONGEST * shortest / start) / np.log(LONGER)))
        first = int(np.ceil(np.log(shortest / start) / np.log(LONGER)))
        while k < last and price(k + 1) < price(k):
            k += 1
        while k > first and price(k - 1) < price(k):
            k -= 1
        if not first < k < last:
            return start * LONGER**k, price(k)
        lean, bow = (
            0.5 * (price(k + 1) - price(k - 1)),
            price(k + 1) - 2.0 * price(k) + price(k - 1),
        )
        return start * LONGER ** (k - lean / bow), price(k) - 0.5 * lean**2 / bow
