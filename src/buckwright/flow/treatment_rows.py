"""The treatments of a job's skin as a list, each with what there is to say of it."""

from collections.abc import Iterator

import numpy as np

from buckwright.errors import JobError
from buckwright.model.job import Job
from buckwright.model.louvres import LouvreField
from buckwright.model.skin import Skin
from buckwright.model.treatments import Bead, EdgeStrip, SkinMeeting, TreatmentRow, TrimDone
from buckwright.skin.bead_metal import BeadVerdict, bead_verdict
from buckwright.skin.louvre_metal import louvre_verdict

__all__ = ["faces_of", "treatment_rows", "verdict_on"]


def treatment_rows(job: Job, skin: Skin) -> tuple[TreatmentRow, ...]:
    """Meetings, trims, edges, beads and louvres, in this order."""
    return (
        *(_meeting(one) for one in skin.meetings),
        *(_trim(one) for one in skin.trims),
        *(_edge(one) for one in skin.strips),
        *_plain_edges(job),
        *(_bead(job, one) for one in skin.beads),
        *(_louvres(job, one) for one in skin.louvres),
    )


def faces_of(job: Job) -> dict[str, float]:
    """By how many mm the skin is set off for each face that the job knows: inward is negative."""
    if job.sheet is not None:
        thickness = job.sheet.thickness
    elif job.buck is not None:
        thickness = job.buck.sheet_thickness
    else:
        return {}
    faces = {"inner face": -thickness}
    if job.buck is not None:
        faces["wire axis"] = -(thickness + 0.5 * job.buck.rod_diameter)
    return faces


def verdict_on(job: Job, bead: Bead) -> BeadVerdict | None:
    """What the job's sheet says to a bead; None without a sheet, or where no table has it."""
    if job.sheet is None:
        return None
    try:
        return bead_verdict(bead.spec, job.sheet)
    except JobError:
        return None


def _meeting(one: SkinMeeting) -> TreatmentRow:
    shape = "a closed line" if one.closed else "an open line"
    return TreatmentRow(
        what="meeting",
        name=one.name,
        region=", ".join(one.regions),
        length=one.length,
        closed=one.closed,
        words=f"{shape}, {one.length:.0f} mm long",
        line=one.points,
    )


def _trim(one: TrimDone) -> TreatmentRow:
    moved = f", the line moved by {one.moved_most:.1f} mm at most" if one.moved_most > 0.05 else ""
    return TreatmentRow(
        what="trim",
        name=one.name,
        region=one.region,
        length=one.length,
        closed=one.closed,
        words=f"{one.area_away / 1e6:.3f} m² taken away, {one.area_left / 1e6:.3f} m² left{moved}",
        line=one.points,
    )


def _edge(one: EdgeStrip) -> TreatmentRow:
    return TreatmentRow(
        what="edge",
        name=one.name,
        region=one.region,
        length=one.length,
        words=one.words,
        line=np.zeros((0, 3)),
    )


def _plain_edges(job: Job) -> Iterator[TreatmentRow]:
    """Edges that are not turned have no strip: metal is left on them for the panels."""
    for one in job.edge_treatments:
        if one.edge.treatment in ("trim", "weld"):
            width = f"{one.edge.width:g} mm" if one.edge.width else "the usual width"
            yield TreatmentRow(
                what="edge",
                name=f"{one.edge.treatment} along {one.edge.along}",
                region=one.region,
                words=f"{width} of metal left on every panel that ends there",
                line=np.zeros((0, 3)),
            )


def _bead(job: Job, one: Bead) -> TreatmentRow:
    spec = one.spec
    kind = f"swage with a flat top of {spec.flat:g} mm" if spec.flat else "bead"
    words = (
        f"{kind}, {spec.width:g} mm wide, {spec.depth:g} mm {spec.way}, radius {spec.radius:g} mm, "
        f"flanks {one.flank_deg:.0f}°; girth {one.girth:.1f} mm, so {100.0 * one.stretch:.1f} % "
        f"across; {one.to_edge:.0f} mm to the edge"
    )
    if one.to_bead is not None:
        words += f", {one.to_bead:.0f} mm to {one.nearest}"
    verdict = verdict_on(job, one)
    told = f"; {verdict.words}" if verdict else _without_verdict(job, one)
    return TreatmentRow(
        what="bead",
        name=one.name,
        region=one.region,
        length=one.length,
        closed=one.closed,
        words=words + told,
        step=verdict.step if verdict else "",
        line=one.axis,
    )


def _louvres(job: Job, one: LouvreField) -> TreatmentRow:
    spec = one.spec
    count = len(one.cuts)
    words = (
        f"{count} louvres, {spec.length:g} by {spec.width:g} mm, {spec.height:g} mm high; lip "
        f"{100.0 * one.lip:.1f} % longer, {100.0 * one.across:.1f} % across; {one.to_edge:.0f} mm "
        f"to {one.nearest}"
    )
    if one.between_rows is not None:
        words += f", {one.between_rows:.0f} mm between rows"
    if one.between_columns is not None:
        words += f", {one.between_columns:.0f} mm between columns"
    step, told = ("", "") if job.sheet is None else louvre_verdict(one, job.sheet)
    return TreatmentRow(
        what="louvres",
        name=one.name,
        region=one.region,
        length=one.cut_length,
        words=f"{words}; {told}" if told else words,
        step=step,
        line=np.vstack(one.cuts),
    )


def _without_verdict(job: Job, bead: Bead) -> str:
    if job.sheet is None:
        return ""
    try:
        bead_verdict(bead.spec, job.sheet)
    except JobError as error:
        return f"; {error.problem.rstrip('.')}"
    return ""
