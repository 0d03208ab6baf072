"""Taking in pictures: each looked at by itself, then all sorted; one bad picture stops nothing."""

from collections.abc import Sequence
from typing import NamedTuple

from buckwright.capture import check_corners, check_finder, find_corners
from buckwright.capture.groups import camera_name, group_pictures
from buckwright.capture.shoot import advise_shoot
from buckwright.errors import BuckwrightError, JobError
from buckwright.files.photographs import read_picture_bytes
from buckwright.model.finding import Finding
from buckwright.model.intake import Intake, Refusal, ShootAdvice
from buckwright.model.pictures import Corners, Mat, PictureSource

__all__ = ["Look", "look_at", "refusal_findings", "sort_looks", "usable_corners"]


class Look(NamedTuple):
    """What one picture gave."""

    name: str
    source: PictureSource | None
    """None where the file is no picture that can be read."""
    corners: Corners | None
    """None where the mat cannot be used."""
    refusal: Refusal | None


def look_at(picture: tuple[str, bytes, Mat]) -> Look:
    """Read one picture and find the mat in it; what is wrong with it is told, not raised.

    Raises JobError only where the library of this machine fails its self-test.
    """
    name, data, mat = picture
    check_finder()
    try:
        source, grey = read_picture_bytes(data, name=name)
    except BuckwrightError as error:
        return Look(name, None, None, _refused(name, error))
    try:
        corners = find_corners(grey, mat, picture=name, camera=camera_name(source))
        check_corners(corners, mat)
    except JobError as error:
        return Look(name, source, None, _refused(name, error))
    return Look(name, source, corners, None)


def _refused(name: str, error: BuckwrightError) -> Refusal:
    return Refusal(picture=name, problem=error.problem, remedy=error.remedy)


def sort_looks(looks: Sequence[Look], advice: ShootAdvice | None = None) -> Intake:
    """Groups, refusals and doubts of a whole shoot; without advice, that for an empty shoot.

    Two files of one name or with the same bytes: the later one is refused.
    """
    refused = [look.refusal for look in looks if look.refusal is not None]
    usable, seen = list[PictureSource](), dict[str, str]()
    for look in looks:
        if look.source is None or look.corners is None:
            continue
        twin = seen.setdefault(look.source.sha256, look.name)
        if twin != look.name or look.name in {source.name for source in usable}:
            refused.append(_twice(look.name, twin))
        else:
            usable.append(look.source)
    groups, odd, findings = group_pictures(usable)
    refused += odd
    out = {refusal.picture for refusal in odd}
    return Intake(
        accepted=tuple(source for source in usable if source.name not in out),
        groups=groups,
        refused=tuple(refused),
        advice=advice or advise_shoot(()),
        findings=findings,
    )


def _twice(name: str, twin: str) -> Refusal:
    return Refusal(
        picture=name,
        problem=f"The picture {name} is there twice, also as {twin}."
        if twin != name
        else f"Two pictures are called {name}.",
        remedy="Leave one of them out.",
    )


def usable_corners(looks: Sequence[Look], intake: Intake) -> tuple[Corners, ...]:
    """Corners of the accepted pictures, in their order.

    Raises JobError with the first reason where fewer than two are left of several.
    """
    by_name = {look.name: look.corners for look in reversed(looks) if look.corners is not None}
    corners = tuple(by_name[source.name] for source in intake.accepted)
    if len(corners) < 2 and intake.refused:
        first = intake.refused[0]
        raise JobError(
            f"{len(intake.refused)} of {len(looks)} pictures cannot be used, and two at least "
            f"are needed. {first.problem}",
            first.remedy,
        )
    return corners


def refusal_findings(intake: Intake) -> tuple[Finding, ...]:
    """The refusals as doubts of the calibration, so that they are printed and nothing is lost."""
    refused = tuple(
        Finding(code="picture-refused", where=r.picture, message=r.problem, remedy=r.remedy)
        for r in intake.refused
    )
    return (*refused, *intake.findings)
