"""`make_gauges`: profile cards across regions, left and right, and what goes with them."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.gauges.batten import LAW
from buckwright.gauges.cards import card, level_marks, line_marks, mirrored_card
from buckwright.gauges.choose import Chosen, choose_planes
from buckwright.gauges.doubts import chosen_findings, oblique_findings
from buckwright.gauges.planes import CutPlane, axis_plane, given_plane, plane_at_line
from buckwright.gauges.sections import Face, metal_face
from buckwright.model.finding import Finding
from buckwright.model.gauges import Gauge, Gauges, GaugeSet, GaugeSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin, SkinRegion

__all__ = ["make_gauges"]

Array = NDArray[np.float64]
FACES = {"outside": ("outside",), "inside": ("inside",), "both": ("outside", "inside")}


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
    )


def _made(spec: GaugeSpec, region: SkinRegion, network: LineNetwork) -> Gauges:
    gauges: list[Gauge] = []
    findings: list[Finding] = []
    sets: list[GaugeSet] = []
    for word in FACES[spec.face]:
        face = metal_face(region, depth=spec.metal if word == "inside" else 0.0)
        suffix = " inside" if word == "inside" else ""
        left: list[Gauge] = []
        for name, plane in _named_planes(spec, face, network):
            left += _cards(f"{spec.region} {name}", suffix, plane, (spec, region, network), face)
        if spec.tolerance is not None:
            normal = _normal(spec)
            chosen = choose_planes(face, normal, spec.tolerance)
            for at in chosen.at:
                plane = CutPlane(at * normal, normal)
                name = f"{spec.region} {_place_word(spec, float(at))}"
                left += _cards(name, suffix, plane, (spec, region, network), face)
            sets.append(_set(spec, word, normal, chosen))
            findings += chosen_findings(spec, chosen, suffix)
        findings += oblique_findings(left)
        gauges += [gauge for one in left for gauge in (one, mirrored_card(one))]
    return Gauges(gauges=tuple(gauges), findings=tuple(findings), sets=tuple(sets))


def _named_planes(
    spec: GaugeSpec, face: Face, network: LineNetwork
) -> Iterator[tuple[str, CutPlane]]:
    for value in spec.at:
        at = -abs(value) if spec.axis == "y" else value
        yield f"{spec.axis} {value:g}", axis_plane(spec.axis, at)
    for plane in spec.planes:
        yield plane.name, given_plane(plane)
    for place in spec.lines:
        name = f"{place.way} {place.line.removesuffix(' left')} {100.0 * place.share:g} %"
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


def _set(spec: GaugeSpec, word: str, normal: Array, chosen: Chosen) -> GaugeSet:
    assert spec.tolerance is not None
    return GaugeSet(
        region=spec.region,
        face="inside" if word == "inside" else "outside",
        normal=normal,
        at=chosen.at,
        tolerance=spec.tolerance,
        error=chosen.error,
        error_at=chosen.error_at,
        law=LAW,
    )


def _normal(spec: GaugeSpec) -> Array:
    if spec.direction is None:
        return np.eye(3)["xyz".index(spec.axis)]
    normal = np.array(spec.direction)
    length = float(np.linalg.norm(normal))
    if not np.isfinite(length) or length < 1e-12:
        raise JobError(
            f"The gauges of the {spec.region} have no direction.",
            "Give it as three figures that are not all zero.",
        )
    return np.asarray(normal / length)


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
