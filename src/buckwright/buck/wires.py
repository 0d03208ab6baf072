"""From the wires that are asked for to rods in their places, and to wires as products."""

from collections.abc import Callable, Sequence
from math import ceil

from buckwright.buck.layers import LayerPlan, assign_layers
from buckwright.buck.paths import Path, line_paths, mirrored_path, section_paths
from buckwright.buck.rods import Rod, bend_radius, lay_rod
from buckwright.buck.springback import elastic_radius, forming_radius
from buckwright.buck.tacks import cut_back_butts
from buckwright.errors import JobError
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.model.buck import BuckSpec, Wire, WireSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin, SkinRegion
from buckwright.tables.steel import rod_mass_per_mm

__all__ = ["lay_rods", "paths_of_wires", "wire_of"]

SHORTEST = 50.0
"""mm: a section shorter than this is not worth a wire."""
LINE_WEIGHT = 3.0
"""A line's wire is kept against the metal rather than a section's."""


def paths_of_wires(
    specs: Sequence[WireSpec], network: LineNetwork, skin: Skin
) -> tuple[list[Path], list[int]]:
    """Where every wire runs, and for each the number of the one it mirrors (its own if none).

    Wires of a left region are followed by their mirror images. Raises JobError for a wire whose
    region, line or plane is not there, or whose name is taken.
    """
    meshes: dict[str, CurvedMesh] = {}
    paths: list[Path] = []
    twins: list[int] = []

    def mesh_of(region: SkinRegion) -> CurvedMesh:
        if region.name not in meshes:
            meshes[region.name] = CurvedMesh(region.vertices, region.triangles)
        return meshes[region.name]

    for spec in specs:
        for path in _paths_of(spec, network, skin, mesh_of):
            twins.append(len(paths))
            paths.append(path)
            if path.side == "left":
                twins.append(len(paths) - 1)
                paths.append(mirrored_path(path))
    names = [path.name for path in paths]
    for name in names:
        if names.count(name) > 1:
            raise JobError(f"Two wires are called '{name}'.", "Give each wire a name of its own.")
    return paths, twins


def _region_of(spec: WireSpec, skin: Skin) -> SkinRegion:
    found = [r for r in skin.regions if r.name == spec.region and r.side != "right"]
    if not found:
        known = ", ".join(sorted({region.name for region in skin.regions}))
        raise JobError(
            f"The wire '{spec.name}' lies on the region '{spec.region}', which the skin has not.",
            f"Choose one of: {known}.",
        )
    return found[0]


def _paths_of(
    spec: WireSpec, network: LineNetwork, skin: Skin, mesh_of: Callable[[SkinRegion], CurvedMesh]
) -> tuple[Path, ...]:
    if (spec.line is None) == (spec.plane is None):
        raise JobError(
            f"The wire '{spec.name}' must follow either a line or a section at a plane.",
            "Give it one of the two.",
        )
    region = _region_of(spec, skin)
    if spec.line is None:
        return section_paths(spec, region, mesh_of(region), shortest=SHORTEST)
    named = [line for line in network.lines if line.name == spec.line]
    if not named:
        raise JobError(
            f"The wire '{spec.name}' follows the line '{spec.line}', which the job has not.",
            "Name one of the job's lines.",
        )
    others = [
        (other, mesh_of(other))
        for other in skin.regions
        if other.side == region.side and other.name != region.name and _carries(other, spec.line)
    ]
    return line_paths(spec, named[0], region, mesh_of(region), others)


def _carries(region: SkinRegion, line: str) -> bool:
    return any(t.line == line for t in (*region.boundary, *region.inner, *region.holes))


def lay_rods(
    spec: BuckSpec, paths: Sequence[Path], twins: Sequence[int]
) -> tuple[list[Rod], LayerPlan]:
    """Rods in layers that clear each other, those that end on another cut back to it."""
    sheet, diameter = spec.sheet_thickness, spec.rod_diameter
    laid: dict[tuple[int, int], Rod] = {}

    def lay(number: int, layer: int) -> Rod:
        key = (number, layer)
        if key not in laid:
            laid[key] = lay_rod(paths[number], layer, sheet=sheet, diameter=diameter)
        return laid[key]

    least = [path.layer for path in paths]
    weights = [
        ceil((path.end - path.start) / 10.0 * (LINE_WEIGHT if path.along_line else 1.0))
        for path in paths
    ]
    plan = assign_layers(lay, least, weights, twins, diameter=diameter)
    rods = [lay(number, layer) for number, layer in enumerate(plan.layers)]
    return cut_back_butts(rods, sheet=sheet, diameter=diameter), plan


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
    )
