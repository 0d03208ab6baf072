"""The packet: everything the shop floor needs, as a folder or as one zip."""

from collections.abc import Callable, Iterable, Iterator
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from typing import Literal
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from buckwright.drawings import every_caution, packet_sheets
from buckwright.errors import FileError, JobError
from buckwright.files.packet import packet_files
from buckwright.files.photographs import display_jpeg
from buckwright.files.scene import Tube, glb_bytes
from buckwright.files.step import step_text
from buckwright.files.writing import write_atomically
from buckwright.flow.departures import watched_dimensions
from buckwright.flow.steps import findings_of
from buckwright.flow.tapes import tape_check
from buckwright.flow.treatment_rows import treatment_rows
from buckwright.lines.agreement import view_agreement
from buckwright.model.buck import Buck
from buckwright.model.job import Job, Products, step_digests
from buckwright.model.lines import Dimension
from buckwright.skin.pressing import pressed_skin
from buckwright.store import JobFile

__all__ = [
    "Paper",
    "issue_packet",
    "issue_zip",
    "make_packet",
    "packet_contents",
    "packet_zip",
    "write_contents",
    "zipped",
]

Paper = Literal["A4", "A3", "Letter"]
Photograph = Callable[[str], bytes]

_ROD, _FRAME = (60, 64, 72, 255), (176, 92, 40, 255)


def packet_contents(
    job: Job,
    products: Products,
    photograph: Photograph,
    *,
    paper: Paper = "A4",
    stamp: str = "",
    progress: Callable[[float], None] = lambda share: None,
) -> Iterator[tuple[str, bytes]]:
    """Each file's path in the packet and its bytes, one at a time.

    `stamp` is the date printed into the STEP file, ISO 8601; today if empty. Raises JobError if
    there is nothing to draw yet.
    """
    if products.lines is None:
        raise JobError("There is nothing to draw yet.", "Work the job out first.")
    sheets = packet_sheets(job, products, tape_check(job, products.lines))
    progress(0.1)
    files = packet_files(
        job,
        products,
        sheets,
        findings=findings_of(products, job),
        cautions=every_caution(),
        picture=_picture(job, photograph),
        paper=paper,
        dimensions=_dimensions(job, products),
        views=() if products.lines is None else view_agreement(products.lines, job.lines),
        treatments=() if products.skin is None else treatment_rows(job, products.skin),
        models=_models(job, products, stamp or datetime.now(UTC).isoformat(timespec="seconds")),
    )
    expected = 10.0 + 2.6 * len(sheets)
    for done, (name, data) in enumerate(files, start=1):
        progress(min(0.99, 0.1 + 0.9 * done / expected))
        yield name, data
    progress(1.0)


def make_packet(
    job: Job,
    products: Products,
    photograph: Photograph,
    folder: Path,
    *,
    paper: Paper = "A4",
    progress: Callable[[float], None] = lambda share: None,
) -> tuple[Path, ...]:
    """Write the packet into a folder that is new or empty; the files written.

    Raises FileError when the folder holds something, or the disk is full.
    """
    contents = packet_contents(job, products, photograph, paper=paper, progress=progress)
    return write_contents(contents, folder)


def write_contents(contents: Iterator[tuple[str, bytes]], folder: Path) -> tuple[Path, ...]:
    """Write named contents into a folder that is new or empty; the files written.

    Raises FileError when the folder holds something, or the disk is full.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        occupied = any(folder.iterdir())
    except OSError as error:
        raise FileError(
            f"{folder} cannot be used as a folder ({error.strerror}).", "Name another folder."
        ) from error
    if occupied:
        raise FileError(f"{folder} is not empty.", "Name a new folder for the packet.")
    written = []
    for name, data in contents:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        write_atomically(path, data)
        written.append(path)
    return tuple(written)


def packet_zip(
    job: Job,
    products: Products,
    photograph: Photograph,
    *,
    paper: Paper = "A4",
    progress: Callable[[float], None] = lambda share: None,
) -> bytes:
    """The packet as one zip; the same job gives the same bytes but for the STEP file's date."""
    contents = packet_contents(job, products, photograph, paper=paper, progress=progress)
    return zipped(contents, top=f"{job.name} {job.revision}")


def zipped(contents: Iterable[tuple[str, bytes]], *, top: str) -> bytes:
    """The files in one zip, in a folder named `top`; undated, so the same files, same bytes."""
    buffer = BytesIO()
    with ZipFile(buffer, "w", ZIP_DEFLATED) as archive:
        for name, data in contents:
            archive.writestr(ZipInfo(f"{top}/{name}"), data, ZIP_DEFLATED)
    return buffer.getvalue()


def issue_packet(
    file: JobFile,
    folder: Path,
    *,
    paper: Paper = "A4",
    progress: Callable[[float], None] = lambda share: None,
) -> tuple[Path, ...]:
    """Write the packet of a job file, and note in it that its drawings are up to date."""
    job = file.job()
    written = make_packet(
        job, file.products(), file.picture_bytes, folder, paper=paper, progress=progress
    )
    _note_drawn(file, job)
    return written


def issue_zip(
    file: JobFile,
    *,
    paper: Paper = "A4",
    progress: Callable[[float], None] = lambda share: None,
) -> bytes:
    """The same as one zip."""
    job = file.job()
    data = packet_zip(job, file.products(), file.picture_bytes, paper=paper, progress=progress)
    _note_drawn(file, job)
    return data


def _note_drawn(file: JobFile, job: Job) -> None:
    file.keep_products(Products(), {"drawings": step_digests(job)["drawings"]})


def _dimensions(job: Job, products: Products) -> tuple[Dimension, ...]:
    """Those watched; none where one of them cannot be taken any more, which the page says."""
    try:
        return () if products.lines is None else watched_dimensions(job, products.lines)
    except JobError:
        return ()


def _picture(job: Job, photograph: Photograph) -> bytes | None:
    if not job.pictures:
        return None
    return display_jpeg(photograph(job.pictures[0].sha256), most=1400)


def _models(job: Job, products: Products, stamp: str) -> dict[str, bytes]:
    if products.skin is None:
        return {}
    tubes = _tubes(products.buck) if products.buck is not None else ()
    return {
        "model/body.glb": glb_bytes(pressed_skin(products.skin), tubes),
        "model/body.step": step_text(products.skin, name=job.name, stamp=stamp).encode("ascii"),
    }


def _tubes(buck: Buck) -> tuple[Tube, ...]:
    return tuple(Tube(w.name, w.axis, w.closed, w.diameter, _ROD) for w in buck.wires)
