"""A job as a folder that a person can read: JSON and the original photographs.

job.json       what people decided
history.json   every edit with its inverse
products/      the answers of the steps, one file each, with what each was made from
pictures/      the photographs as they came in, by their own names
"""

import json
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from buckwright.errors import FileError, NewerFileError
from buckwright.model.job import Job
from buckwright.store.jobfile import JobFile

__all__ = ["FORMAT", "export_job", "import_job"]

FORMAT = 1


def export_job(file: JobFile, folder: Path) -> None:
    """Write the job as a folder; FileError if it is not empty or cannot be written."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if any(folder.iterdir()):
            raise FileError(f"{folder} is not empty.", "Name a new folder for the export.")
        job = file.job()
        head = {"format": FORMAT, "identity": file.identity(), "job": job.model_dump(mode="json")}
        _write(folder / "job.json", head)
        _write(folder / "history.json", file.log_rows())
        (folder / "products").mkdir()
        for step, digest, made, product in file.product_rows():
            content = {"step": step, "digest": digest, "made": made, "product": product}
            _write(folder / "products" / f"{step}.json", content)
        (folder / "pictures").mkdir()
        for name, digest in _names_of_pictures(job).items():
            (folder / "pictures" / name).write_bytes(file.picture_bytes(digest))
    except OSError as error:
        raise FileError(
            f"The export to {folder} could not be written ({error.strerror}).",
            "Free some space or choose another place; the job itself is untouched.",
        ) from error


def import_job(folder: Path, path: Path) -> JobFile:
    """A new job file from an exported folder, with its history and answers.

    The file appears whole or not at all. Raises FileError with the reason.
    """
    head = _read(folder / "job.json")
    if not isinstance(head, dict) or not isinstance(head.get("format"), int):
        raise FileError(
            f"{folder / 'job.json'} is not the head of an exported job.",
            "Name the folder that 'buckwright export' wrote.",
        )
    if head["format"] > FORMAT:
        raise NewerFileError(
            f"{folder} was exported by a later version of buckwright.", "Install that version."
        )
    if path.exists():
        raise FileError(f"{path} exists already.", "Choose another name.")
    try:
        job = Job.model_validate(head.get("job"))
    except ValidationError as error:
        first = error.errors()[0]
        place = " > ".join(str(part) for part in first["loc"])
        raise FileError(
            f"{folder / 'job.json'} is not a job: '{place}': {first['msg']}.",
            "Mend that entry, or export the job again.",
        ) from error
    passing = path.with_suffix(".part")
    passing.unlink(missing_ok=True)
    try:
        with JobFile.create(passing, job) as file:
            for name, digest in _names_of_pictures(job).items():
                _take_picture(file, folder / "pictures" / name, digest)
            products = [_read(p) for p in sorted((folder / "products").glob("*.json"))]
            history = _read(folder / "history.json") if (folder / "history.json").exists() else []
            file.take_over(str(head.get("identity", "")), history, products)
        passing.replace(path)
    except (KeyError, TypeError) as error:
        raise FileError(
            f"The history or the products in {folder} are not as exported ({error!r}).",
            "Delete history.json and the folder products: they can be made again.",
        ) from error
    except OSError as error:
        raise FileError(
            f"{path} could not be written ({error.strerror}).", "Free some space and try again."
        ) from error
    finally:
        passing.unlink(missing_ok=True)
    return JobFile.open(path)


def _names_of_pictures(job: Job) -> dict[str, str]:
    """File name -> SHA-256, of all originals; of two alike one gets the digest's start."""
    names: dict[str, str] = {}
    originals = [(picture.name, picture.sha256) for picture in job.pictures]
    originals += [(f"{scan.name}.{scan.kind}", scan.sha256) for scan in job.scans]
    originals += [(table.name, table.sha256) for table in job.tables]
    originals += [(p.source.name, p.source.sha256) for v in job.views for p in v.pictures]
    for original, digest in originals:
        name = Path(original).name
        if name in names and names[name] != digest:
            name = f"{digest[:8]} {name}"
        names[name] = digest
    return names


def _take_picture(file: JobFile, path: Path, digest: str) -> None:
    if not path.is_file():
        raise FileError(
            f"The photograph {path.name} is missing from {path.parent}.", "Put it back."
        )
    if file.add_blob(path.read_bytes()) != digest:
        raise FileError(
            f"The photograph {path.name} is not the one that was exported.",
            "Put the original file back.",
        )


def _write(path: Path, content: object) -> None:
    path.write_text(json.dumps(content, ensure_ascii=False, indent=1), encoding="utf-8")


def _read(path: Path) -> Any:
    try:
        return json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise FileError(
            f"{path} cannot be read ({error.strerror}).", "Name the folder of an exported job."
        ) from error
    except ValueError as error:
        raise FileError(
            f"{path} is not readable JSON ({error}).", "Mend it, or export the job again."
        ) from error
