"""The body in three dimensions for others to look at: GLB, STL and PLY.

Turned edges are meshes of their own beside the regions: 'flange of belt left'.

GLB is in metres with Y up, as glTF 2.0 asks: vehicle (x, y, z) becomes (x, z, -y) / 1000. STL
knows no unit: it is in millimetres and vehicle axes.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
import trimesh
from numpy.typing import NDArray
from trimesh.visual.material import PBRMaterial

from buckwright.errors import JobError
from buckwright.geometry.mesh import vertex_normals
from buckwright.geometry.sweep import sweep_tube
from buckwright.model.skin import Skin, SkinRegion
from buckwright.model.treatments import EdgeStrip

__all__ = [
    "Tube",
    "glb_bytes",
    "ply_bytes",
    "region_name",
    "solid_bytes",
    "stl_bytes",
    "strip_name",
]

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
    """A GLB scene: a named node for each region of the skin, each turned edge and each tube.

    Metal is seen from both sides. Raises JobError where there is nothing to show.
    """
    scene = trimesh.Scene()
    for name, vertices, triangles in _named(skin):
        normals = vertex_normals(vertices, triangles)
        _add(scene, name, _mesh(vertices, triangles, paint, normals=normals))
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
    """All regions and turned edges as one binary STL, mm, vehicle axes.

    Raises JobError for an empty skin.
    """
    if not skin.regions:
        raise JobError("There is nothing to write.", "Span the skin first.")
    meshes = [trimesh.Trimesh(v, t, process=False) for _, v, t in _named(skin)]
    return bytes(trimesh.exchange.stl.export_stl(trimesh.util.concatenate(meshes)))


def ply_bytes(skin: Skin) -> bytes:
    """All regions and turned edges as one binary PLY, mm, vehicle axes, in double precision.

    Vertices keep their order; each triangle tells the number of its region or turned edge, which
    the head names. Raises JobError for an empty skin.
    """
    if not skin.regions:
        raise JobError("There is nothing to write.", "Span the skin first.")
    parts = list(_named(skin))
    starts = np.cumsum([0, *(len(vertices) for _, vertices, _ in parts)])
    number = [np.full(len(triangles), k) for k, (_, _, triangles) in enumerate(parts)]
    named = "; ".join(f"{k} {name}" for k, (name, _, _) in enumerate(parts))
    return _ply(
        np.vstack([vertices for _, vertices, _ in parts]),
        np.vstack([t + start for (_, _, t), start in zip(parts, starts, strict=False)]),
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
        "property ushort region",
        "end_header",
        "",
    )
    kind = np.dtype([("n", "u1"), ("corners", "<i4", (3,)), ("region", "<u2")])
    faces = np.empty(len(triangles), dtype=kind)
    faces["n"], faces["corners"], faces["region"] = 3, triangles, region
    text = "\n".join(head).encode("ascii", errors="replace")
    return text + np.asarray(vertices, dtype="<f8").tobytes() + faces.tobytes()


def region_name(region: SkinRegion) -> str:
    """The region's name, with its side unless it is whole."""
    return region.name if region.side == "whole" else f"{region.name} {region.side}"


def strip_name(strip: EdgeStrip) -> str:
    """What a turned edge is called in files: `flange of belt left`."""
    return f"{strip.edge.treatment} of {strip.edge.along}"


def _named(skin: Skin) -> Iterator[tuple[str, Array, Index]]:
    for region in skin.regions:
        yield region_name(region), region.vertices, region.triangles
    for strip in skin.strips:
        yield strip_name(strip), strip.vertices, strip.triangles


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
