"""A shoot before it is traced: checked as a whole, or taken into a job picture by picture."""

from collections.abc import Sequence
from hashlib import sha256
from typing import Protocol

from buckwright.capture import calibrate
from buckwright.capture.shoot import shoot_so_far
from buckwright.errors import BuckwrightError, JobError
from buckwright.files.photographs import read_picture_bytes
from buckwright.flow.intake import look_at, sort_looks, usable_corners
from buckwright.flow.steps import Bench
from buckwright.model.finding import Finding
from buckwright.model.intake import Intake, Refusal
from buckwright.model.job import Job
from buckwright.model.pictures import Mat, PictureSource

__all__ = ["PictureStore", "check_shoot", "take_pictures"]


class PictureStore(Protocol):
    """What pictures are taken into: an open job file."""

    def job(self) -> Job:
        """The job as it stands now."""

    def add_blob(self, data: bytes) -> str:
        """Keep these bytes; their SHA-256."""

    def change(self, description: str, job: Job, *, who: str = "") -> int:
        """Replace the job in one transaction that can be undone."""


def check_shoot(pictures: Sequence[tuple[str, bytes]], mat: Mat, *, bench: Bench) -> Intake:
    """Which pictures serve, and what to photograph next, without tracing anything.

    Where the cameras cannot be placed yet, the reason is among the findings.
    """
    asked = [(name, data, mat) for name, data in pictures]
    looks = bench.side_by_side("pictures", look_at, asked) if asked else []
    intake = sort_looks(looks)
    if not pictures:
        return intake
    try:
        calibration = calibrate(usable_corners(looks, intake), mat)
    except JobError as error:
        doubt = Finding(
            code="not-placed", where="pictures", message=error.problem, remedy=error.remedy
        )
        return intake.model_copy(update={"findings": (*intake.findings, doubt)})
    return intake.model_copy(
        update={
            "advice": shoot_so_far(calibration),
            "findings": (*intake.findings, *calibration.findings),
        }
    )


def take_pictures(
    store: PictureStore, pictures: Sequence[tuple[str, bytes]]
) -> tuple[tuple[str, ...], tuple[Refusal, ...]]:
    """Take pictures into the job in one edit: the names taken, and those refused with why.

    With a mat in the job each is looked at for it; a picture that is there already is refused,
    and one of a name that is taken gets a number behind its name.
    """
    job = store.job()
    taken: list[PictureSource] = []
    refused = []
    for name, data in pictures:
        try:
            _check_new(name, data, (*job.pictures, *taken))
            source = _looked_at(_free_name(name, (*job.pictures, *taken)), data, job.mat)
        except BuckwrightError as error:
            refused.append(Refusal(picture=name, problem=error.problem, remedy=error.remedy))
            continue
        store.add_blob(data)
        taken.append(source)
    if taken:
        names = ", ".join(source.name for source in taken[:3]) + (", ..." if taken[3:] else "")
        words = f"{len(taken)} pictures taken in: {names}"
        store.change(words, job.model_copy(update={"pictures": (*job.pictures, *taken)}))
    return tuple(source.name for source in taken), tuple(refused)


def _looked_at(name: str, data: bytes, mat: Mat | None) -> PictureSource:
    if mat is None:
        return read_picture_bytes(data, name=name)[0]
    look = look_at((name, data, mat))
    if look.refusal is not None:
        raise JobError(look.refusal.problem, look.refusal.remedy)
    assert look.source is not None
    return look.source


def _check_new(name: str, data: bytes, known: Sequence[PictureSource]) -> None:
    digest = sha256(data).hexdigest()
    for other in known:
        if other.sha256 == digest:
            raise JobError(
                f"The picture {name} is in the job already, as {other.name}.",
                "Nothing needs doing.",
            )


def _free_name(name: str, known: Sequence[PictureSource]) -> str:
    names = {source.name for source in known}
    stem, dot, ending = name.rpartition(".") if "." in name else (name, "", "")
    free, number = name, 2
    while free in names:
        free, number = f"{stem}-{number}{dot}{ending}", number + 1
    return free
