"""`make_gauges`: profile cards at planes across regions, left and right."""

import numpy as np

from buckwright.errors import JobError
from buckwright.gauges.cards import card, line_marks, mirrored_card
from buckwright.gauges.sections import Profile, cut_region
from buckwright.model.finding import Finding
from buckwright.model.gauges import Gauge, Gauges, GaugeSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin, SkinRegion

__all__ = ["make_gauges"]

OBLIQUE_DEG = 40.0
"""Below this angle between card and metal a card is hard to hold right."""


def make_gauges(specs: tuple[GaugeSpec, ...], skin: Skin, network: LineNetwork) -> Gauges:
    """Cards for every plane of every spec, in order, each left card followed by its right one.

    A card touches the outside of the metal along its profile; the profile is true to the skin
    within the mesh's own truth (some hundredths of a millimetre on a 25 mm mesh). Where the
    metal is interrupted (a window) there is a card for each piece. Of a region over the whole
    width the left half is taken. Raises JobError where a plane misses its region or a card
    cannot be made.
    """
    gauges: list[Gauge] = []
    findings: list[Finding] = []
    for spec in specs:
        region = _left_region(spec, skin)
        for value in spec.at:
            at = -abs(value) if spec.axis == "y" else value
            profiles = cut_region(region, spec.axis, at)
            if not profiles:
                raise JobError(
                    f"The gauge plane {spec.axis} = {value:g} does not cut the {spec.region}.",
                    _reach_words(region, spec),
                )
            marks = line_marks(region, network, spec.axis, at)
            for number, profile in enumerate(profiles, start=1):
                part = f" part {number}" if len(profiles) > 1 else ""
                name = f"{spec.region} {spec.axis} {value:g}{part}"
                left = card(name, profile, (spec.axis, at), marks, width=spec.card_width)
                gauges += [left, mirrored_card(left)]
                findings += _oblique(name, profile, spec)
    return Gauges(gauges=tuple(gauges), findings=tuple(findings))


def _left_region(spec: GaugeSpec, skin: Skin) -> SkinRegion:
    for region in skin.regions:
        if region.name == spec.region and region.side in ("left", "whole"):
            return region
    there = ", ".join(sorted({region.name for region in skin.regions})) or "none"
    raise JobError(
        f"Gauges are asked for on '{spec.region}', which the skin does not have.",
        f"Name one of: {there}.",
    )


def _reach_words(region: SkinRegion, spec: GaugeSpec) -> str:
    along = region.vertices[:, "xyz".index(spec.axis)]
    if spec.axis == "y":
        along = np.maximum(-along, 0.0)
    return f"Choose planes between {spec.axis} = {along.min():.0f} and {along.max():.0f}."


def _oblique(name: str, profile: Profile, spec: GaugeSpec) -> list[Finding]:
    angle = profile.squareness_deg(spec.axis)
    if angle >= OBLIQUE_DEG:
        return []
    return [
        Finding(
            code="card-oblique",
            where=f"{name} left",
            message=f"The card meets the metal at only {angle:.0f} degrees somewhere along it, "
            "where a small slip of the card looks like a fault of the metal.",
            remedy="Hold it true to its plane, or choose a plane more square to the metal.",
        )
    ]
