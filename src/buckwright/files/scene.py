"""The body in three dimensions for others to look at: GLB and STL.

GLB is in metres with Y up, as glTF 2.0 asks: vehicle (x, y, z) becomes (x, z, -y) / 1000. STL
knows no unit: it is in millimetres and vehicle axes.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import trimesh
from numpy.typing import NDArray
from trimesh.visual.material import PBRMaterial

from buckwright.errors import JobError
from buckwright.geometry.mesh import vertex_normals
from buckwright.geometry.sweep import sweep_tube
from buckwright.model.skin import Skin, SkinRegion, stack_regions

__all__ = ["Tube", "glb_bytes", "ply_bytes", "region_name", "solid_bytes", "stl_bytes"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Colour = tuple[int, int, int, int]

PAINT: Colour = (166, 178, 186, 255)


class Tube(NamedTuple):
    """A rod or tube to be shown: its axis (n, 3) mm, outer diameter, and colour 0 to 255."""

    name: str
    axis: Array
    closed: bool
    diameter: float
    rgba: Colour


def glb_bytes(
    skin: Skin,
    tubes: Sequence[Tube | tuple[str, Array, bool, float, Colour]],
    *,
    paint: Colour = PAINT,
) -> bytes:
    """A GLB scene: a named node for each region of the skin and each tube.

    Regions are seen from both sides. Raises JobError where there is nothing to show.
    """
    scene = trimesh.Scene()
    for region in skin.regions:
        normals = vertex_normals(region.vertices, region.triangles)
        mesh = _mesh(region.vertices, region.triangles, paint, normals=normals)
        _add(scene, region_name(region), mesh)
    for tube in tubes:
        name, axis, closed, diameter, rgba = tube
        vertices, triangles = sweep_tube(np.asarray(axis), diameter, closed=closed)
        normals = vertex_normals(vertices, triangles)
        _add(scene, name, _mesh(vertices, triangles, rgba, normals=normals))
    if not scene.geometry:
        raise JobError("There is nothing to show.", "Span the skin first.")
    written = trimesh.exchange.gltf.export_glb(  # type: ignore[no-untyped-call]
        scene, include_normals=True
    )
    return bytes(written)


def stl_bytes(skin: Skin) -> bytes:
    """All regions as one binary STL, mm, vehicle axes. Raises JobError for an empty skin."""
    if not skin.regions:
        raise JobError("There is nothing to write.", "Span the skin first.")
    meshes = [trimesh.Trimesh(r.vertices, r.triangles, process=False) for r in skin.regions]
    return bytes(trimesh.exchange.stl.export_stl(trimesh.util.concatenate(meshes)))


def ply_bytes(skin: Skin) -> bytes:
    """All regions as one binary PLY, mm, vehicle axes, in double precision.

    Vertices keep the order of the regions; each triangle tells the number of its region. Raises
    JobError for an empty skin.
    """
    if not skin.regions:
        raise JobError("There is nothing to write.", "Span the skin first.")
    number = [np.full(len(region.triangles), k) for k, region in enumerate(skin.regions)]
    named = "; ".join(f"{k} {region_name(region)}" for k, region in enumerate(skin.regions))
    return _ply(
        *stack_regions(skin.regions),
        np.concatenate(number),
        f"millimetres, x rearward, y to the right, z up; regions: {named}",
    )


def solid_bytes(vertices: Array, triangles: Index, kind: str) -> bytes:
    """A closed body, mm, as binary 'stl' or 'ply'; ValueError for another kind."""
    if kind == "stl":
        mesh = trimesh.Trimesh(vertices, triangles, process=False)
        return bytes(trimesh.exchange.stl.export_stl(mesh))
    if kind == "ply":
        return _ply(vertices, triangles, np.zeros(len(triangles), dtype=np.int64), "millimetres")
    message = f"no writer for '{kind}'"
    raise ValueError(message)


def _ply(vertices: Array, triangles: Index, region: Index, comment: str) -> bytes:
    """Binary little-endian PLY 1.0: doubles, lists of three, and a region number for each."""
    head = (
        "ply",
        "format binary_little_endian 1.0",
        f"comment {comment}",
        f"element vertex {len(vertices)}",
        *(f"property double {axis}" for axis in "xyz"),
        f"element face {len(triangles)}",
        "property list uchar int vertex_indices",
        "property uchar region",
        "end_header",
        "",
    )
    kind = np.dtype([("n", "u1"), ("corners", "<i4", (3,)), ("region", "u1")])
    faces = np.empty(len(triangles), dtype=kind)
    faces["n"], faces["corners"], faces["region"] = 3, triangles, region
    text = "\n".join(head).encode("ascii", errors="replace")
    return text + np.asarray(vertices, dtype="<f8").tobytes() + faces.tobytes()


def region_name(region: SkinRegion) -> str:
    """The region's name, with its side unless it is whole."""
    return region.name if region.side == "whole" else f"{region.name} {region.side}"


def _to_gltf(vectors: Array) -> Array:
    return np.asarray(vectors[:, [0, 2, 1]] * np.array([1.0, 1.0, -1.0]))


def _mesh(
    vertices: Array, triangles: NDArray[np.int64], rgba: Colour, *, normals: Array
) -> trimesh.Trimesh:
    material = PBRMaterial(  # type: ignore[no-untyped-call]
        baseColorFactor=_linear(rgba), metallicFactor=0.3, roughnessFactor=0.5, doubleSided=True
    )
    look = trimesh.visual.TextureVisuals(material=material)  # type: ignore[no-untyped-call]
    return trimesh.Trimesh(
        _to_gltf(vertices) / 1000.0,
        triangles,
        vertex_normals=_to_gltf(normals),
        visual=look,
        process=False,
    )


def _linear(rgba: Colour) -> NDArray[np.uint8]:
    """The colour as glTF keeps it: parts of light, where screens are told parts of a curve.

    Reference: IEC 61966-2-1 (sRGB).
    """
    screen = np.array(rgba[:3]) / 255.0
    light = np.where(screen <= 0.04045, screen / 12.92, ((screen + 0.055) / 1.055) ** 2.4)
    return np.round(255.0 * np.append(light, rgba[3] / 255.0)).astype(np.uint8)


def _add(scene: trimesh.Scene, name: str, mesh: trimesh.Trimesh) -> None:
    """The mesh under its name; a name that is taken gets a number, as files need them unique."""
    unique, number = name, 2
    while unique in scene.geometry:
        unique, number = f"{name} ({number})", number + 1
    scene.add_geometry(mesh, geom_name=unique, node_name=unique)
