"""`make_gauges`: profile cards across regions, left and right, and what goes with them."""

from collections.abc import Iterator
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.gauges.batten import LAW
from buckwright.gauges.cards import card, level_marks, line_marks, mirrored_card
from buckwright.gauges.choose import Chosen, choose_planes
from buckwright.gauges.doubts import (
    OBLIQUE_DEG,
    bevel_findings,
    chosen_findings,
    left_out_findings,
    oblique_findings,
)
from buckwright.gauges.planes import CutPlane, axis_plane, given_plane, plane_at_line
from buckwright.gauges.sections import Face, metal_face
from buckwright.gauges.stand import mirrored_stand, put_on_feet
from buckwright.gauges.sweeps import choose_sweeps, mirrored_sweeps
from buckwright.model.finding import Finding
from buckwright.model.gauges import Gauge, Gauges, GaugeSet, GaugeSpec, Stand
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin, SkinRegion

__all__ = ["make_gauges"]

Array = NDArray[np.float64]
STOOD_DEG = 30.0
"""Least angle between metal and a chosen card that a stand holds in its plane."""
Side = Literal["outside", "inside"]
FACES: dict[str, tuple[Side, ...]] = {
    "outside": ("outside",),
    "inside": ("inside",),
    "both": ("outside", "inside"),
}


def make_gauges(specs: tuple[GaugeSpec, ...], skin: Skin, network: LineNetwork) -> Gauges:
    """Cards for every spec, in order, each left card followed by its right one.

    A card touches the metal along its profile; the profile is true to the skin within the mesh's
    own truth (some hundredths of a millimetre on a 25 mm mesh). Cards come at named places, in
    given planes, at places on lines, and as many more as a tolerance asks for. Where the metal is
    interrupted (a window) there is a card for each piece. Of a region over the whole width the
    left half is taken. Raises JobError where a plane misses its region or a card cannot be made.
    """
    parts = [_made(spec, _left_region(spec, skin), network) for spec in specs]
    return Gauges(
        gauges=tuple(gauge for part in parts for gauge in part.gauges),
        findings=tuple(finding for part in parts for finding in part.findings),
        sets=tuple(chosen for part in parts for chosen in part.sets),
        stands=tuple(stand for part in parts for stand in part.stands),
        sweeps=tuple(one for part in parts for one in part.sweeps),
    )


def _made(spec: GaugeSpec, region: SkinRegion, network: LineNetwork) -> Gauges:
    parts = [_one_face(word, spec, region, network) for word in FACES[spec.face]]
    sweeps = [] if spec.sweeps is None else [choose_sweeps(region, spec.sweeps)]
    sweeps += [mirrored_sweeps(one) for one in sweeps if one.side == "left"]
    return Gauges(
        gauges=tuple(gauge for part in parts for gauge in part.gauges),
        findings=(
            *(finding for part in parts for finding in part.findings),
            *(finding for one in sweeps if one.side != "right" for finding in one.findings),
        ),
        sets=tuple(chosen for part in parts for chosen in part.sets),
        stands=tuple(stand for part in parts for stand in part.stands),
        sweeps=tuple(sweeps),
    )


def _one_face(word: Side, spec: GaugeSpec, region: SkinRegion, network: LineNetwork) -> Gauges:
    """Cards, their proof and their stand for one face of the metal."""
    face = metal_face(region, depth=spec.metal if word == "inside" else 0.0)
    suffix = " inside" if word == "inside" else ""
    source = (spec, region, network)
    planes = dict(_named_planes(spec, face, network))
    sets, findings = [], []
    if spec.tolerance is not None:
        normal = _normal(spec)
        least = STOOD_DEG if spec.stand else OBLIQUE_DEG
        chosen = choose_planes(face, normal, spec.tolerance, least_square_deg=least)
        planes |= {_place_word(spec, float(at)): CutPlane(at * normal, normal) for at in chosen.at}
        sets.append(_set(spec, word, normal, chosen))
        findings += chosen_findings(spec, chosen, suffix)
    left: list[Gauge] = []
    for name, plane in planes.items():
        left += _cards(f"{spec.region} {name}", suffix, plane, source, face)
    stands: list[Stand] = []
    if spec.stand:
        left, stands, doubts = _stood(left, spec, face)
        findings += doubts
    return Gauges(
        gauges=tuple(gauge for one in left for gauge in (one, mirrored_card(one))),
        findings=(*findings, *oblique_findings(left, stands), *bevel_findings(left, stands)),
        sets=tuple(sets),
        stands=tuple(stand for one in stands for stand in (one, mirrored_stand(one))),
    )


