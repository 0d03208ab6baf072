"""The fair lines drawn back into a photograph, for the eye to judge."""

from typing import Any

from buckwright.capture.drawnback import lines_on_picture
from buckwright.model.job import Job, Products
from buckwright.model.sections import LineOnPicture
from buckwright.web.words import rounded

__all__ = ["overlay_content", "solved_pictures"]


def solved_pictures(job: Job, products: Products) -> list[dict[str, Any]]:
    """The photographs of which it is known where the camera stood."""
    if products.calibration is None:
        return []
    solved = {picture.name for picture in products.calibration.pictures}
    return [
        {"name": source.name, "sha256": source.sha256, "size": source.size}
        for source in job.pictures
        if source.name in solved
    ]


def overlay_content(job: Job, products: Products, digest: str) -> dict[str, Any] | None:
    """The lines as this picture's camera sees them on the model, before departures.

    `lines` as they are now, and `measured` as they were before the hand moved them, where it did.
    None for a picture that is not there or was not placed.
    """
    reference, calibration = products.lines, products.calibration
    name = next((source.name for source in job.pictures if source.sha256 == digest), None)
    if reference is None or calibration is None or name is None:
        return None
    picture = next((one for one in calibration.pictures if one.name == name), None)
    if picture is None:
        return None
    now = lines_on_picture(reference.reference.lines, reference.placement, picture)
    pulled = {pin.line for pin in job.pins}
    names = {spec.name: spec.mirror for spec in job.lines}
    pulled |= {mirror for line in pulled if (mirror := names.get(line))}
    before = () if reference.unpulled is None else reference.unpulled.lines
    was = [line for line in before if line.name in pulled]
    return {
        "lines": _rows(now),
        "measured": _rows(lines_on_picture(was, reference.placement, picture)),
        "residual": picture.residual_px,
    }


def _rows(lines: tuple[LineOnPicture, ...]) -> list[dict[str, Any]]:
    return [
        {"name": line.name, "pieces": [rounded(piece, 2) for piece in line.pieces]}
        for line in lines
    ]
