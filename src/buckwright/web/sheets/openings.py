"""How do the doors open, and does the glass drop?"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.cautions import cautions_for
from buckwright.model.job import Job, Products
from buckwright.model.openings import Opening, Openings, OpeningSpec, Outline, Pane, Swing
from buckwright.model.skin import Skin
from buckwright.web.frames import pack_frame
from buckwright.web.words import Words, counted, figure, fine, length, rounded

__all__ = ["answer", "detail", "openings_frame"]


def answer(job: Job, products: Products) -> Words | None:
    """What touches first, or how clear all swing; glass that does not drop."""
    made = products.openings
    if made is None or not made.openings:
        return None
    return [*_swings(made), *_drops(made)]


def _swings(made: Openings) -> Words:
    swings = [(one.name, one.swing) for one in made.openings if one.swing is not None]
    touching = [(name, swing) for name, swing in swings if swing.touch is not None]
    if touching:
        name, swing = min(touching, key=lambda pair: pair[1].reached / pair[1].wanted)
        touch = swing.touch
        assert touch is not None
        return [
            f"The {name} swings only ",
            figure(f"{np.degrees(touch.angle):.1f}°"),
            f" of {np.degrees(swing.wanted):.0f}°, then {touch.part} meets {touch.against}.",
        ]
    if not swings:
        return [counted(len(made.openings), "opening"), "; none of them swings."]
    name, swing = min(swings, key=lambda pair: pair[1].least)
    return [
        counted(len(swings), "part"),
        " swing freely; the least clearance is ",
        fine(swing.least),
        f", of the {name} to {swing.least_against}, ",
        figure(f"{np.degrees(swing.least_angle):.0f}°"),
        " open.",
    ]


def _drops(made: Openings) -> Words:
    drops = [
        (one.name, one.pane.drop)
        for one in made.openings
        if one.pane is not None and one.pane.drop is not None
    ]
    if not drops:
        return []
    name, worst = min(drops, key=lambda pair: pair[1].reached / pair[1].wanted)
    if worst.stopped_by:
        told: Words = [f" The glass of the {name} drops ", length(worst.reached), " of "]
        return [*told, length(worst.wanted), f", then meets {worst.stopped_by}."]
    return [" The side glass drops all of ", length(worst.wanted), "."]


def detail(job: Job, products: Products) -> dict[str, Any]:
    """What is asked for and may be, and each opening as it was worked out."""
    made = products.openings or Openings(openings=())
    paired = {spec.name: spec.mirror for spec in job.lines}
    return {
        "asked": [_asked(spec, paired) for spec in job.openings],
        "lines": [line.name for line in job.lines if line.use == "body"],
        "regions": list(dict.fromkeys(region.name for region in job.regions)),
        "openings": [_opening(one) for one in made.openings],
        "cautions": list(dict.fromkeys([*cautions_for("opening"), *cautions_for("glass")])),
    }


def _asked(spec: OpeningSpec, paired: dict[str, str | None]) -> dict[str, Any]:
    """As asked for, angles in degrees; whether the other side can be made of it."""
    told = spec.model_dump(mode="json")
    if spec.hinge is not None:
        told["hinge"]["swing"] = round(float(np.degrees(spec.hinge.swing)), 2)
    told["pairs"] = all(paired.get(name) for name in spec.outline)
    return told


def _opening(one: Opening) -> dict[str, Any]:
    return {
        "name": one.name,
        "kind": one.kind,
        "refused": [f.message for f in one.findings if f.code == "no-answer"],
        "outline": None if one.outline is None else _outline(one.outline),
        "axis": None if one.axis is None else one.axis.model_dump(),
        "swing": None if one.swing is None else _swing(one.swing),
        "pane": None if one.pane is None else _pane(one.pane),
    }


def _outline(outline: Outline) -> dict[str, Any]:
    return {
        **outline.model_dump(exclude={"points", "inner", "outer"}),
        "points": rounded(outline.points, 1),
        "inner": rounded(outline.inner, 2),
        "outer": rounded(outline.outer, 2),
    }


def _swing(swing: Swing) -> dict[str, Any]:
    return {
        **swing.model_dump(exclude={"vertices", "triangles", "angles", "clearances"}),
        "angles": rounded(swing.angles, 5),
        "clearances": rounded(swing.clearances, 3),
    }


def _pane(pane: Pane) -> dict[str, Any]:
    drop = pane.drop
    return {
        **pane.model_dump(exclude={"axes", "edge", "off", "outline", "drop"}),
        "axes": rounded(pane.axes, 8),
        "edge": rounded(pane.edge, 1),
        "off": rounded(pane.off, 3),
        "outline": rounded(pane.outline, 2),
        "drop": None
        if drop is None
        else {
            **drop.model_dump(exclude={"steps", "outer", "inner", "edge"}),
            "steps": rounded(drop.steps, 2),
            "outer": rounded(drop.outer, 2),
            "inner": rounded(drop.inner, 2),
            "edge": rounded(drop.edge, 2),
        },
    }


def openings_frame(openings: Openings, skin: Skin) -> bytes:
    """What swings, v<i> and t<i> of opening i; and s<k>, region k's triangles without it."""
    arrays: dict[str, NDArray[Any]] = {}
    for place, one in enumerate(openings.openings):
        if one.swing is not None:
            arrays[f"v{place}"] = np.asarray(one.swing.vertices)
            arrays[f"t{place}"] = np.asarray(one.swing.triangles)
    for place, region in enumerate(skin.regions):
        keep = np.ones(len(region.triangles), dtype=bool)
        for one in openings.openings:
            here = (one.region, one.side) == (region.name, region.side)
            # A skin worked out anew may have fewer triangles than the answer was made from.
            if here and one.swing is not None and one.taken.max(initial=-1) < len(keep):
                keep[one.taken] = False
        arrays[f"s{place}"] = region.triangles[keep]
    return pack_frame([one.name for one in openings.openings], arrays)
