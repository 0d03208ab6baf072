"""Meshes of parts: STL, OBJ and PLY in, the flat mesh as OBJ out."""

from io import BytesIO
from pathlib import Path

import numpy as np
import trimesh
from numpy.typing import NDArray

from buckwright.errors import FileError
from buckwright.files.writing import write_atomically
from buckwright.geometry.mesh_faults import (
    crowded_edges,
    repeated_triangles,
    thin_triangles,
    turned_alike,
    weld_vertices,
)
from buckwright.model.panels import Panel

__all__ = ["mesh_of_bytes", "read_panel", "write_flat_obj"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]

_WELD = 1e-6
"""Corners nearer than this part of the whole size are one vertex: STL repeats them."""


def read_panel(path: Path) -> Panel:
    """The part in a mesh file, named after it, in the file's units taken as millimetres.

    Corners that lie together are welded, and all triangles turned the same side outward.
    Raises FileError for a file that cannot be read or holds no triangles, and for a mesh with
    triangles without area, triangles that lie twice, more than two at an edge, or one side only.
    """
    vertices, triangles = _load(path)
    name = path.name
    size = float(np.ptp(vertices, axis=0).max())
    vertices, triangles = weld_vertices(vertices, triangles, reach=_WELD * size)
    thin = thin_triangles(vertices, triangles)
    if len(thin):
        raise _fault(
            f"{name} has {_count(len(thin), 'triangle')} without area",
            vertices[triangles[thin[0]]].mean(axis=0),
            "Mesh the part again, or let the program that made it remove degenerate triangles.",
        )
    repeated = repeated_triangles(triangles)
    if len(repeated):
        raise _fault(
            f"In {name} {_count(len(repeated), 'triangle')} {_lie(len(repeated))} twice",
            vertices[triangles[repeated[0]]].mean(axis=0),
            "Remove the copies, or export the part once.",
        )
    crowded = crowded_edges(triangles)
    if len(crowded):
        raise _fault(
            f"In {name} more than two triangles meet at {_count(len(crowded), 'edge')}",
            vertices[crowded[0]].mean(axis=0),
            "Take flanges and inner walls out of the mesh, so that it is one skin.",
        )
    turned = turned_alike(triangles)
    if turned is None:
        raise FileError(
            f"{name} has one side only, like a twisted loop.",
            "Cut it and turn one end over before joining it again.",
        )
    return Panel(name=path.stem, region="", vertices=vertices, triangles=turned)


def write_flat_obj(path: Path, flat: Array, triangles: Index) -> None:
    """Write the flat mesh (n, 2), z = 0, in millimetres, triangles in their order.

    Raises FileError where it cannot be written.
    """
    lines = ["# blank laid flat, millimetres, outside up"]
    lines += [f"v {x:.17g} {y:.17g} 0" for x, y in flat.tolist()]
    lines += [f"f {a} {b} {c}" for a, b, c in (triangles + 1).tolist()]
    write_atomically(path, "\n".join(lines) + "\n")


def _load(path: Path) -> tuple[Array, Index]:
    if not path.is_file():
        raise FileError(f"There is no file {path}.", "Look at its name and folder.")
    try:
        data = path.read_bytes()
    except OSError as error:
        raise FileError(
            f"{path} cannot be read ({error.strerror}).", "Look at its rights and its disk."
        ) from error
    return mesh_of_bytes(data, path.name)


def mesh_of_bytes(data: bytes, name: str) -> tuple[Array, Index]:
    """Vertices (n, 3) and triangles (m, 3) of an STL, OBJ or PLY named so, as they stand.

    Raises FileError for another kind, and for what cannot be read or holds no triangles.
    """
    path = Path(name)
    kind = path.suffix.lower().removeprefix(".")
    if kind not in ("stl", "obj", "ply"):
        raise FileError(f"{path.name} is not an STL, OBJ or PLY file.", "Export it as one of them.")
    try:
        mesh = trimesh.load_mesh(BytesIO(data), file_type=kind, process=False)
        vertices = np.array(mesh.vertices, dtype=np.float64)
        triangles = np.array(mesh.faces, dtype=np.int64)
    # The reader raises whatever its parsers stumble on: whichever it is, the file is at fault.
    except Exception as error:
        raise FileError(
            f"{path.name} cannot be read as a mesh.", "Export it again; it may be cut short."
        ) from error
    if triangles.size == 0 or triangles.ndim != 2 or triangles.shape[1] != 3:
        raise FileError(f"There are no triangles in {path.name}.", "Export the part as a mesh.")
    if triangles.min() < 0 or triangles.max() >= len(vertices):
        raise FileError(
            f"{path.name} names corners that it does not have.",
            "Export it again; it may be cut short.",
        )
    if not np.all(np.isfinite(vertices[triangles])):
        raise FileError(
            f"{path.name} has corners that are not numbers.", "Repair the mesh and export it again."
        )
    return vertices, triangles


def _fault(problem: str, place: Array, remedy: str) -> FileError:
    x, y, z = place
    return FileError(f"{problem}, first at x {x:.1f}, y {y:.1f}, z {z:.1f}.", remedy)


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def _lie(number: int) -> str:
    return "lies" if number == 1 else "lie"
