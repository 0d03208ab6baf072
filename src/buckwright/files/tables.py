"""CSV tables for the shop: what to cut, the wires, offsets, blanks, tasks.

Lengths stand in millimetres and again in feet, inches and sixteenths. Comma between cells, point
in numbers, UTF-8, lines end as RFC 4180 asks.
"""

import csv
from collections.abc import Iterable, Sequence
from io import StringIO

import numpy as np
import shapely
from numpy.typing import NDArray

from buckwright.model.buck import Buck, CuttingPlan
from buckwright.model.lines import Departure, Dimension, Line, LineNetwork
from buckwright.model.panels import Panels, SheetStock
from buckwright.model.plan import Plan
from buckwright.units import format_length

__all__ = [
    "bays_csv",
    "blanks_csv",
    "changes_csv",
    "cut_list_csv",
    "dimensions_csv",
    "offsets_csv",
    "tasks_csv",
    "wires_csv",
]

Array = NDArray[np.float64]

Cell = str | float | int

STATION = 100.0
FINE = 2000


def cut_list_csv(buck: Buck) -> str:
    """Every piece in the order of cutting: the bar it comes from, and what is left of that bar."""
    rows: list[Sequence[Cell]] = []
    for kind, plan in (("rod", buck.rod_plan), ("tube", buck.tube_plan)):
        rows += _bar_rows(kind, plan)
    return _table(
        (
            "kind",
            "stock",
            "bar",
            "from",
            "bar_length_mm",
            "order",
            "piece",
            "cut_length_mm",
            "cut_length_ft_in",
            "remnant_mm",
        ),
        rows,
    )


def bays_csv(buck: Buck) -> str:
    """One row for each bay between neighbouring wires, worst first: both rules of spacing."""
    return _table(
        (
            "region",
            "wire",
            "next_wire",
            "width_mm",
            "sagitta_mm",
            "held_sagitta_mm",
            "radius_mm",
            "deflection_mm",
            "shape_held",
            "stiff",
        ),
        [
            (
                bay.region,
                *bay.wires,
                f"{bay.width:.0f}",
                f"{bay.sagitta:.2f}",
                f"{bay.held_sagitta:.2f}",
                f"{bay.radius:.0f}" if bay.radius else "",
                f"{bay.deflection:.2f}",
                _yes_no(bay.shape_held),
                _yes_no(bay.stiff),
            )
            for bay in buck.bays
        ],
    )


def changes_csv(buck: Buck) -> str:
    """One row for each wire against what stands: what to do, how far off, where, in words."""
    return _table(
        ("wire", "built_as", "what", "most_mm", "long_at_start_mm", "long_at_end_mm", "words"),
        [
            (
                change.wire,
                change.built_as,
                change.verdict,
                f"{change.most:.1f}",
                *(f"{by + 0.0:.1f}" for by in np.round(change.trim, 1)),
                change.words,
            )
            for change in buck.changes
        ],
    )


def _yes_no(value: bool) -> str:
    return "yes" if value else "no"


def wires_csv(buck: Buck) -> str:
    """One row for each wire."""
    return _table(
        (
            "wire",
            "follows",
            "region",
            "side",
            "layer",
            "diameter_mm",
            "length_mm",
            "cut_length_mm",
            "cut_length_ft_in",
            "closed",
            "least_radius_mm",
            "form_radius_mm",
            "sprung",
            "set_in_mm",
            "tacks",
            "mass_kg",
            "stage",
            "splices_at_mm",
        ),
        (
            (
                wire.name,
                wire.line,
                wire.region,
                wire.side,
                wire.layer,
                f"{wire.diameter:g}",
                f"{wire.length:.1f}",
                f"{wire.cut_length:.1f}",
                _inches(wire.cut_length),
                _yes_no(wire.closed),
                f"{wire.least_radius:.0f}",
                "" if wire.sprung else f"{wire.form_radius:.0f}",
                _yes_no(wire.sprung),
                f"{wire.set_in:.2f}",
                sum(wire.name in tack.wires for tack in buck.tacks),
                f"{wire.mass:.3f}",
                wire.stage,
                " ".join(f"{splice.at:.0f}" for splice in wire.splices),
            )
            for wire in buck.wires
        ),
    )


def offsets_csv(network: LineNetwork) -> str:
    """The table of offsets: where each line crosses even stations, buttocks or levels.

    A line is cut every 100 mm across the axis along which it is longest, and at both ends.
    """
    rows: list[Sequence[Cell]] = []
    for line in network.lines:
        rows += _offset_rows(line)
    return _table(("line", "at", "x_mm", "y_half_breadth_mm", "z_height_mm"), rows)


