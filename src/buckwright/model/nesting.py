"""How pieces lie on the sheets they are cut from: blanks on metal, boards on plywood."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from buckwright.geometry.nesting import free_rectangle, plates_used
from buckwright.geometry.nesting_pieces import Nested, Piece, Plate, PlateFill, clearance
from buckwright.model.fact import Fact, Points2
from buckwright.model.finding import Finding

__all__ = ["LaidPiece", "Layout", "Rectangle", "SheetLayout", "SheetTerms", "layout_of"]


class LaidPiece(Fact):
    """One piece where it lies on its sheet."""

    name: str
    turn: float
    """rad, counter-clockwise, from the way it is drawn by itself."""
    shift: tuple[float, float]
    """mm, after turning."""
    outline: Points2
    """Closed outline on the sheet; first point not repeated."""
    holes: tuple[Points2, ...] = ()


class Rectangle(Fact):
    """A rectangle on a sheet: lower left corner and size, mm."""

    at: tuple[float, float]
    size: tuple[float, float]


class SheetLayout(Fact):
    """One sheet or offcut and what is cut from it; the lower left corner is the origin."""

    name: str
    size: tuple[float, float]
    """mm along the grain (x), and across it."""
    offcut: bool
    """True when it lay in the rack."""
    pieces: tuple[LaidPiece, ...]
    density: float
    """Area of the pieces over that of the sheet."""
    remnant: Rectangle | None = None
    """The largest whole rectangle that is left, to go into the rack; None if too small."""
    mass: float = 0.0
    """kg of the whole sheet."""
    cost: float | None = None
    """In the shop's money; 0 for an offcut, None where no price is given."""


class Layout(Fact):
    """All sheets with what is cut from each, checked on the polygons themselves."""

    stock: str
    sheets: tuple[SheetLayout, ...]
    gap: float
    """mm asked between pieces: the width of the cut and what holds the sheet together."""
    margin: float
    """mm asked from the edge of a sheet."""
    gap_kept: float
    """mm, least distance between two pieces; 0 for a single one."""
    margin_kept: float
    """mm, least distance of a piece to the edge of its sheet."""
    overlap: float
    """mm^2 lying double: 0 in every layout that may be cut."""
    sheets_used: float
    """Sheets, the last one counted up to the end of its last piece."""
    sheets_bound: float
    """Area of all pieces over that of a new sheet: no layout can do with less."""
    density: float
    """Area of the pieces over that of the sheets used, the last one counted likewise."""
    mass: float = 0.0
    """kg of all sheets, offcuts included."""
    mass_cut: float = 0.0
    """kg of the pieces."""
    cost: float | None = None
    """Of the new sheets; None where no price is given."""
    left_over: tuple[str, ...] = ()
    """Pieces that no sheet holds."""
    findings: tuple[Finding, ...] = ()

    def sheet_of(self, piece: str) -> SheetLayout:
        """The sheet that a piece is cut from; KeyError if there is none."""
        for sheet in self.sheets:
            if any(laid.name == piece for laid in sheet.pieces):
                return sheet
        raise KeyError(piece)


@dataclass(frozen=True, slots=True)
class SheetTerms:
    """What all sheets of a layout have in common, and what one plate of each kind costs.

    `least_remnant`, mm, is the side below which what is left is not worth keeping;
    `mass_per_area` is in kg/mm^2. A cost is 0 for an offcut and None where no price is known.
    """

    stock: str
    gap: float
    margin: float
    mass_per_area: float = 0.0
    least_remnant: float = 150.0
    costs: tuple[float | None, ...] = ()


def layout_of(
    nested: Nested,
    pieces: Sequence[Piece],
    plates: Sequence[Plate],
    names: Sequence[str],
    terms: SheetTerms,
    *,
    findings: tuple[Finding, ...] = (),
) -> Layout:
    """The layout as a fact, checked on the polygons; kinds of plate in stated number are offcuts.

    Raises ValueError if pieces lie double or over an edge: such a layout must not be cut.
    """
    sheets = tuple(
        _sheet(number, fill, pieces, plates, names, terms)
        for number, fill in enumerate(nested.fills, 1)
    )
    kept = [clearance(fill.placed, pieces, plates[fill.plate].size) for fill in nested.fills]
    overlap = sum(k.overlap for k in kept)
    if overlap > 0.0 or any(k.margin < 0.0 for k in kept):
        message = f"pieces lie double on {overlap:.1f} mm^2 or over the edge of a sheet"
        raise ValueError(message)
    gaps = [k.gap for k in kept if np.isfinite(k.gap)]
    laid = sum(s.density * s.size[0] * s.size[1] for s in sheets)
    whole = sum(s.size[0] * s.size[1] for s in sheets)
    unused = len(sheets) - plates_used(nested, pieces, plates)
    last = sheets[-1].size[0] * sheets[-1].size[1] if sheets else 0.0
    areas = sum(float(shapely.Polygon(p.outline, p.holes).area) for p in pieces)
    costs = [s.cost for s in sheets]
    return Layout(
        stock=terms.stock,
        sheets=sheets,
        gap=terms.gap,
        margin=terms.margin,
        gap_kept=min(gaps, default=0.0),
        margin_kept=min((k.margin for k in kept), default=0.0),
        overlap=overlap,
        sheets_used=len(sheets) - unused,
        sheets_bound=areas / max(p.size[0] * p.size[1] for p in plates),
        density=laid / (whole - unused * last) if sheets else 0.0,
        mass=sum(s.mass for s in sheets),
        mass_cut=laid * terms.mass_per_area,
        cost=None if None in costs else sum(c for c in costs if c is not None),
        left_over=tuple(names[piece] for piece in nested.left_over),
        findings=findings,
    )


def _sheet(
    number: int,
    fill: PlateFill,
    pieces: Sequence[Piece],
    plates: Sequence[Plate],
    names: Sequence[str],
    terms: SheetTerms,
) -> SheetLayout:
    plate = plates[fill.plate]
    area = plate.size[0] * plate.size[1]
    laid = tuple(
        LaidPiece(
            name=names[p.piece],
            turn=p.turn,
            shift=p.shift,
            outline=p.outline(pieces),
            holes=p.holes(pieces),
        )
        for p in fill.placed
    )
    offcut = plate.count is not None
    return SheetLayout(
        name=f"{'offcut' if offcut else 'sheet'} {number}",
        size=plate.size,
        offcut=offcut,
        pieces=laid,
        density=sum(float(shapely.Polygon(p.outline, p.holes).area) for p in laid) / area,
        remnant=_remnant(laid, plate.size, terms),
        mass=area * terms.mass_per_area,
        cost=terms.costs[fill.plate] if terms.costs else None,
    )


def _remnant(
    laid: Sequence[LaidPiece], size: tuple[float, float], terms: SheetTerms
) -> Rectangle | None:
    left, low, right, high = free_rectangle([p.outline for p in laid], size, gap=terms.gap)
    if min(right - left, high - low) < terms.least_remnant:
        return None
    return Rectangle(at=(left, low), size=(right - left, high - low))
