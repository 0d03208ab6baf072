"""What is in doubt about a network, in words."""

import numpy as np
from scipy.spatial import cKDTree

from buckwright.geometry.polyline import arc_lengths
from buckwright.lines.band import Band
from buckwright.lines.crossings import Node, Touch
from buckwright.lines.drafting import Draft
from buckwright.lines.fairing import SLIGHT
from buckwright.lines.gaps import nearest_line
from buckwright.lines.sides import SidedLine
from buckwright.model.finding import Finding
from buckwright.model.lines import Line

__all__ = ["band_doubts", "end_doubts", "miss_doubts", "self_doubts", "side_doubts"]

SAMPLES = 200
FAR_APART = 6.0
"""Samples along a line beyond which two of them are not neighbours."""

LENGTHENED = 20.0
"""mm of lengthening beyond which it is worth a word."""


def side_doubts(sided: tuple[SidedLine, ...]) -> tuple[Finding, ...]:
    """Lines of which one side only was measured, and whole lines that are not symmetric."""
    found = []
    for line in sided:
        name = line.placed.name
        doubt = float(np.sqrt(2.0 * np.mean(np.asarray(line.sources[0].sigma) ** 2)))
        if line.kind == "pair" and len(line.sources) == 1:
            found.append(
                Finding(
                    code="one-side-only",
                    where=name,
                    message=f"Only one of '{name}' and '{line.partner}' was measured; the other "
                    "is its mirror image.",
                    remedy="Trace the other one too, so that errors show and average out.",
                )
            )
        # The gap to a mirror image holds the error of both places.
        elif line.kind in ("self", "centre") and line.differ > 2.0 * np.sqrt(2.0) * doubt:
            found.append(
                Finding(
                    code="not-symmetric",
                    where=name,
                    message=f"'{name}' differs from its own mirror image by {line.differ:.1f} mm "
                    f"rms where measuring explains {np.sqrt(2.0) * doubt:.1f} mm.",
                    remedy="It was made symmetric; trace it again if the model is.",
                )
            )
    return tuple(found)


def miss_doubts(
    nodes: tuple[Node, ...], misses: tuple[Touch, ...], sided: tuple[SidedLine, ...]
) -> tuple[Finding, ...]:
    """Lines that missed each other by more than three standard errors of their gap."""
    found = []
    for touch in [*(touch for node in nodes for touch in node.touches), *misses]:
        first, second = (sided[k] for k in touch.lines)
        allowed = 3.0 * touch.sigma + first.tolerance + second.tolerance
        if touch.gap <= max(allowed, 0.1):
            continue
        names = f"'{first.placed.name}' and '{second.placed.name}'"
        where = ", ".join(f"{value:.0f}" for value in touch.point)
        if touch.meets:
            remedy = (
                "They were drawn together: trace both again near that place if that is wrong, or "
                f"give one of them a tolerance of {touch.gap - 3.0 * touch.sigma:.1f} mm if not."
            )
        else:
            remedy = (
                "They were left apart: a tolerance of "
                f"{touch.gap - touch.gate + first.tolerance + second.tolerance:.1f} mm on one of "
                "them would let them meet; leave it if they should not."
            )
        found.append(
            Finding(
                code="lines-miss",
                where=first.placed.name,
                message=f"{names} missed each other by {touch.gap:.1f} mm near ({where}), "
                f"more than three times their doubt of {touch.sigma:.1f} mm.",
                remedy=remedy,
            )
        )
    return tuple(found)


