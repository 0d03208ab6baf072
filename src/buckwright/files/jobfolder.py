"""A folder to start a job from.

job.json        what people decided (a `Job` without pictures and traces)
mat.json        the mat the model stood on
traces.json     traces by line
pictures/       the photographs
survey_*.csv    points measured on built parts, one file each
"""

from pathlib import Path

from pydantic import ValidationError

from buckwright.errors import FileError
from buckwright.files.mats import read_mat, read_traces
from buckwright.files.photographs import read_picture
from buckwright.files.pictureformats import HEIC_ENDINGS
from buckwright.files.surveys import read_survey
from buckwright.model.job import Job

__all__ = ["PICTURE_ENDINGS", "pictures_in", "read_job_folder"]

PICTURE_ENDINGS = (".jpg", ".jpeg", ".png", *HEIC_ENDINGS, ".tif", ".tiff", ".webp", ".bmp")


def read_job_folder(folder: Path) -> tuple[Job, dict[str, bytes]]:
    """The job with its pictures, traces and surveys, and the bytes of each photograph by SHA-256.

    Raises FileError, with a sentence for the first thing that is wrong.
    """
    job = _read_job(folder / "job.json")
    mat = read_mat(folder / "mat.json") if (folder / "mat.json").exists() else job.mat
    traces = read_traces(folder / "traces.json") if (folder / "traces.json").exists() else ()
    sources, originals = [], {}
    for path in pictures_in(folder / "pictures"):
        source, _ = read_picture(path)
        sources.append(source)
        originals[source.sha256] = path.read_bytes()
    surveys = tuple(read_survey(path) for path in sorted(folder.glob("survey_*.csv")))
    update = {
        "mat": mat,
        "traces": traces,
        "pictures": tuple(sources),
        "surveys": (*job.surveys, *surveys),
    }
    return job.model_copy(update=update), originals


def pictures_in(folder: Path) -> tuple[Path, ...]:
    """The photographs of a folder by name; none if the folder is not there."""
    if not folder.is_dir():
        return ()
    return tuple(p for p in sorted(folder.iterdir()) if p.suffix.lower() in PICTURE_ENDINGS)


def _read_job(path: Path) -> Job:
    try:
        return Job.model_validate_json(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise FileError(
            f"{path} cannot be read ({error.strerror}).",
            "Name a folder that holds a job.json.",
        ) from error
    except (ValidationError, UnicodeDecodeError) as error:
        if isinstance(error, UnicodeDecodeError):
            said = "it is not text"
        else:
            first = error.errors()[0]
            place = " > ".join(str(part) for part in first["loc"]) or "the file"
            said = f"'{place}': {first['msg']}"
        raise FileError(f"{path} is not a job: {said}.", "Mend that entry.") from error
