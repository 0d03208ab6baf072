"""Scans taken into the skin of a job."""

from collections.abc import Callable
from pathlib import Path
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import FileError, JobError
from buckwright.files.clouds import CLOUD_KINDS, cloud_of_bytes, is_cloud
from buckwright.files.meshes import mesh_of_bytes
from buckwright.flow.scan_places import Place, axes_findings
from buckwright.model.finding import Finding
from buckwright.model.job import Job
from buckwright.model.lines import LineNetwork
from buckwright.model.scans import ScanSource
from buckwright.model.skin import SkinRegion
from buckwright.skin.cloud import sheet_of_cloud
from buckwright.skin.mirroring import mirrored_region
from buckwright.skin.scanned import refuse_wrong_unit, scanned_region

__all__ = ["Keeper", "keep_scan", "read_scan_file", "scanned_regions"]


Array = NDArray[np.float64]
Index = NDArray[np.int64]


class Keeper(Protocol):
    """An open job that keeps originals, as `buckwright.store.JobFile` is."""

    def job(self) -> Job:
        """The job as it stands now."""

    def add_blob(self, data: bytes) -> str:
        """Keep these bytes; their SHA-256."""

    def change(self, description: str, job: Job, *, who: str = "") -> int:
        """Replace the job in one transaction that can be undone."""


def scanned_regions(
    job: Job, original: Callable[[str], bytes], network: LineNetwork | None
) -> tuple[SkinRegion, ...]:
    """The regions that the job's scans are, each left one followed by its mirror image.

    `original` gives the bytes behind a SHA-256. Raises FileError for a file that is no mesh,
    JobError for a scan that is no single sheet or plainly in another unit than the body.
    """
    found: list[SkinRegion] = []
    for scan in job.scans:
        region = _region(scan, original(scan.sha256), job.edge_length, network)
        found.append(region)
        if scan.side == "left":
            found.append(mirrored_region(region))
    return tuple(found)


def _region(
    scan: ScanSource, data: bytes, edge_length: float, network: LineNetwork | None
) -> SkinRegion:
    vertices, triangles, notes = _sheet(scan, data, edge_length)
    if network is not None and network.lines:
        points = np.vstack([line.points(60) for line in network.lines])
        size = float(np.ptp(vertices, axis=0).max())
        refuse_wrong_unit(scan.name, size, float(np.ptp(points, axis=0).max()))
    region = scanned_region(
        scan.name,
        vertices,
        triangles,
        edge_length=edge_length,
        side=scan.side,
        outward=scan.outward,
        close_below=scan.close_below,
    )
    return region.model_copy(update={"findings": (*axes_findings(scan), *notes, *region.findings)})


def _sheet(
    scan: ScanSource, data: bytes, edge_length: float
) -> tuple[Array, Index, tuple[Finding, ...]]:
    """Vertices, mm, and triangles of a mesh or of the sheet through a cloud, and what is told."""
    name = f"{scan.name}.{scan.kind}"
    if not is_cloud(data, scan.kind):
        vertices, triangles = mesh_of_bytes(data, name)
        return _moved(scan, vertices), triangles, ()
    points, broken = cloud_of_bytes(data, name)
    sheet = sheet_of_cloud(scan.name, _moved(scan, points), edge_length=edge_length)
    unread = Finding(
        code="scan-unread",
        where=scan.name,
        message=f"{broken} rows of the cloud '{scan.name}' had no three numbers and were left out.",
        remedy="Export it again if something is missing.",
        kind="note",
    )
    return sheet.vertices, sheet.triangles, (*((unread,) if broken else ()), *sheet.findings)


def _moved(scan: ScanSource, points: Array) -> Array:
    """Points of the file in vehicle axes, mm."""
    points = scan.unit * points
    if scan.axes is None:
        return points
    return np.asarray(points @ scan.axes.rotation.T + scan.axes.translation)


def read_scan_file(path: Path) -> bytes:
    """The bytes of a scan. Raises FileError where it cannot be read."""
    try:
        return path.read_bytes()
    except OSError as error:
        raise FileError(
            f"{path} cannot be read ({error.strerror}).", "Look at its name and folder."
        ) from error


def keep_scan(
    store: Keeper,
    network: LineNetwork | None,
    data: bytes,
    file_name: str,
    asked: ScanSource,
    *,
    place: Place | None = None,
) -> SkinRegion:
    """The region that a scan will be; the store keeps its bytes, and the job what was asked.

    `asked` says how it is taken; digest and kind become those of the file. `place` brings it into
    vehicle axes where it is in others. An older scan of the same name is replaced. Nothing is kept
    of one that is refused: see `scanned_regions`.
    """
    kind = Path(file_name).suffix.lower().removeprefix(".")
    kind = {"txt": "xyz", "asc": "xyz"}.get(kind, kind)
    if kind not in ("stl", "ply", "obj", *CLOUD_KINDS):
        raise FileError(
            f"{file_name} is not an STL, OBJ or PLY file, nor a cloud as XYZ or CSV.",
            "Export it as one of them.",
        )
    job = store.job()
    if asked.name in [spec.name for spec in job.regions]:
        raise JobError(
            f"The skin has a region '{asked.name}' over its lines already.",
            "Give the scan another name, or leave that region out first.",
        )
    scan = ScanSource.model_validate(asked.model_dump() | {"kind": kind})
    if place is not None:
        points, _, _ = _sheet(scan, data, job.edge_length)
        scan = scan.model_copy(update={"axes": place(scan, points)})
    region = _region(scan, data, job.edge_length, network)
    scan = scan.model_copy(update={"sha256": store.add_blob(data)})
    others = tuple(one for one in job.scans if one.name != scan.name)
    job = job.model_copy(update={"scans": (*others, scan)})
    store.change(f"scan '{scan.name}' taken into the skin", job)
    return region
