"""Frame, panels, sheets and gauges in figures, and what they ask of the shop."""

from collections.abc import Iterable

from buckwright.model.buck import Buck
from buckwright.model.frame import Lift, WayOut
from buckwright.model.gauges import Gauges
from buckwright.model.job import Job
from buckwright.model.nesting import Layout
from buckwright.model.panels import Blank, Panels
from buckwright.units import format_both

__all__ = ["frame_rows", "gauge_words", "panel_rows"]

Row = tuple[str, str]

_SAID = {
    "will not take it": "The sheet will not take",
    "with care": "The sheet takes with care",
    "takes it": "The sheet takes",
}
"""Of each verdict, worst first."""
_SEAM = "with one seam more"
"""Words that begin what another seam would do."""


def frame_rows(buck: Buck) -> list[Row]:
    """How it stands clear, comes out, and is lifted."""
    clear = f"{buck.frame_clearance:.0f} mm clear of the skin"
    rows = [("Frame", f"{_count(len(buck.members), 'member')}, {clear}")]
    frame = buck.frame
    if frame is None:
        return rows
    if frame.way_out is not None:
        rows.append(("The frame comes out", _way_words(frame.way_out)))
    if frame.lifts:
        rows.append(("Lifting", "; ".join(_lift_words(lift) for lift in frame.lifts)))
    return rows


def _way_words(way: WayOut) -> str:
    if way.free:
        first = (
            f"once {_count(len(way.wires_to_cut), 'wire')} are cut, " if way.wires_to_cut else ""
        )
        return f"{first}{way.way}; {way.least_gap:.0f} mm from the metal at the closest"
    pieces = "; ".join(f"{piece}: {how}" for piece, how in way.pieces)
    return "not in one piece" + (f"; bolted apart, {pieces}" if pieces else "")


def _lift_words(lift: Lift) -> str:
    who = _count(lift.people, "person", "people") if lift.people else "only with a hoist"
    return f"{lift.what}, {lift.mass:.0f} kg: {who}"


def panel_rows(panels: Panels, job: Job) -> list[Row]:
    """The blanks, what the sheet takes of them and why, and the sheets to cut."""
    mass = sum(blank.mass for blank in panels.blanks)
    metal = f" of {job.sheet.alloy}, {job.sheet.thickness:g} mm" if job.sheet else ""
    rows = [("Panels", f"{_count(len(panels.blanks), 'blank')}{metal}, {mass:.2f} kg")]
    for step, said in _SAID.items():
        some = [blank for blank in panels.blanks if blank.verdict.step == step]
        if some:
            rows.append((said, _verdict_words(some)))
    if panels.layout is not None and panels.layout.sheets:
        rows.append(("Sheets to cut", _layout_words(panels.layout)))
    return rows


def _verdict_words(blanks: list[Blank]) -> str:
    """Which panels, why, and what would help, from the hardest-worked of them."""
    worst = max(blanks, key=lambda blank: (blank.verdict.asked, blank.panel))
    names = _both_hands(blank.panel for blank in blanks)
    words = f"{names}. {worst.verdict.reason}" if worst.verdict.reason else f"{names}."
    if worst.verdict.step == "takes it":
        return words
    seams = [o.words for o in worst.verdict.others if o.words.startswith(_SEAM)]
    return words + (f" Or {seams[0]}." if seams else "")


def _both_hands(names: Iterable[str]) -> str:
    """'a left', 'a right' and 'b left' as 'a (left and right), b left'."""
    given = list(names)
    told = []
    for name in given:
        base, _, hand = name.rpartition(" ")
        other = {"left": f"{base} right", "right": f"{base} left"}.get(hand)
        if other in given and hand == "right":
            continue
        told.append(f"{base} (left and right)" if other in given else name)
    return ", ".join(told)


def _layout_words(layout: Layout) -> str:
    new = [sheet for sheet in layout.sheets if not sheet.offcut]
    offcuts = len(layout.sheets) - len(new)
    told = [_count(len(new), "new sheet")] if new else []
    told += [_count(offcuts, "offcut")] if offcuts else []
    sizes = list(dict.fromkeys(_size(sheet.size) for sheet in layout.sheets))
    words = f"{' and '.join(told)} of {layout.stock}, {' and '.join(sizes)}"
    words += f"; {100.0 * layout.density:.0f} % of the length cut into becomes blanks"
    words += f"; {layout.mass_cut:.1f} of {layout.mass:.1f} kg"
    if layout.cost is not None:
        words += f"; cost {layout.cost:.2f} in the shop's money"
    if layout.left_over:
        words += f". NO SHEET HOLDS {', '.join(layout.left_over)}"
    return words


def _size(size: tuple[float, float]) -> str:
    return f"{size[0]:.0f} x {size[1]:.0f} mm"


def gauge_words(gauges: Gauges) -> str:
    """Cards, what is proven between them, stands and sweeps."""
    told = [_count(len(gauges.gauges), "card")]
    told += [
        f"between those chosen over the {one.region} a batten is true within {one.error:.2f} mm "
        f"({one.tolerance:g} mm asked for)"
        for one in gauges.sets
    ]
    if gauges.stands:
        told.append(f"{_count(len(gauges.stands), 'stand')} that slot together")
    told += [
        f"{_count(len(one.sweeps), 'sweep')} touch all of the {one.region} within {one.gap:.2f} mm "
        f"over {format_both(one.chord)}"
        for one in gauges.sweeps
        if one.side != "right"
    ]
    return "; ".join(told)


def _count(number: int, noun: str, many: str = "") -> str:
    return f"{number} {noun if number == 1 else many or noun + 's'}"