def end_doubts(
    drafts: tuple[Draft, ...], nodes: tuple[Node, ...], sided: tuple[SidedLine, ...]
) -> tuple[Finding, ...]:
    """Ends that meet no other line, and lines that had to be lengthened far."""
    met = {(k, end) for node in nodes for k, end in node.ends.items() if end >= 0}
    found = []
    for k, (draft, line) in enumerate(zip(drafts, sided, strict=True)):
        if draft.closed or line.kind == "datum":
            continue
        ends = (0,) if line.kind == "self" else (0, 1)
        for end in ends:
            at = draft.start if end == 0 else draft.end
            point = np.asarray(draft.curve()(at))
            where = ", ".join(f"{value:.0f}" for value in point)
            if (k, end) not in met:
                found.append(
                    Finding(
                        code="loose-end",
                        where=line.placed.name,
                        message=f"The end of '{line.placed.name}' at ({where}) meets no other "
                        f"line{_nearest(point, k, drafts, sided)}.",
                        remedy="Trace it up to the line it should end on, or leave it if it is "
                        "a free end.",
                    )
                )
                continue
            short = _short_of(point, line, end)
            if short > LENGTHENED:
                found.append(
                    Finding(
                        code="lengthened",
                        kind="note",
                        where=line.placed.name,
                        message=f"'{line.placed.name}' was lengthened by {short:.0f} mm to end at "
                        f"({where}).",
                        remedy="Trace it all the way, if that end matters.",
                    )
                )
    return tuple(found)


def _nearest(
    point: np.ndarray, own: int, drafts: tuple[Draft, ...], sided: tuple[SidedLine, ...]
) -> str:
    near = nearest_line(point, own, drafts, sided)
    return "" if near is None else f"; the nearest is '{near[0]}', {near[1]:.0f} mm away"


def _short_of(point: np.ndarray, line: SidedLine, end: int) -> float:
    points = np.asarray(line.placed.points)
    last, before = (points[0], points[1]) if end == 0 else (points[-1], points[-2])
    outward = (last - before) / np.linalg.norm(last - before)
    return float((point - last) @ outward)


def band_doubts(fair: Line, band: Band, draft: Draft) -> tuple[Finding, ...]:
    """A line that its crossings, or what it keeps, pull out of the band round its own points."""
    if band.most_outside < SLIGHT:
        return ()
    kept = draft.batten.kept
    where = ", ".join(f"{value:.0f}" for value in draft.batten.points[band.worst])
    at = draft.batten.at[band.worst]
    beyond = f"'{fair.name}' had to leave its points by {band.most_outside:.1f} mm more than its "
    if any(low <= at <= high for low, high in kept.straights):
        why, remedy = "to be straight there", "Make the straight run shorter, or take it away."
    elif kept.ends and at in (draft.batten.at.min(), draft.batten.at.max()):
        why, remedy = "to run as its end was told", "Check the direction of that end."
    elif draft.band is not None:
        why = "which was typed: its points do not lie so fair"
        remedy = "Type a wider tolerance, or trace it again near that place."
    elif len(kept.straights):
        why, remedy = "to be straight elsewhere", "Make the straight run shorter, or take it away."
    else:
        why = "to meet the lines it crosses"
        remedy = "Trace it, or the lines that it crosses there, again."
    return (
        Finding(
            code="band-left",
            where=fair.name,
            message=f"{beyond}tolerance near ({where}), {why}.",
            remedy=remedy,
        ),
    )


def self_doubts(line: Line) -> tuple[Finding, ...]:
    """A line that comes back to a place where it has been."""
    points = line.points(SAMPLES)
    along = arc_lengths(points)
    step = along[-1] / SAMPLES
    pairs = cKDTree(points).query_pairs(step, output_type="ndarray")
    apart = np.abs(along[pairs[:, 0]] - along[pairs[:, 1]])
    if line.closed:
        apart = np.minimum(apart, along[-1] - apart)
    met = pairs[apart > FAR_APART * step]
    if not len(met):
        return ()
    where = ", ".join(f"{value:.0f}" for value in points[met[0, 0]])
    return (
        Finding(
            code="crosses-itself",
            where=line.name,
            message=f"'{line.name}' comes back to itself near ({where}).",
            remedy="Trace it again there; if two lines were traced as one, part them.",
        ),
    )
