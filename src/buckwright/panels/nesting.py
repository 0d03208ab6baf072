"""Laying the blanks on sheets: offcuts in the rack first, then new sheets; what is left over."""

from collections import Counter
from collections.abc import Callable, Sequence

import numpy as np

from buckwright.geometry.nesting import nest_pieces
from buckwright.geometry.nesting_pieces import Nested, Piece, Plate
from buckwright.geometry.nesting_press import press_pieces
from buckwright.model.finding import Finding
from buckwright.model.nesting import Layout, SheetTerms, layout_of
from buckwright.model.panels import Blank, Offcut, SheetStock
from buckwright.tables.alloys import find_alloy

__all__ = ["nest_blanks", "offcuts_after", "press_blanks"]

Progress = Callable[[float], None]


def nest_blanks(
    blanks: Sequence[Blank], sheet: SheetStock, offcuts: Sequence[Offcut] = ()
) -> Layout:
    """The blanks on offcuts of the same metal and on as few new sheets as can be found.

    A blank keeps the rolling direction along its x (turned end for end at most) where its grain
    was asked for, and takes quarter turns where any grain will do. Offcuts are used smallest
    first. The same blanks give the same layout; a blank that no sheet holds is named in
    `left_over` and in a finding. Cost: below a second for 40 blanks.
    """
    return _laid(
        blanks, sheet, offcuts, lambda p, k: nest_pieces(p, k, gap=sheet.gap, margin=sheet.margin)
    )


def press_blanks(
    blanks: Sequence[Blank],
    sheet: SheetStock,
    offcuts: Sequence[Offcut] = (),
    *,
    rounds: int = 3,
    workers: int = 2,
    progress: Progress = lambda share: None,
) -> Layout:
    """As `nest_blanks`, denser: `rounds` seconds for each sheet on `workers` cores.

    `progress` is called with the share of the metal that is laid and may raise to stop. The
    search ends by the clock: a slower machine may give another layout.
    """
    return _laid(
        blanks,
        sheet,
        offcuts,
        lambda p, k: press_pieces(
            p,
            k,
            gap=sheet.gap,
            margin=sheet.margin,
            rounds=rounds,
            workers=workers,
            progress=progress,
        ),
    )


def offcuts_after(
    offcuts: Sequence[Offcut], layout: Layout, sheet: SheetStock
) -> tuple[Offcut, ...]:
    """The rack once the layout is cut: offcuts used are gone, what is left of sheets is added."""
    used = Counter(piece.size for piece in layout.sheets if piece.offcut)
    rack = []
    for offcut in offcuts:
        gone = min(offcut.count, used[offcut.size]) if _same_metal(offcut, sheet) else 0
        used[offcut.size] -= gone
        if gone == 0:
            rack.append(offcut)
        elif offcut.count > gone:
            rack.append(offcut.model_copy(update={"count": offcut.count - gone}))
    left = Counter(s.remnant.size for s in layout.sheets if s.remnant is not None)
    rack += [
        Offcut(alloy=sheet.alloy, thickness=sheet.thickness, size=size, count=count)
        for size, count in left.items()
    ]
    return tuple(rack)


def _laid(
    blanks: Sequence[Blank],
    sheet: SheetStock,
    offcuts: Sequence[Offcut],
    nest: Callable[[Sequence[Piece], Sequence[Plate]], Nested],
) -> Layout:
    pieces = [Piece(blank.outline, _turns(blank)) for blank in blanks]
    plates, costs = _plates(sheet, offcuts)
    names = [blank.panel for blank in blanks]
    nested = nest(pieces, plates)
    alloy = find_alloy(sheet.alloy)
    terms = SheetTerms(
        stock=f"{sheet.alloy}, {sheet.thickness:g} mm",
        gap=sheet.gap,
        margin=sheet.margin,
        mass_per_area=sheet.thickness * alloy.density if alloy else 0.0,
        least_remnant=sheet.least_remnant,
        costs=costs,
    )
    findings = tuple(_too_large(names[piece], sheet) for piece in nested.left_over)
    return layout_of(nested, pieces, plates, names, terms, findings=findings)


def _turns(blank: Blank) -> tuple[float, ...]:
    half = (0.0, np.pi)
    return (*half, 0.5 * np.pi, 1.5 * np.pi) if blank.grain == "any" else half


def _plates(
    sheet: SheetStock, offcuts: Sequence[Offcut]
) -> tuple[tuple[Plate, ...], tuple[float | None, ...]]:
    """Offcuts of that metal, smallest first, then new sheets; and what each costs."""
    rack = sorted(
        (offcut for offcut in offcuts if _same_metal(offcut, sheet) and offcut.count > 0),
        key=lambda offcut: offcut.size[0] * offcut.size[1],
    )
    sizes = [(max(size), min(size)) for size in (sheet.size, *sheet.other_sizes)]
    costs = [_price(sheet, size) for size in sizes]
    new = [
        Plate(size, worth=size[0] * size[1] if cost is None else cost)
        for size, cost in zip(sizes, costs, strict=True)
    ]
    old = [Plate(offcut.size, count=offcut.count) for offcut in rack]
    return (*old, *new), (*(0.0 for _ in old), *costs)


def _price(sheet: SheetStock, size: tuple[float, float]) -> float | None:
    """Of one new sheet: by weight if a price by weight is known, else in step with its area."""
    area = size[0] * size[1]
    alloy = find_alloy(sheet.alloy)
    if sheet.price_per_kg is not None and alloy is not None:
        return sheet.price_per_kg * area * sheet.thickness * alloy.density
    if sheet.price is not None:
        return sheet.price * area / (sheet.size[0] * sheet.size[1])
    return None


def _same_metal(offcut: Offcut, sheet: SheetStock) -> bool:
    first, second = find_alloy(offcut.alloy), find_alloy(sheet.alloy)
    same = offcut.alloy == sheet.alloy if first is None or second is None else first == second
    return same and abs(offcut.thickness - sheet.thickness) < 0.02


def _too_large(name: str, sheet: SheetStock) -> Finding:
    long, short = max(sheet.size), min(sheet.size)
    return Finding(
        code="no-sheet-holds-it",
        where=name,
        message=f"No offcut and no sheet of {long:.0f} x {short:.0f} mm holds this blank with "
        f"{sheet.margin:g} mm to the edge.",
        remedy="Buy a larger sheet, let its grain run any way, or divide the panel by a seam.",
    )
