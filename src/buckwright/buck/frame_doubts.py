"""What the shop should know about the inner frame before it cuts tube."""

from collections.abc import Sequence

from buckwright.model.buck import FrameMember, Post
from buckwright.model.finding import Finding
from buckwright.model.frame import InnerFrame, Lift, WayOut

__all__ = [
    "box_beside_people",
    "doubts_about_bolts",
    "doubts_about_bracing",
    "doubts_about_frame",
    "doubts_about_lifting",
    "doubts_about_standing",
    "doubts_about_the_way_out",
    "people_in_the_way",
]

TIP_LEAST = 15.0
"""Degrees of slope at which a buck that is pushed about should still stand (from memory: rolling
scaffolds and trolleys are tried at 10)."""
STUCK = "does not come out"
"""Said of a bay that no straight pull takes out."""


def people_in_the_way() -> Finding:
    """No box keeps off the people."""
    return Finding(
        code="frame-in-people",
        where="inner frame",
        message="No box between the stations keeps off the people, so they are ignored: the frame "
        "must come out before seats are tried.",
        remedy="Let the frame stand behind the seats only, or try seats without it.",
    )


def box_beside_people(front: float, rear: float) -> Finding:
    """A shorter box than asked for, because of the people."""
    return Finding(
        code="box-beside-people",
        kind="note",
        where="inner frame",
        message=f"To keep off the people the box stands from x {front:.0f} to {rear:.0f} mm only; "
        "arms reach past them.",
        remedy="If no seats are tried while the frame stands, let it ignore the people: the whole "
        "box is stiffer.",
    )


def doubts_about_bolts(
    members: Sequence[FrameMember], posts: Sequence[Post]
) -> tuple[Finding, ...]:
    """Members that must come out before seats are tried, with the posts that stand on them."""
    bolted = [member.name for member in members if member.bolted]
    if not bolted:
        return ()
    carried = [post.name for post in posts if post.member in bolted]
    taking = f", and with them {', '.join(carried)}" if carried else ""
    return (
        Finding(
            code="bolted",
            kind="note",
            where="inner frame",
            message=f"Where people sit stand: {', '.join(bolted)}.",
            remedy=f"Bolt them in, and take them out while seats are tried{taking}; the rest "
            "keeps its room.",
        ),
    )


def doubts_about_bracing(
    bare: Sequence[tuple[str, tuple[str, ...]]],
) -> tuple[Finding, ...]:
    """Faces of the box without a diagonal, all in one finding."""
    if not bare:
        return ()
    faces = ", ".join(name for name, _ in bare)
    why = sorted({cause for _, causes in bare for cause in causes})
    return (
        Finding(
            code="unbraced",
            where="inner frame",
            message=f"No diagonal has room in: {faces}. In the way: {', '.join(why)}.",
            remedy="Weld corner plates with legs of 100 mm there, or a diagonal that is taken out "
            "when the way must be free.",
        ),
    )


def doubts_about_standing(
    *, blocked: Sequence[str], short: float | None, tips_at: float | None
) -> tuple[Finding, ...]:
    """Legs without a place, a frame too low for legs, and a buck that falls over easily."""
    found = [
        Finding(
            code="no-leg",
            where=name,
            message="No leg has room near it.",
            remedy="Block the frame up there.",
        )
        for name in blocked
    ]
    if short is not None:
        found.append(
            Finding(
                code="too-low",
                where="inner frame",
                message=f"With its feet it stands {short:.0f} mm too high for that height of sill.",
                remedy="Choose lower feet or castors, or a higher sill.",
            )
        )
    if tips_at is not None and tips_at < TIP_LEAST:
        found.append(
            Finding(
                code="tips",
                where="inner frame",
                message=f"It falls over on a slope of {tips_at:.0f} degrees.",
                remedy="Spread the legs, or lower the sill.",
            )
        )
    return tuple(found)


def doubts_about_frame(frame: InnerFrame) -> tuple[Finding, ...]:
    """How it stands, who lifts it, how it comes out."""
    tips = frame.tips_at_deg if frame.feet else None
    way = doubts_about_the_way_out(frame.way_out) if frame.way_out else ()
    standing = doubts_about_standing(blocked=(), short=None, tips_at=tips)
    return (*standing, *doubts_about_lifting(frame.lifts), *way)


def doubts_about_lifting(lifts: Sequence[Lift]) -> tuple[Finding, ...]:
    """What more than two must lift, or nobody by hand."""
    found = []
    for lift in lifts:
        if lift.people == 0:
            message = f"At {lift.mass:.0f} kg it is too heavy for a team of six: they may lift "
            message += f"{lift.limit:.0f} kg."
            remedy = "Use a hoist with slings at four nodes of the upper rails."
        elif lift.people > 2:
            message = f"At {lift.mass:.0f} kg it takes {lift.people} people ({lift.rule})."
            remedy = "Call them together before it is moved, or use a hoist."
        else:
            continue
        found.append(Finding(code="heavy", where=lift.what, message=message, remedy=remedy))
    return tuple(found)


def doubts_about_the_way_out(way: WayOut) -> tuple[Finding, ...]:
    """A frame that cannot be drawn out whole, or past wires only."""
    if way.free and not way.wires_to_cut:
        return ()
    if way.free:
        return (
            Finding(
                code="wires-in-the-way",
                where="inner frame",
                message=f"It comes out {way.way} once {len(way.wires_to_cut)} wires are cut: "
                f"{', '.join(way.wires_to_cut[:6])}{' and more' * (len(way.wires_to_cut) > 6)}.",
                remedy="Cut the posts first, then these wires, then draw the frame out.",
            ),
        )
    pieces = "; ".join(f"{piece}: {how}" for piece, how in way.pieces)
    stuck = any(how == STUCK for _, how in way.pieces) or not way.pieces
    return (
        Finding(
            code="frame-stays-in" if stuck else "frame-in-pieces",
            where="inner frame",
            message="It does not come out in one piece by any straight pull; in the way: "
            f"{', '.join(way.blocked_by)}." + (f" Bay by bay: {pieces}." if pieces else ""),
            remedy="Saw it up tube by tube inside, or choose nearer stations."
            if stuck
            else "Bolt it together at the rings, with the bolts in reach of an opening.",
        ),
    )
