"""Doubts about gauges that leave them standing."""

from collections.abc import Iterable, Sequence

from buckwright.gauges.choose import Chosen
from buckwright.model.finding import Finding
from buckwright.model.gauges import Gauge, GaugeSpec, Stand

__all__ = [
    "OBLIQUE_DEG",
    "bevel_findings",
    "chosen_findings",
    "left_out_findings",
    "oblique_findings",
]

OBLIQUE_DEG = 40.0
"""Below this angle between card and metal a card is hard to hold right."""
SQUARE_EDGE = 0.3
"""mm that a square edge may stand off."""
LEFT_OUT = 0.05
"""Share of the region beyond the outermost cards that is worth a word."""


def oblique_findings(cards: Iterable[Gauge], stands: Sequence[Stand]) -> list[Finding]:
    """A doubt for each card that meets the metal too flatly to be held true by hand."""
    held = {name for stand in stands for name in stand.cards}
    return [
        Finding(
            code="card-oblique",
            where=card.name,
            message=f"The card meets the metal at only {card.squareness_deg:.0f} degrees somewhere "
            "along it, where a small slip of the card looks like a fault of the metal.",
            remedy="Hold it true to its plane, or choose a plane more square to the metal.",
        )
        for card in cards
        if card.squareness_deg < OBLIQUE_DEG and card.name not in held
    ]


def bevel_findings(cards: Sequence[Gauge], stands: Sequence[Stand]) -> list[Finding]:
    """A doubt for each stand with a card whose edge, cut square, would stand off the metal."""
    by_name = {card.name: card for card in cards}
    found = []
    for stand in stands:
        worst = max((by_name[name] for name in stand.cards), key=lambda card: card.edge_off)
        if worst.edge_off > SQUARE_EDGE:
            found.append(
                Finding(
                    code="edge-needs-bevel",
                    kind="note",
                    where=stand.name,
                    message=f"Cut square, the edge of '{worst.name}' touches the metal up to "
                    f"{worst.edge_off:.1f} mm before its middle does: the profile is true in the "
                    f"middle of the {stand.thickness:g} mm.",
                    remedy="File the corners of such edges back to their middle line, or use "
                    "thinner card.",
                )
            )
    return found


def left_out_findings(stand: Stand, family: Sequence[str]) -> list[Finding]:
    """A doubt where cards of the set do not stand in its stand."""
    left = [name for name in family if name not in stand.cards]
    if not left:
        return []
    return [
        Finding(
            code="cards-not-in-stand",
            kind="note",
            where=stand.name,
            message=f"Too narrow for the combs, or too close to the next card: {', '.join(left)}.",
            remedy="Hold those by hand.",
        )
    ]


def chosen_findings(spec: GaugeSpec, chosen: Chosen, suffix: str) -> list[Finding]:
    """Where a tolerance could not be kept, and where the chosen cards end."""
    where = f"{spec.region}{suffix}"
    found = []
    if not chosen.reached:
        x, y, z = chosen.error_at
        found.append(
            Finding(
                code="gauges-over-tolerance",
                where=where,
                message=f"Battens over the cards leave the skin by {chosen.error:.2f} mm at "
                f"x {x:.0f}, y {y:.0f}, z {z:.0f}; {spec.tolerance:g} mm were asked for.",
                remedy="Add a card along a line there, or allow more.",
            )
        )
    whole = float(chosen.at[-1] - chosen.at[0]) + sum(chosen.left_out)
    if max(chosen.left_out) > LEFT_OUT * whole:
        first, last = chosen.left_out
        found.append(
            Finding(
                code="gauges-end-short",
                where=where,
                message=f"The first card stands {first:.0f} mm from one end of the metal, the last "
                f"{last:.0f} mm from the other: beyond them it meets such cards too flatly.",
                remedy="Gauge the ends with a card across their edge, or by sweeps.",
            )
        )
    return found
