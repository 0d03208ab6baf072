"""Treatments of the skin on a model to print: what stands on its wall, and what is too small."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.joined_solids import join_solids
from buckwright.geometry.mesh import vertex_normals
from buckwright.model.finding import Finding
from buckwright.model.louvres import LouvreField
from buckwright.model.skin import Skin, SkinRegion
from buckwright.model.treatments import EdgeStrip
from buckwright.skin.pressing import Pressing, press_region, pressed_in
from buckwright.skin.strip_bodies import reach_of_strip, strip_bodies

__all__ = ["Joined", "PressedFeet", "Wall", "press_for_model", "with_strips"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

LEFT = 0.5
"""Part of the wall that an inward bead leaves at least."""


@dataclass(frozen=True, slots=True)
class Wall:
    """A model's scale, and its wall in mm there."""

    scale: float
    thickness: float

    def __str__(self) -> str:
        return f"a wall of {self.thickness:g} mm at 1:{1.0 / self.scale:g}"


@dataclass(frozen=True, eq=False, slots=True)
class PressedFeet:
    """Regions as fine as what is pressed into them needs, and (n, 3) by which vertices move."""

    feet: tuple[SkinRegion, ...]
    moves: Array


@dataclass(frozen=True, eq=False, slots=True)
class Joined:
    """Closed bodies as one mesh, and doubts."""

    body: tuple[Array, Index]
    findings: tuple[Finding, ...]


def press_for_model(skin: Skin, wall: Wall) -> tuple[PressedFeet, tuple[Finding, ...]]:
    """The skin's regions with the moves of beads and louvres, slits shut, and what is left out."""
    feet, moves, doubts = [], [], []
    for region in skin.regions:
        asked = pressed_in(skin, region)
        doubts += [doubt for one in asked for doubt in _pressing_doubt(one, wall)]
        kept = [one for one in asked if not _too_deep(one, wall)]
        if kept:
            made = press_region(region, kept, slits="closed")
            update = {"vertices": made.feet, "triangles": made.triangles}
            feet.append(region.model_copy(update=update))
            moves.append(made.vertices - made.feet)
        else:
            feet.append(region)
            moves.append(np.zeros((len(region.vertices), 3)))
    return PressedFeet(tuple(feet), np.vstack(moves)), tuple(doubts)


def _too_deep(one: Pressing, wall: Wall) -> bool:
    if isinstance(one, LouvreField) or one.spec.way == "out":
        return False
    return one.spec.depth * wall.scale > (1.0 - LEFT) * wall.thickness


def _pressing_doubt(one: Pressing, wall: Wall) -> list[Finding]:
    if isinstance(one, LouvreField):
        return [
            Finding(
                code="louvres-shut",
                where=one.name,
                message=f"Louvres '{one.name}' on {one.region} are shut on the model: a lip of "
                f"{one.spec.height * wall.scale:.1f} mm stands before {wall}.",
                remedy="File the slits open, if they are to show.",
            )
        ]
    if not _too_deep(one, wall):
        return []
    return [
        Finding(
            code="bead-left-out",
            where=one.name,
            message=f"Bead '{one.name}' on {one.region}, {one.spec.depth * wall.scale:.1f} mm deep "
            f"on the model, would leave less than half of {wall}; it is left out.",
            remedy="Make the wall thicker, or the model larger.",
        )
    ]


def with_strips(
    body: tuple[Array, Index],
    strips: Sequence[EdgeStrip],
    skin: tuple[Array, Index],
    wall: Wall,
) -> Joined:
    """A closed body with the turned edges joined on; `skin` is its outside at full size.

    What stands off no farther than the wall, folds over itself, or cannot be joined is left out.
    """
    doubts = []
    added: list[tuple[Array, Index]] = []
    outside = (skin[0], vertex_normals(*skin))
    for strip in strips:
        why = _left_out(strip, wall)
        parts = []
        if not why:
            asked = {"scale": wall.scale, "thickness": wall.thickness}
            parts = strip_bodies(strip, outside, **asked)
            why = "" if join_solids(parts) is not None else "is no closed body"
        if why:
            doubts.append(_strip_doubt(strip, why))
        else:
            added += parts
    if not added:
        return Joined(body, tuple(doubts))
    whole = join_solids([body, *added])
    if whole is None:
        doubts.append(
            Finding(
                code="strips-not-joined",
                where="scale model",
                message="The turned edges cannot be joined to the model's wall; they are left out.",
                remedy="Make the wall thinner, so that it does not fold.",
            )
        )
        return Joined(body, tuple(doubts))
    return Joined(whole, tuple(doubts))


def _left_out(strip: EdgeStrip, wall: Wall) -> str:
    """Why the strip is left out; nothing if it is not."""
    small = wall.scale * reach_of_strip(strip)
    if small <= wall.thickness:
        return f"stands off by {small:.1f} mm, no farther than {wall}"
    if any(doubt.code == "edge-folds" for doubt in strip.findings):
        return "folds over itself"
    return ""


def _strip_doubt(strip: EdgeStrip, why: str) -> Finding:
    return Finding(
        code="strip-left-out",
        where=strip.name,
        message=f"The {strip.edge.treatment} of {strip.edge.along} on {strip.region} {why}; it is "
        "left out of the model.",
        remedy="Make the model larger or its wall thinner, or glue it on.",
    )
