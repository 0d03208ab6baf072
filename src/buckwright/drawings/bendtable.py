"""What stands in words under a bend sheet's outline: the bend table, the tacks and their load."""

from collections.abc import Sequence

from buckwright.model.bending import Bending, RodPiece
from buckwright.model.buck import Wire

__all__ = ["bend_notes", "bend_rows", "push_rows", "roll_words"]

Rows = list[tuple[str, ...]]


def bend_rows(bending: Bending) -> Rows:
    """The table length-radius-rotation with the radius to bend to, heading first; all in mm.

    Only the heading for a rod that is not bent.
    """
    rows: Rows = [("no.", "from", "length", "radius", "roll first", "bend to R", "bend by")]
    if bending.way != "bent":
        return rows
    for number, piece in enumerate(bending.pieces, 1):
        place = (str(number), f"{piece.start:.1f}", f"{piece.length:.1f}")
        if not piece.radius:
            rows.append((*place, "straight", "", "", ""))
            continue
        rows.append(
            (
                *place,
                _radius(piece.radius),
                roll_words(piece),
                _radius(piece.form_radius),
                f"{piece.form_turn_deg:.1f} deg",
            )
        )
    return rows


def _radius(radius: float) -> str:
    return f"{radius:.0f}" if radius >= 1000.0 else f"{radius:.1f}"


def roll_words(piece: RodPiece) -> str:
    """How to roll the rod about itself before the piece, seen from end 0 along the rod."""
    angle = (piece.rotation_deg + 180.0) % 360.0 - 180.0
    if abs(angle) < 0.05:
        return "no"
    if abs(abs(angle) - 180.0) < 0.05:
        return "half a turn"
    return f"{abs(angle):.1f} deg {'clockwise' if angle > 0.0 else 'anticlockw.'}"


def push_rows(wire: Wire) -> Rows:
    """Where a sprung rod pushes, on what, how hard and which way; heading first."""
    rows: Rows = [("at", "held by", "pushes it", "to the")]
    for push in wire.bending.pushes if wire.bending else ():
        names = ", ".join(push.held_by[:2]) + (" ..." if len(push.held_by) > 2 else "")
        rows.append((f"{push.at:.0f}", names, f"{push.force:.0f} N", push.words or "-"))
    return rows


def bend_notes(bending: Bending, *, spare: float) -> Sequence[str]:
    """How to follow the table, step by step."""
    if bending.way != "bent":
        return (bending.words,)
    notes = [
        bending.words,
        f"Mark 0 on the rod {spare:.0f} mm from one end, and every 'from' of the table from there.",
        "For each arc: roll the rod about itself as told, seen from end 0 along the rod; put its "
        "mark where the bend begins; bend to the smaller radius 'bend to R' through 'bend by'. Let "
        "go, and hold it against the outline.",
        "Try the first arc on a scrap: bars differ. If it comes back too far, bend all tighter by "
        "as much.",
        f"Bent by these figures the rod lies within {bending.off:.1f} mm of where it should be.",
    ]
    if any(piece.radius > bending.elastic_radius for piece in bending.pieces):
        notes.append(
            f"Arcs gentler than R {bending.elastic_radius:.0f} need no bend if tacks hold them."
        )
    return tuple(notes)
