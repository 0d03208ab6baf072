"""The side at the window: how it leans, and the room that dropped glass needs in the door."""

import numpy as np
from numpy.typing import NDArray

from buckwright.model.lines import LineNetwork
from buckwright.model.package import Door, PackageSpec
from buckwright.model.people import FitQuestion
from buckwright.model.skin import Skin
from buckwright.people.inner_width import InnerSection, cut_inner_section
from buckwright.people.sights import crossings_at, line_points

__all__ = ["drop_glass", "look_at_door"]

Array = NDArray[np.float64]
STEPS = 81


def look_at_door(
    question: FitQuestion, network: LineNetwork, skin: Skin, spec: PackageSpec
) -> Door | None:
    """The left side at the middle of its window; None where the job has no such lines."""
    window, belt, cantrail = (
        line_points(network, name) for name in (spec.window, spec.belt, spec.cantrail)
    )
    if window is None or belt is None or cantrail is None:
        return None
    station = float(0.5 * (window[:, 0].min() + window[:, 0].max()))
    edges = crossings_at(window, 0, station)
    low, high = crossings_at(belt, 0, station), crossings_at(cantrail, 0, station)
    if len(edges) < 2 or len(low) == 0 or len(high) == 0:
        return None
    lean = np.arctan2(abs(low[0, 1]) - abs(high[0, 1]), high[0, 2] - low[0, 2])
    section = cut_inner_section(skin, station=station, depth=question.sheet_thickness)
    pane = np.array([[abs(p[1]), p[2]] for p in edges[np.argsort(edges[:, 2])][[0, -1]]])
    outside, needed, glass = drop_glass(section, pane, spec)
    return Door(
        station=station,
        tumblehome=float(lean),
        drop=float(pane[1, 1] - pane[0, 1]),
        given=question.door_thickness,
        needed=needed,
        clear_outside=outside,
        glass=glass * np.array([-1.0, 1.0]),
    )


def drop_glass(section: InnerSection, pane: Array, spec: PackageSpec) -> tuple[float, float, Array]:
    """Flat glass (2, 2) of half-breadth and height, lower end first, dropped by its own height.

    Least room to the outer metal while it goes down where its edge lies against the metal; the
    least thickness of the door, from the metal's inner face, in which it drops once set in so far
    that it clears; and the dropped pane's outline (4, 2) there. Where the section has no metal
    on the left the path ends.
    """
    lower, upper = pane
    slope = (upper[0] - lower[0]) / (upper[1] - lower[1])
    heights = np.linspace(lower[1] - (upper[1] - lower[1]), lower[1], STEPS)
    found = [(z, section.half_breadths(float(z))[0]) for z in heights]
    there = np.array([(z, y) for z, y in found if y is not None])
    if len(there) == 0:
        there = np.array([[lower[1], lower[0]]])
    outer = lower[0] + slope * (there[:, 0] - lower[1])
    # Thickness and clearance lie square to the pane; across the vehicle they are longer.
    slant = float(np.hypot(1.0, slope))
    room = float((there[:, 1] - outer).min())
    shift = max(0.0, slant * spec.glass_clearance - room)
    inner = outer - shift - slant * spec.glass_thickness
    needed = float((there[:, 1] - inner).max()) + slant * spec.glass_clearance
    bottom, top = there[0, 0], there[-1, 0]
    face = [lower[0] + slope * (z - lower[1]) - shift for z in (bottom, top)]
    thick = slant * spec.glass_thickness
    glass = np.array(
        [[face[0], bottom], [face[1], top], [face[1] - thick, top], [face[0] - thick, bottom]]
    )
    return room / slant, needed, glass
