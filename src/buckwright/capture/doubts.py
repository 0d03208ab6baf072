"""Doubts about a calibration, each with what to do."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from buckwright.capture.bundle import Adjusted
from buckwright.capture.placing import BAR_SIGMA, Placed, usable_bars
from buckwright.geometry.camera import camera_centre
from buckwright.model.finding import Finding
from buckwright.model.mats import bar_words
from buckwright.model.pictures import Mat

__all__ = ["calibration_findings"]

Array = NDArray[np.float64]

_PLAIN_LIMIT = 0.15
"""px that a flat, true mat and a steady lens leave at most."""
_FEW, _SAME_HEIGHT_DEG, _ONE_SPOT_DEG = 6, 15.0, 12.0


def calibration_findings(
    adjusted: Adjusted,
    placed: Placed,
    mat: Mat,
    *,
    nominal: Array,
    plain_rms: float,
    left_out: tuple[str, ...],
) -> tuple[Finding, ...]:
    """Everything that the user should know about the cameras before trusting a line."""
    return (
        *_about_scale(adjusted, placed, mat),
        *_about_mat(placed, mat, nominal=nominal, plain_rms=plain_rms),
        *_about_cards(adjusted, mat),
        *_about_stands(adjusted, placed, mat),
        *(_left_out(name) for name in left_out),
    )


def _about_scale(adjusted: Adjusted, placed: Placed, mat: Mat) -> Iterator[Finding]:
    usable = usable_bars(mat, adjusted.seen)
    if not usable:
        yield Finding(
            code="scale-not-measured",
            where="mat",
            message="The scale is not measured: every length rests on the printer, which is "
            "often wrong by 0.3 %, 3 mm in a metre.",
            remedy="Measure one printed bar with a caliper and type its length in."
            if mat.cards == 1
            else "Measure from one card to another far away, or a printed bar, and type it in.",
        )
    for bar in (b for b in mat.bars if b not in usable):
        yield Finding(
            code="bar-not-seen",
            where=bar_words(mat, bar),
            message="An end of this bar is seen in fewer than two pictures: it does not count.",
            remedy="Take pictures that show both of its ends, or measure another bar.",
        )
    for bar, gap in zip(usable, placed.bar_gaps, strict=True):
        if abs(gap) > 4.0 * (bar.sigma or BAR_SIGMA):
            yield Finding(
                code="bars-disagree",
                where=bar_words(mat, bar),
                message=f"This bar was typed {gap:+.2f} mm off what all bars together make it.",
                remedy="Measure the bars again; lay the mat flat while measuring.",
            )


def _about_mat(placed: Placed, mat: Mat, *, nominal: Array, plain_rms: float) -> Iterator[Finding]:
    if mat.squares[1] % 2 == 0:
        yield Finding(
            code="even-rows",
            where="mat",
            message="The mat has an even number of rows: programs of different age print such "
            "mats with black and white changed round.",
            remedy="If corners are missing, print a mat with an odd number of rows.",
        )
    if mat.cards == 1 and plain_rms > _PLAIN_LIMIT:
        height = float(np.std(placed.cameras.points[:, 2]))
        stretch = _stretch(placed.cameras.points, nominal)
        zoom = float(np.std(placed.cameras.drift[:, 0]))
        yield Finding(
            code="mat-or-lens",
            kind="note",
            where="mat",
            message=f"A flat mat and a steady lens would leave {plain_rms:.2f} px: the mat lies "
            f"{height:.2f} mm out of flat (rms), was printed {100 * stretch[0]:+.2f} % wide and "
            f"{100 * stretch[1]:+.2f} % high, and the focal length moved by {100 * zoom:.2f} %. "
            "All this was solved for.",
            remedy="Next time glue the mat to a flat board and lock focus and zoom.",
        )


def _stretch(points: Array, nominal: Array) -> Array:
    """(2,) relative growth of the print along its columns and its rows."""
    flat = np.column_stack([np.ones(len(points)), nominal[:, :2]])
    fitted = np.linalg.lstsq(flat, points, rcond=None)[0]
    return np.asarray(np.linalg.norm(fitted[1:], axis=1) - 1.0)


def _about_cards(adjusted: Adjusted, mat: Mat) -> Iterator[Finding]:
    if mat.cards == 1:
        return
    seen = np.unique(adjusted.seen.corner // mat.corners_each)
    missing = [str(k + 1) for k in range(mat.cards) if k not in seen]
    if missing:
        yield Finding(
            code="cards-not-joined",
            where="cards",
            message=f"Card {', '.join(missing)} was not seen together with the others.",
            remedy="Leave it if it is not on the part; else take pictures that show it with two "
            "other cards.",
        )


def _about_stands(adjusted: Adjusted, placed: Placed, mat: Mat) -> Iterator[Finding]:
    centres = camera_centre(placed.cameras.turn, placed.cameras.shift)
    middle = placed.cameras.points[np.unique(adjusted.seen.corner)].mean(axis=0)
    offset = centres - middle
    height = np.degrees(np.arctan2(offset[:, 2], np.linalg.norm(offset[:, :2], axis=1)))
    if len(centres) < _FEW:
        yield Finding(
            code="few-pictures",
            where="pictures",
            message=f"There are only {len(centres)} pictures.",
            remedy="Take eight or more: rings at 20 and at 45 degrees, and one from above.",
        )
    towards = offset / np.linalg.norm(offset, axis=1, keepdims=True)
    spread = float(np.degrees(np.arccos(np.clip(towards @ towards.T, -1.0, 1.0)).max()))
    if spread < _ONE_SPOT_DEG:
        yield Finding(
            code="one-spot",
            where="pictures",
            message=f"All pictures were taken from nearly one spot, {spread:.0f} degrees apart at "
            "most: how far away anything lies cannot be told.",
            remedy="Walk round it, and take pictures from all sides at two heights.",
        )
    elif mat.cards == 1 and np.ptp(height) < _SAME_HEIGHT_DEG:
        yield Finding(
            code="one-height",
            where="pictures",
            message=f"All pictures were taken from about {np.mean(height):.0f} degrees above the "
            "mat: level lines cannot be placed well.",
            remedy="Add pictures from another height: 20 and 45 degrees, and one from above.",
        )
    typical = float(np.median(placed.centre_sigma))
    for name, sigma in zip(adjusted.seen.names, placed.centre_sigma, strict=True):
        if sigma > 5.0 * typical:
            yield Finding(
                code="loose-picture",
                where=name,
                message=f"This camera's place is known to {sigma:.2f} mm only; "
                f"the others' to {typical:.2f}.",
                remedy="Take it again with more of the mat in view.",
            )


def _left_out(name: str) -> Finding:
    return Finding(
        code="picture-left-out",
        where=name,
        message="Hardly any of the corners found in this picture agree with the others.",
        remedy="Take it again, sharp and with the mat well in view.",
    )
