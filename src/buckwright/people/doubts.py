"""Doubts about a layout: what is too near, what cannot be seen, what was not measured."""

import numpy as np

from buckwright.model.finding import Finding
from buckwright.model.package import Clearance, Door, Package, PackageSpec, PostSight, Sight
from buckwright.model.people import FitAnswer

__all__ = ["never_fits", "package_doubts"]

MOST_HIDDEN = np.deg2rad(6.0)
"""Of a screen post, from both eyes together (UNECE R125 5.1.2, from memory)."""

_AXES = {"head": "z", "feet": "x", "knees": "x"}
"""On which axis a stretch zone would help."""

_REMEDIES = {
    "engine": "Move the engine, or give it more room there.",
    "head": "Lower the seat, or raise the roof.",
    "belly": "Set the steering wheel farther forward.",
    "thighs": "Set the steering wheel higher, or the seat lower.",
    "knees": "Move the seat back, or the dashboard and the engine forward, or lengthen the body.",
    "feet": "Move the seat back or higher, or lengthen the body.",
    "wheel": "Take less lock or travel, or open the metal there.",
}


def package_doubts(package: Package, spec: PackageSpec, lines: frozenset[str]) -> list[Finding]:
    """Findings in the order: room, sight, door, lines that are missing, sizes not measured."""
    proposed: dict[str, str] = {stretch.axis: stretch.name for stretch in package.stretches}
    found = [_too_near(c, proposed) for c in package.clearances if c.value < c.wanted]
    found += [_blind(s) for s in package.sights if s.name == "over the scuttle" and s.angle >= 0.0]
    found += [_hidden(p) for p in package.posts if p.both > MOST_HIDDEN]
    found += _glass(package.door, spec)
    wanted = (spec.screen_edge, spec.screen_base, spec.window, spec.belt, spec.cantrail)
    missing = [name for name in wanted if name not in lines]
    if missing:
        found.append(
            Finding(
                code="lines-missing",
                where="people",
                message=f"The job has no line {' or '.join(repr(name) for name in missing)}, so "
                "what hangs on it is not judged.",
                remedy="Draw it, or name the line that stands for it.",
            )
        )
    guessed = sorted({s.person for s in package.sizes if "percentile" in s.source})
    if guessed:
        found.append(
            Finding(
                code="sizes-from-survey",
                where="people",
                message=f"Sizes of {' and '.join(guessed)} are taken from a survey of soldiers in "
                "shorts, not measured.",
                remedy="Measure the real people and type their sizes: those come first.",
            )
        )
    return found


def never_fits(answer: FitAnswer, package: Package) -> Finding | None:
    """Whoever lacks width for which no gentle stretch zone can be proposed."""
    widened = any(stretch.axis == "y" for stretch in package.stretches)
    if answer.fits or widened:
        return None
    return Finding(
        code="cannot-fit",
        where="people",
        message=f"They cannot fit: {answer.widen_by:.0f} mm are lacking, more than a body of this "
        "width can be widened by without another shape.",
        remedy="Seat fewer people abreast, stagger the seats, or begin with a wider body.",
    )


def _too_near(clearance: Clearance, proposed: dict[str, str]) -> Finding:
    kind = next((k for k in _REMEDIES if k in clearance.name), "engine")
    if clearance.value >= 0.0:
        there = f"{clearance.value:.0f} mm are free {clearance.words}"
    else:
        there = f"{-clearance.value:.0f} mm are lacking {clearance.words}"
    wanted = f", {clearance.wanted:.0f} mm are wanted" if clearance.wanted > 0.0 else ""
    zone = proposed.get(_AXES.get(kind, ""))
    accept = f" The stretch '{zone}' is proposed." if zone else ""
    return Finding(
        code="too-near",
        where=clearance.name,
        message=f"{there}{wanted}.",
        remedy=_REMEDIES[kind] + accept,
    )


def _blind(sight: Sight) -> Finding:
    return Finding(
        code="no-ground-seen",
        where=sight.person,
        message=f"{sight.person} {sight.words}.",
        remedy="Raise the seat, or lower the scuttle.",
    )


def _hidden(post: PostSight) -> Finding:
    return Finding(
        code="wide-post",
        where=post.person,
        message=f"The {post.post} screen post hides {np.rad2deg(post.both):.1f} degrees from both "
        f"of {post.person}'s eyes; 6 degrees are the most that is usual (UNECE R125, from memory).",
        remedy="Bring the side window nearer to the screen, or make the post slimmer.",
    )


def _glass(door: Door | None, spec: PackageSpec) -> list[Finding]:
    if door is None:
        return []
    found = []
    if door.clear_outside < spec.glass_clearance:
        pierced = (
            f"would come {-door.clear_outside:.0f} mm through the metal"
            if door.clear_outside < 0.0
            else f"would come within {door.clear_outside:.0f} mm of the metal"
        )
        found.append(
            Finding(
                code="glass-meets-metal",
                where="side window",
                message=f"Flat side glass dropped in its own plane {pierced} of the door.",
                remedy=f"Set it in, which takes a door of {door.needed:.0f} mm; or take bent or "
                "sliding glass.",
            )
        )
    if door.needed > door.given + 0.5:
        found.append(
            Finding(
                code="door-too-thin",
                where="side window",
                message=f"Dropped flat glass needs {door.needed:.0f} mm inside the door, "
                f"{door.given:.0f} mm are there.",
                remedy="Make the door thicker (and look at the width again), or take sliding "
                "glass.",
            )
        )
    return found
