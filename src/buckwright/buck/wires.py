"""From the wires that are asked for to rods in their places, and to wires as products."""

import re
from collections.abc import Iterable, Sequence
from math import ceil

from buckwright.buck.creases import Creases
from buckwright.buck.joints import cut_wires, cuts_asked
from buckwright.buck.layers import LayerPlan, Wanted, assign_layers
from buckwright.buck.metal import Metal, end_clear_of_metal
from buckwright.buck.paths import Path, line_paths, mirrored_path, section_paths
from buckwright.buck.rods import Rod, bend_radius, lay_rod
from buckwright.buck.springback import elastic_radius, forming_radius
from buckwright.errors import JobError
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.model.buck import BuckSpec, BuiltWire, Wire, WireSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin, SkinRegion
from buckwright.tables.steel import rod_mass_per_mm

__all__ = ["curved_meshes", "lay_rods", "paths_of_wires", "wire_of"]

SHORTEST = 50.0
"""mm: a section shorter than this is not worth a wire."""
LINE_WEIGHT = 3.0
"""A line's wire is kept against the metal rather than a section's."""


def curved_meshes(skin: Skin) -> list[tuple[SkinRegion, CurvedMesh]]:
    """The regions with the smooth surface behind each; right ones are images of the left."""
    return [
        (region, CurvedMesh(region.vertices, region.triangles))
        for region in skin.regions
        if region.side != "right"
    ]


def paths_of_wires(
    specs: Sequence[WireSpec],
    network: LineNetwork,
    meshes: Sequence[tuple[SkinRegion, CurvedMesh]],
    metal: Metal,
    *,
    set_in: float,
) -> tuple[list[Path], list[int]]:
    """Where every wire runs, and for each the number of the one it mirrors (its own if none).

    Wires of a left region are followed by their mirror images. Ends that would stand in the
    metal of another region, `set_in` mm deep, are cut back from it. Raises JobError for a wire
    whose region, line or plane is not there.
    """
    paths: list[Path] = []
    twins: list[int] = []
    creases = Creases(meshes)
    for spec in specs:
        for found in _paths_of(spec, network, meshes, creases):
            path = end_clear_of_metal(found, set_in, metal)
            twins.append(len(paths))
            paths.append(path)
            if path.side == "left":
                twins.append(len(paths) - 1)
                paths.append(mirrored_path(path))
    refuse_shared_names(path.name for path in paths)
    return paths, twins


def refuse_shared_names(names: Iterable[str]) -> None:
    """Raises JobError if two wires have one name."""
    seen: set[str] = set()
    for name in names:
        if name in seen:
            raise JobError(f"Two wires are called '{name}'.", "Give each wire a name of its own.")
        seen.add(name)


def _region_of(
    spec: WireSpec, meshes: Sequence[tuple[SkinRegion, CurvedMesh]]
) -> tuple[SkinRegion, CurvedMesh]:
    found = [pair for pair in meshes if pair[0].name == spec.region]
    if not found:
        known = ", ".join(sorted({region.name for region, _ in meshes}))
        raise JobError(
            f"The wire '{spec.name}' lies on the region '{spec.region}', which the skin has not.",
            f"Choose one of: {known}.",
        )
    return found[0]


def _paths_of(
    spec: WireSpec,
    network: LineNetwork,
    meshes: Sequence[tuple[SkinRegion, CurvedMesh]],
    creases: Creases,
) -> tuple[Path, ...]:
    if (spec.line is None) == (spec.plane is None):
        raise JobError(
            f"The wire '{spec.name}' must follow either a line or a section at a plane.",
            "Give it one of the two.",
        )
    region, mesh = _region_of(spec, meshes)
    if spec.line is None:
        return section_paths(spec, region, mesh, shortest=SHORTEST)
    named = [line for line in network.lines if line.name == spec.line]
    if not named:
        raise JobError(
            f"The wire '{spec.name}' follows the line '{spec.line}', which the job has not.",
            "Name one of the job's lines.",
        )
    others = [
        (other, its)
        for other, its in meshes
        if other.side == region.side and other.name != region.name and _carries(other, spec.line)
    ]
    return line_paths(spec, named[0], region, mesh, others, creases)


def _carries(region: SkinRegion, line: str) -> bool:
    return any(t.line == line for t in (*region.boundary, *region.inner, *region.holes))


def lay_rods(
    spec: BuckSpec,
    paths: Sequence[Path],
    twins: Sequence[int],
    built: Sequence[BuiltWire] = (),
) -> tuple[list[Rod], LayerPlan]:
    """Rods in layers that clear each other; those that end on another, or are to be cut where
    they cross it, butt against it. Wires that stand keep their layers.
    """
    sheet, diameter = spec.sheet_thickness, spec.rod_diameter
    laid: dict[tuple[int, int], Rod] = {}

    def lay(number: int, layer: int) -> Rod:
        key = (number, layer)
        if key not in laid:
            laid[key] = lay_rod(paths[number], layer, sheet=sheet, diameter=diameter)
        return laid[key]

    wanted = Wanted(
        least=[path.layer for path in paths],
        weights=[
            ceil((path.end - path.start) / 10.0 * (LINE_WEIGHT if path.along_line else 1.0))
            for path in paths
        ],
        twins=twins,
        stages=[path.spec.stage for path in paths],
        fixed=_layers_that_stand(paths, built),
        cuts=cuts_asked(paths),
    )
    plan = assign_layers(lay, wanted, diameter=diameter)
    rods = [lay(number, layer) for number, layer in enumerate(plan.layers)]
    pieces = cut_wires(rods, wanted.cuts, plan.ending, sheet=sheet, diameter=diameter)
    refuse_shared_names(rod.path.name for rod in pieces)
    return pieces, plan


def _layers_that_stand(paths: Sequence[Path], built: Sequence[BuiltWire]) -> dict[int, int]:
    layers = {wire.identity or wire.name: wire.layer for wire in built if wire.layer is not None}
    found = {}
    for number, path in enumerate(paths):
        known = re.escape(path.spec.identity or path.spec.name)
        pieces = re.compile(rf"{known}( \d+)?( {path.side})?")
        for identity, layer in layers.items():
            if identity == path.identity or pieces.fullmatch(identity):
                found[number] = layer
    return found


def wire_of(rod: Rod, spec: BuckSpec) -> Wire:
    """The wire as a product: lengths, bends, mass."""
    path = rod.path
    least = bend_radius(rod, diameter=spec.rod_diameter)
    sprung = least >= elastic_radius(spec.rod_diameter, spec.rod_yield)
    form = (
        0.0
        if sprung
        else forming_radius(least, diameter=spec.rod_diameter, yield_strength=spec.rod_yield)
    )
    return Wire(
        name=path.name,
        line=path.words,
        region=path.region,
        side=path.side,
        layer=rod.layer,
        diameter=spec.rod_diameter,
        axis=rod.points[:-1] if path.closed else rod.points,
        closed=path.closed,
        length=rod.length,
        cut_length=rod.length + 2.0 * spec.end_allowance,
        set_in=rod.set_in,
        least_radius=least,
        form_radius=form,
        sprung=sprung,
        mass=rod.length * rod_mass_per_mm(spec.rod_diameter),
        identity=path.identity,
        asked=path.spec.name,
        stage=path.spec.stage,
    )
