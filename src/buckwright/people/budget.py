"""What the width over the metal is made of, and which random pairs fit into it."""

from buckwright.model.package import PairShare, WidthBudget
from buckwright.model.people import FitQuestion, HeightFit
from buckwright.tables.body_sizes import CREWS, share_crew

__all__ = ["pair_bounds", "pair_shares", "width_budget"]

_AT = {
    "shoulders": "bideltoidbreadth",
    "elbows": "forearmforearmbreadth",
    "hips": "hipbreadthsitting",
}


def width_budget(question: FitQuestion) -> WidthBudget:
    """The parts that add up to the width over the metal at the shoulders.

    Where `finished` is told, words say what the difference to it is made of.
    """
    people = question.people
    doors, sheets = 2.0 * question.door_thickness, 2.0 * question.sheet_thickness
    if question.abreast is None:
        parts = [(f"{p.name}'s shoulders", p.shoulder_breadth) for p in people]
        parts += [("clothing", question.clothing * len(people))]
        parts += [("gaps between neighbours", question.between * (len(people) - 1))]
    else:
        parts = [("over the shoulders, measured together", question.abreast)]
    inside = sum(value for _, value in parts)
    parts += [("two doors", doors), ("two thicknesses of sheet", sheets)]
    total = inside + doors + sheets
    words = () if question.finished is None else _difference(question, inside, total)
    return WidthBudget(parts=tuple(parts), total=total, finished=question.finished, words=words)


def _difference(question: FitQuestion, inside: float, total: float) -> tuple[str, ...]:
    finished = float(question.finished or 0.0)
    more = total - finished
    left = 0.5 * (finished - inside)
    side = question.door_thickness + question.sheet_thickness
    sheets = 2.0 * question.sheet_thickness
    if abs(more) < 0.5:
        return (f"The parts add up to {total:.0f} mm, the finished width to half a millimetre.",)
    said = [
        f"The parts add up to {total:.0f} mm: {abs(more):.0f} mm "
        f"{'more' if more > 0.0 else 'less'} than the finished {finished:.0f} mm.",
        f"Less the people's {inside:.0f} mm, the finished width leaves {left:.0f} mm a side for "
        f"door and sheet; {side:.0f} mm a side are reckoned.",
    ]
    if more > 0.0:
        said.append(
            f"The {more:.0f} mm are made of {min(sheets, more):.1f} mm for two sheets and "
            f"{max(more - sheets, 0.0):.0f} mm by which both doors together would have to be "
            f"thinner, or the people pressed together by {100.0 * more / inside:.1f} % of their "
            "width."
        )
    else:
        said.append(f"The {-more:.0f} mm are room to spare, {-0.5 * more:.0f} mm on each side.")
    return tuple(said)


def pair_shares(
    question: FitQuestion, heights: tuple[HeightFit, ...], hips: float | None
) -> tuple[PairShare, ...]:
    """Share of random pairs of each mix that fit at shoulders, elbows and, if told, hips.

    `hips` is the width there between the trims, mm. Each is exact for its own measure.
    """
    taken = 2.0 * question.clothing + question.between
    rooms = {fit.name: fit.given - taken for fit in heights}
    if hips is not None:
        rooms["hips"] = hips - taken
    return tuple(
        PairShare(crew=name, at=at, room=room, share=share_crew(_AT[at], crew, room))
        for name, crew in CREWS.items()
        for at, room in rooms.items()
    )


def pair_bounds(shares: tuple[PairShare, ...], *, crew: str = "any two") -> tuple[float, float]:
    """Least and greatest share that fits everywhere at once, whatever goes with what (Frechet).

    Broad shoulders and broad elbows go together, so the truth lies near the greater.
    """
    those = [one.share for one in shares if one.crew == crew]
    if not those:
        return 0.0, 1.0
    return max(0.0, sum(those) - len(those) + 1.0), min(those)
