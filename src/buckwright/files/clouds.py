"""Point clouds: PLY without triangles, and text with three numbers in each row."""

import re
from io import BytesIO
from pathlib import Path

import numpy as np
import trimesh
from numpy.typing import NDArray

from buckwright.errors import FileError

__all__ = ["CLOUD_KINDS", "cloud_of_bytes", "is_cloud"]

Array = NDArray[np.float64]

CLOUD_KINDS = ("xyz", "csv")
MOST_POINTS = 2_000_000
BROKEN = 0.05
"""Share of rows without three numbers beyond which a file is refused."""


def is_cloud(data: bytes, kind: str) -> bool:
    """Whether a scan's file holds points alone."""
    if kind in CLOUD_KINDS:
        return True
    if kind != "ply":
        return False
    head = data[:20_000].partition(b"end_header")[0]
    faces = re.search(rb"element face (\d+)", head)
    return bool(head.startswith(b"ply")) and (faces is None or int(faces[1]) == 0)


def cloud_of_bytes(data: bytes, name: str) -> tuple[Array, int]:
    """Points (n, 3) of a cloud as they stand, and how many rows without numbers were left out.

    Raises FileError for a file that cannot be read, holds no points, or has too many broken rows.
    """
    points = _of_ply(data, name) if Path(name).suffix.lower() == ".ply" else _of_text(data, name)
    if not len(points):
        raise FileError(f"There are no points in {name}.", "Export the cloud again.")
    if len(points) > MOST_POINTS:
        raise FileError(
            f"{name} has more than {MOST_POINTS / 1e6:.0f} million points.",
            "Let the scanner's program thin it out.",
        )
    good = np.isfinite(points).all(axis=1) & (np.abs(points) < 1e9).all(axis=1)
    broken = int((~good).sum())
    if broken > BROKEN * len(points):
        raise FileError(
            f"{broken} of {len(points)} points of {name} are no numbers.",
            "Export it again with a decimal point, or with semicolons between decimal commas.",
        )
    return points[good], broken


def _of_ply(data: bytes, name: str) -> Array:
    try:
        found = trimesh.load(BytesIO(data), file_type="ply", process=False)
        if isinstance(found, trimesh.PointCloud | trimesh.Trimesh):
            return np.array(found.vertices, dtype=np.float64).reshape(-1, 3)
    # The reader raises whatever its parsers stumble on: whichever it is, the file is at fault.
    except Exception as error:
        raise FileError(
            f"{name} cannot be read as a cloud.", "Export it again; it may be cut short."
        ) from error
    return np.zeros((0, 3))


def _of_text(data: bytes, name: str) -> Array:
    """Rows of x, y, z and whatever stands behind them; nan where a row has no three numbers."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileError(f"{name} cannot be read as text.", "Save it as text.") from error
    rows = [row.strip() for row in text.splitlines()]
    rows = [row for row in rows if row and not row.startswith("#")]
    if rows and re.match(r"\D*[xX]\b", rows[0]):
        _refuse_head(rows.pop(0), name)
    if rows and any(";" in row for row in rows[:5]):
        rows = [row.replace(",", ".").replace(";", " ") for row in rows]
    return np.array([_three(row) for row in rows], dtype=np.float64).reshape(-1, 3)


def _refuse_head(head: str, name: str) -> None:
    columns = [cell.strip().lower()[:1] for cell in re.split(r"[;,\t ]+", head)]
    if columns[:3] != ["x", "y", "z"]:
        raise FileError(f"The columns of {name} are not x, y, z.", "Put these three first.")


def _three(row: str) -> tuple[float, float, float]:
    cells = row.replace(",", " ").split()
    try:
        x, y, z = (float(cell) for cell in cells[:3])
    except ValueError:
        return (np.nan, np.nan, np.nan)
    return x, y, z
