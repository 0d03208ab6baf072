"""What is in doubt about an opening that has an answer, and what would put it right."""

import numpy as np

from buckwright.geometry.polyline import polyline_length, resample_polyline
from buckwright.model.finding import Finding
from buckwright.model.openings import (
    Drop,
    GlassSpec,
    HingeAxis,
    OpeningSpec,
    Outline,
    Pane,
    Swing,
)

__all__ = ["doubts_about_axis", "doubts_about_glass", "doubts_about_outline", "doubts_about_swing"]

OFF_LINE, OFF_ANGLE = 0.5, np.radians(0.5)
"""mm and rad by which a pin may leave the axis before the hinges bind; common practice."""
OFF_SKIN = 2.0
OFF_GLASS = 2.0
"""mm that a rubber or a bed of putty takes up; common practice."""
SHARP, ARM = 60.0, 15.0
"""Degrees between the sides of a corner, taken so many mm along each; common practice."""
TIGHT = 0.5
"""Share of the shut gap that should be left on the way."""


def doubts_about_outline(spec: OpeningSpec, outline: Outline) -> list[Finding]:
    """Where it lies off the skin."""
    if outline.off_most <= OFF_SKIN:
        return []
    return [
        Finding(
            code="outline-off-skin",
            where=spec.name,
            message=f"Its outline lies up to {outline.off_most:.1f} mm off the skin, at "
            f"{_told(outline.off_at)}.",
            remedy="Move the line onto the skin there, or let the skin hold it.",
        )
    ]


def doubts_about_axis(spec: OpeningSpec, axis: HingeAxis) -> list[Finding]:
    """Pins out of line, pins that point away, or too few to tell."""
    if axis.residual > OFF_LINE or axis.twist > OFF_ANGLE:
        return [
            Finding(
                code="pins-not-in-line",
                where=spec.name,
                message=f"Its pins lie up to {axis.residual:.1f} mm off one line and point up to "
                f"{np.degrees(axis.twist):.1f} degrees away from it, so the hinges bind.",
                remedy=f"Shim them to {OFF_LINE:g} mm and {np.degrees(OFF_ANGLE):g} degrees; a "
                "straight rod through all knuckles shows it.",
            )
        ]
    if axis.tested:
        return []
    return [
        Finding(
            code="pins-untested",
            kind="note",
            where=spec.name,
            message="Two points always lie in one line, so nothing tells yet whether its pins do.",
            remedy="Measure the way each pin points, or give a third.",
        )
    ]


def doubts_about_swing(spec: OpeningSpec, swing: Swing) -> list[Finding]:
    """What it touches, or where it comes too near."""
    touch = swing.touch
    if touch is not None:
        return [
            Finding(
                code="swing-touches",
                where=spec.name,
                message=f"After {np.degrees(touch.angle):.2f} degrees {touch.part} meets "
                f"{touch.against}, at {_told(touch.point)}.",
                remedy=_way_out(spec, swing),
            )
        ]
    if swing.least >= TIGHT * min(spec.gap, spec.drain):
        return []
    return [
        Finding(
            code="swing-tight",
            where=spec.name,
            message=f"It clears {swing.least_against} by only {swing.least:.1f} mm, "
            f"{np.degrees(swing.least_angle):.0f} degrees open, at {_told(swing.least_at)}.",
            remedy="Widen the shut gap there, or move the hinge axis outward.",
        )
    ]


def _way_out(spec: OpeningSpec, swing: Swing) -> str:
    touch = swing.touch
    assert touch is not None
    if "jamb" not in touch.against:
        return "Stop it short of that with a strap, or move the hinge axis."
    if touch.angle > np.radians(25.0):
        return "Stop it short of that with a strap, or move the hinge axis outward."
    return (
        "Move the hinge axis towards the outside of the skin or towards that edge, or widen the "
        f"shut gap of {spec.gap:g} mm."
    )


def doubts_about_glass(spec: OpeningSpec, glass: GlassSpec, pane: Pane) -> list[Finding]:
    """An outline that the glass does not follow, and glass that does not go down."""
    found = []
    if pane.off_most > OFF_GLASS:
        other = "bent in one direction" if pane.shape == "flat" else "flat"
        better = pane.off_other < 0.7 * pane.off_most
        found.append(
            Finding(
                code="glass-off-outline",
                where=spec.name,
                message=f"{'Flat' if pane.shape == 'flat' else 'Bent'} glass lies up to "
                f"{pane.off_most:.1f} mm off its outline, at {_told(pane.off_at)}; {other} it "
                f"would be {pane.off_other:.1f} mm.",
                remedy=f"Take glass that is {other}."
                if better
                else "Move the outline, or let a frame make up the difference.",
            )
        )
    found += _sharp_corner(spec, pane)
    if pane.drop is not None:
        found += _drop_doubts(spec, glass, pane.drop)
    return found


def _sharp_corner(spec: OpeningSpec, pane: Pane) -> list[Finding]:
    """A corner so sharp that glass chips there when it is cut or clamped."""
    outline = np.asarray(pane.outline)
    length = polyline_length(outline, closed=True)
    points = resample_polyline(outline, max(12, round(length / ARM * 5)), closed=True)
    before, after = np.roll(points, 5, axis=0) - points, np.roll(points, -5, axis=0) - points
    sizes = np.linalg.norm(before, axis=1) * np.linalg.norm(after, axis=1)
    angles = np.arccos(np.clip((before * after).sum(axis=1) / sizes, -1.0, 1.0))
    if np.degrees(angles.min()) >= SHARP:
        return []
    return [
        Finding(
            code="glass-sharp-corner",
            where=spec.name,
            message=f"Its glass runs to a point of {np.degrees(angles.min()):.0f} degrees, where "
            "it chips when it is cut, ground or clamped.",
            remedy="Round the lines in that corner, or let the frame fill it and the glass stop "
            "short.",
        )
    ]


def _drop_doubts(spec: OpeningSpec, glass: GlassSpec, drop: Drop) -> list[Finding]:
    thicker = f"Set the glass in {np.ceil(drop.shift):.0f} mm farther"
    if drop.needed > spec.thickness:
        thicker += f" in a door {np.ceil(drop.needed):.0f} mm thick"
    if drop.stopped_by:
        other = "; or try glass bent to the side." if glass.shape == "flat" else "."
        ways = {
            "the edge of the door": "Make the pane smaller at its edges, or let it drop less.",
        }
        return [
            Finding(
                code="glass-stops",
                where=spec.name,
                message=f"Its glass drops {drop.reached:.0f} of {drop.wanted:.0f} mm, then meets "
                f"{drop.stopped_by}.",
                remedy=ways.get(drop.stopped_by, thicker + other),
            )
        ]
    least = {
        "the outer metal": float(drop.outer.min()),
        "the trim": float(drop.inner.min()),
        "the edge of the door": float(drop.edge.min()),
    }
    tight = min(least, key=lambda name: least[name])
    if least[tight] >= glass.clearance - 0.05:
        return []
    return [
        Finding(
            code="glass-tight",
            where=spec.name,
            message=f"Its glass drops wholly, but clears {tight} by only {least[tight]:.1f} mm "
            f"({glass.clearance:g} mm wanted).",
            remedy="Make the pane smaller at its edges."
            if tight == "the edge of the door"
            else f"{thicker}.",
        )
    ]


def _told(point: tuple[float, float, float]) -> str:
    return "x {:.0f}, y {:.0f}, z {:.0f}".format(*point)
