"""From the wires that are asked for to rods in their places, and to wires as products."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil

from buckwright.buck.creases import Creases
from buckwright.buck.joints import cut_wires, cuts_asked
from buckwright.buck.layers import LayerPlan, Wanted, assign_layers
from buckwright.buck.metal import Metal, end_clear_of_metal
from buckwright.buck.paths import Path, line_paths, mirrored_path, section_paths
from buckwright.buck.rods import Rod, bend_radius, lay_rod, set_in_of
from buckwright.buck.splices import part_lengths, splices_of
from buckwright.buck.springback import elastic_radius, forming_radius
from buckwright.errors import JobError
from buckwright.geometry.curved_mesh import CurvedMesh
from buckwright.model.buck import BuckSpec, BuiltWire, Tack, Wire, WireSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin, SkinRegion
from buckwright.tables.steel import rod_mass_per_mm

__all__ = ["Ground", "lay_rods", "paths_of_wire", "paths_of_wires", "wire_of"]

SHORTEST = 50.0
"""mm: a section shorter than this is not worth a wire."""
LINE_WEIGHT = 3.0
"""A line's wire is kept against the metal rather than a section's."""


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """What wires lie under: regions with the smooth surface behind each, creases, sheet.

    Right regions are images of the left. `set_in`, mm, is that of a wire against the metal.
    """

    meshes: tuple[tuple[SkinRegion, CurvedMesh], ...]
    creases: Creases
    metal: Metal
    set_in: float

    @staticmethod
    def under(skin: Skin, spec: BuckSpec) -> "Ground":
        """The ground of a skin for the spec's sheet and rod."""
        meshes = tuple(
            (region, CurvedMesh(region.vertices, region.triangles))
            for region in skin.regions
            if region.side != "right"
        )
        sheet, diameter = spec.sheet_thickness, spec.rod_diameter
        return Ground(
            meshes=meshes,
            creases=Creases(meshes),
            metal=Metal(meshes, sheet=sheet, diameter=diameter),
            set_in=set_in_of(0, sheet=sheet, diameter=diameter),
        )


def paths_of_wires(
    specs: Sequence[WireSpec], network: LineNetwork, ground: Ground
) -> tuple[list[Path], list[int]]:
    """Where every wire runs, and for each the number of the one it mirrors (its own if none).

    Wires of a left region are followed by their mirror images. Raises JobError for a wire whose
    region, line or plane is not there, or whose name is taken.
    """
    paths: list[Path] = []
    twins: list[int] = []
    for spec in specs:
        for path in paths_of_wire(spec, network, ground):
            twins.append(len(paths))
            paths.append(path)
            if path.side == "left":
                twins.append(len(paths) - 1)
                paths.append(mirrored_path(path))
    refuse_shared_names(path.name for path in paths)
    return paths, twins


def paths_of_wire(spec: WireSpec, network: LineNetwork, ground: Ground) -> list[Path]:
    """The pieces of one wire, without their right images, and with ends clear of other metal.

    Raises JobError for a wire whose region, line or plane is not there.
    """
    return [
        end_clear_of_metal(path, ground.set_in, ground.metal)
        for path in _on_the_skin(spec, network, ground)
    ]


def refuse_shared_names(names: Iterable[str]) -> None:
    """Raises JobError if two wires have one name."""
    seen: set[str] = set()
    for name in names:
        if name in seen:
            raise JobError(f"Two wires are called '{name}'.", "Give each wire a name of its own.")
        seen.add(name)


def _region_of(spec: WireSpec, ground: Ground) -> tuple[SkinRegion, CurvedMesh]:
    found = [pair for pair in ground.meshes if pair[0].name == spec.region]
    if not found:
        known = ", ".join(sorted({region.name for region, _ in ground.meshes}))
        raise JobError(
            f"The wire '{spec.name}' lies on the region '{spec.region}', which the skin has not.",
            f"Choose one of: {known}.",
        )
    return found[0]


def _on_the_skin(spec: WireSpec, network: LineNetwork, ground: Ground) -> tuple[Path, ...]:
    if (spec.line is None) == (spec.plane is None):
        raise JobError(
            f"The wire '{spec.name}' must follow either a line or a section at a plane.",
            "Give it one of the two.",
        )
    region, mesh = _region_of(spec, ground)
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
        for other, its in ground.meshes
        if other.side == region.side and other.name != region.name and _carries(other, spec.line)
    ]
    return line_paths(spec, named[0], region, mesh, others, ground.creases)


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
    layers = {
        (wire.identity or wire.name, wire.side): wire.layer
        for wire in built
        if wire.layer is not None
    }
    keys = [(path.identity, path.side) for path in paths]
    return {number: layers[key] for number, key in enumerate(keys) if key in layers}


def wire_of(rod: Rod, spec: BuckSpec, tacks: Sequence[Tack] = ()) -> Wire:
    """The wire as a product: lengths, bends, splices, mass."""
    path = rod.path
    splices = splices_of(rod, tacks, spec)
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
        piece=path.piece,
        asked=path.spec.name,
        stage=path.spec.stage,
        splices=splices,
        parts=part_lengths(rod.length, splices, allowance=spec.end_allowance),
    )