def dimensions_csv(dimensions: Sequence[Dimension], departures: Sequence[Departure]) -> str:
    """Dimensions on the reference, what each departure that is on adds in order, and now."""
    active = [departure.name for departure in departures if departure.on]
    rows = [
        (
            one.name,
            one.code,
            f"{one.reference:.1f}",
            *(f"{step:+.1f}" for step in one.steps),
            f"{one.now:.1f}",
        )
        for one in dimensions
    ]
    head = ("dimension", "sae_j1100", "reference_mm", *(f"{n}_mm" for n in active), "now_mm")
    return _table(head, rows)


def blanks_csv(panels: Panels, sheet: SheetStock | None) -> str:
    """One row for each blank, with what the metal must do."""
    rows = []
    for blank in panels.blanks:
        low, high = blank.outline.min(axis=0), blank.outline.max(axis=0)
        cut_area = shapely.Polygon(blank.outline).area
        rows.append(
            (
                blank.panel,
                sheet.alloy if sheet else "",
                f"{sheet.thickness:g}" if sheet else "",
                f"{high[0] - low[0]:.0f}",
                f"{high[1] - low[1]:.0f}",
                f"{cut_area / 1e6:.4f}",
                f"{blank.area / 1e6:.4f}",
                f"{100.0 * blank.area_change.max():.2f}",
                f"{100.0 * blank.area_change.min():.2f}",
                blank.verdict.step,
                blank.verdict.reason,
                f"{blank.mass:.3f}",
            )
        )
    return _table(
        (
            "panel",
            "alloy",
            "thickness_mm",
            "length_mm",
            "width_mm",
            "cut_area_m2",
            "panel_area_m2",
            "most_stretch_percent",
            "most_shrink_percent",
            "verdict",
            "reason",
            "mass_kg",
        ),
        rows,
    )


def tasks_csv(plan: Plan) -> str:
    """One row for each task, and for each session in which it is done."""
    rows: list[Sequence[Cell]] = []
    for task in plan.tasks:
        done = [one for one in plan.assignments if one.task == task.name]
        head: tuple[Cell, ...] = (
            task.name,
            task.operation,
            *(f"{hours:.2f}" for hours in task.hours),
            f"{task.expected:.2f}",
            task.skill,
            task.people,
            "; ".join(task.needs),
        )
        rows += [
            (*head, one.session, f"{one.start:.2f}", f"{one.hours:.2f}", "; ".join(one.people),
             task.caution)
            for one in done
        ] or [(*head, "not yet", "", "", "", task.caution)]  # fmt: skip
    return _table(
        (
            "task",
            "operation",
            "shortest_h",
            "likely_h",
            "longest_h",
            "expected_h",
            "skill",
            "people_needed",
            "after",
            "session",
            "start_h",
            "hours",
            "people",
            "caution",
        ),
        rows,
    )


def _bar_rows(kind: str, plan: CuttingPlan) -> list[Sequence[Cell]]:
    return [
        (
            kind,
            plan.stock,
            number,
            "rack" if bar.from_rack else "new",
            f"{bar.bar_length:.0f}",
            order,
            piece.name,
            f"{piece.length:.1f}",
            _inches(piece.length),
            f"{bar.remnant:.0f}",
        )
        for number, bar in enumerate(plan.bars, 1)
        for order, piece in enumerate(bar.pieces, 1)
    ]


def _offset_rows(line: Line) -> list[Sequence[Cell]]:
    points = line.points(FINE)
    axis = int(np.argmax(np.ptp(points, axis=0)))
    value = points[:, axis]
    places = np.arange(np.ceil(value.min() / STATION), value.max() / STATION) * STATION
    words = ("station", "buttock", "level")[axis]
    rows: list[Sequence[Cell]] = [] if line.closed else [_offset(line.name, "start", points[0])]
    for place in places:
        low, high = value[:-1] - place, value[1:] - place
        for i in np.flatnonzero((low < 0.0) != (high < 0.0)):
            part = low[i] / (low[i] - high[i])
            point = points[i] + part * (points[i + 1] - points[i])
            rows.append(_offset(line.name, f"{words} {place:.0f}", point))
    return rows if line.closed else [*rows, _offset(line.name, "end", points[-1])]


def _offset(name: str, at: str, point: Array) -> Sequence[Cell]:
    return (name, at, *(f"{value + 0.0:.1f}" for value in np.round(point, 1)))


def _inches(mm: float) -> str:
    return format_length(mm, system="inch")


def _table(heading: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    out = StringIO()
    writer = csv.writer(out)
    writer.writerow(heading)
    writer.writerows(rows)
    return out.getvalue()