def _stood(
    cards: list[Gauge], spec: GaugeSpec, face: Face
) -> tuple[list[Gauge], list[Stand], list[Finding]]:
    """The cards with those that are parallel on feet, their stand, or why there is none."""
    family = max(
        ([c for c in cards if np.allclose(c.axes, one.axes, atol=1e-9)] for one in cards), key=len
    )
    try:
        feet, stand = put_on_feet(family, spec, face.curved)
    except JobError as error:
        where = f"{spec.region}{' inside' if cards[0].face == 'inside' else ''}"
        doubt = Finding(code="no-stand", where=where, message=error.problem, remedy=error.remedy)
        return cards, [], [doubt]
    by_name = {card.name: card for card in feet}
    doubts = left_out_findings(stand, [card.name for card in family])
    return [by_name.get(card.name, card) for card in cards], [stand], doubts


def _named_planes(
    spec: GaugeSpec, face: Face, network: LineNetwork
) -> Iterator[tuple[str, CutPlane]]:
    for value in spec.at:
        at = -abs(value) if spec.axis == "y" else value
        yield f"{spec.axis} {value:g}", axis_plane(spec.axis, at)
    for plane in spec.planes:
        yield plane.name, given_plane(plane)
    for place in spec.lines:
        line = place.line.removesuffix(" left").removeprefix(spec.region).strip()
        name = f"{place.way} {line} {100.0 * place.share:g} %"
        yield name, plane_at_line(place, network, face.curved)


def _cards(
    name: str,
    suffix: str,
    plane: CutPlane,
    source: tuple[GaugeSpec, SkinRegion, LineNetwork],
    face: Face,
) -> list[Gauge]:
    """The left cards in that plane: one for each piece of the section."""
    spec, region, network = source
    profiles = face.cut(plane)
    if not profiles:
        raise JobError(
            f"The gauge plane {_plane_words(spec, name, plane)} does not cut the {spec.region}.",
            _reach_words(region, plane, face),
        )
    marks = line_marks(region, network, plane)
    made = []
    for number, profile in enumerate(profiles, start=1):
        part = f" part {number}" if len(profiles) > 1 else ""
        one = card(f"{name}{part}{suffix}", profile, plane, marks, spec)
        if not one.mark_names:
            levels = level_marks(profile, plane)
            one = card(f"{name}{part}{suffix}", profile, plane, levels, spec)
        made.append(one)
    return made


def _set(spec: GaugeSpec, word: Side, normal: Array, chosen: Chosen) -> GaugeSet:
    assert spec.tolerance is not None
    return GaugeSet(
        region=spec.region,
        face=word,
        normal=normal,
        at=chosen.at,
        tolerance=spec.tolerance,
        error=chosen.error,
        error_at=chosen.error_at,
        law=LAW,
        runs=chosen.runs,
    )


def _normal(spec: GaugeSpec) -> Array:
    if spec.direction is None:
        return axis_plane(spec.axis, 0.0).normal
    normal = np.array(spec.direction)
    length = float(np.linalg.norm(normal))
    if not np.isfinite(length) or length < 1e-12:
        raise JobError(
            f"The gauges of the {spec.region} have no direction.",
            "Give it as three figures that are not all zero.",
        )
    # Toward the rear, the right, or up, so that places along it read as on an axis.
    return np.asarray(normal * np.sign(normal[np.argmax(np.abs(normal))]) / length)


def _place_word(spec: GaugeSpec, at: float) -> str:
    if spec.direction is not None:
        return f"at {at + 0.0:g}"
    return f"{spec.axis} {abs(at) if spec.axis == 'y' else at + 0.0:g}"


def _plane_words(spec: GaugeSpec, name: str, plane: CutPlane) -> str:
    if plane.oblique:
        return f"'{name.removeprefix(spec.region).strip()}'"
    return f"{plane.axis} = {plane.point['xyz'.index(plane.axis)]:g}"


def _left_region(spec: GaugeSpec, skin: Skin) -> SkinRegion:
    for region in skin.regions:
        if region.name == spec.region and region.side in ("left", "whole"):
            return region
    there = ", ".join(sorted({region.name for region in skin.regions})) or "none"
    raise JobError(
        f"Gauges are asked for on '{spec.region}', which the skin does not have.",
        f"Name one of: {there}.",
    )


def _reach_words(region: SkinRegion, plane: CutPlane, face: Face) -> str:
    if plane.oblique:
        low, high = region.vertices.min(axis=0), region.vertices.max(axis=0)
        corners = "; ".join(
            f"{axis} {a:.0f} to {b:.0f}" for axis, a, b in zip("xyz", low, high, strict=True)
        )
        return f"Choose planes that pass through it: it reaches over {corners}."
    along = region.vertices[:, "xyz".index(plane.axis)]
    if plane.axis == "y" and face.whole:
        along = np.minimum(along, 0.0)
    if plane.axis == "y":
        along = np.abs(along)
    return f"Choose planes between {plane.axis} = {along.min():.0f} and {along.max():.0f}."
