"""How wires are bent, how hard sprung ones push, and what the rack holds then, as CSV tables."""

import csv
from collections.abc import Iterable, Sequence
from io import StringIO

from buckwright.model.buck import Buck
from buckwright.units import format_length

__all__ = ["bends_csv", "left_over_csv", "pushes_csv"]


def bends_csv(buck: Buck) -> str:
    """The table length-radius-rotation of every wire, one row for each straight or arc.

    `roll_deg` is clockwise, seen from end 0 along the rod. Lengths, radii and rolls are exact as
    printed: a rod bent by them lies within `off_mm` of the wire's axis.
    """
    return _table(
        (
            "wire",
            "way",
            "piece",
            "from_mm",
            "length_mm",
            "radius_mm",
            "roll_deg",
            "turn_deg",
            "form_radius_mm",
            "form_turn_deg",
            "off_mm",
        ),
        (
            (
                wire.name,
                wire.bending.way,
                number,
                f"{piece.start:.1f}",
                f"{piece.length:.1f}",
                f"{piece.radius:.1f}" if piece.radius else "straight",
                f"{piece.rotation_deg + 0.0:.1f}",
                f"{piece.turn_deg:.2f}",
                f"{piece.form_radius:.1f}" if piece.form_radius else "",
                f"{piece.form_turn_deg:.2f}" if piece.form_radius else "",
                f"{wire.bending.off:.2f}",
            )
            for wire in buck.wires
            if wire.bending is not None
            for number, piece in enumerate(wire.bending.pieces, 1)
        ),
    )


def pushes_csv(buck: Buck) -> str:
    """Where each sprung wire is held, and what it does there."""
    return _table(
        ("wire", "at_mm", "held_by", "force_n", "pushes_to", "force_x_n", "force_y_n", "force_z_n"),
        (
            (
                wire.name,
                f"{push.at:.1f}",
                "; ".join(push.held_by),
                f"{push.force:.1f}",
                push.words,
                *(f"{push.force * part + 0.0:.1f}" for part in push.direction),
            )
            for wire in buck.wires
            if wire.bending is not None
            for push in wire.bending.pushes
        ),
    )


def left_over_csv(buck: Buck) -> str:
    """What goes back to the rack once all is cut."""
    return _table(
        ("stock", "length_mm", "length_ft_in", "count"),
        (
            (
                remnant.stock,
                f"{remnant.length:.0f}",
                format_length(remnant.length, system="inch"),
                remnant.count,
            )
            for plan in (buck.rod_plan, buck.tube_plan)
            for remnant in plan.left_over
        ),
    )


def _table(heading: Sequence[str], rows: Iterable[Sequence[str | int]]) -> str:
    out = StringIO()
    writer = csv.writer(out)
    writer.writerow(heading)
    writer.writerows(rows)
    return out.getvalue()
