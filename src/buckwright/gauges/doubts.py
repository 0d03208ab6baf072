"""Doubts about gauges that leave them standing."""

from collections.abc import Iterable

from buckwright.gauges.choose import Chosen
from buckwright.model.finding import Finding
from buckwright.model.gauges import Gauge, GaugeSpec

__all__ = ["chosen_findings", "oblique_findings"]

OBLIQUE_DEG = 40.0
"""Below this angle between card and metal a card is hard to hold right."""
LEFT_OUT = 0.05
"""Share of the region beyond the outermost cards that is worth a word."""


def oblique_findings(cards: Iterable[Gauge]) -> list[Finding]:
    """A doubt for each card that meets the metal too flatly."""
    return [
        Finding(
            code="card-oblique",
            where=card.name,
            message=f"The card meets the metal at only {card.squareness_deg:.0f} degrees somewhere "
            "along it, where a small slip of the card looks like a fault of the metal.",
            remedy="Hold it true to its plane, or choose a plane more square to the metal.",
        )
        for card in cards
        if card.squareness_deg < OBLIQUE_DEG
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
