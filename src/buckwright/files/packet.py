"""The packet, file by file: names inside its folder, and bytes."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Literal

from buckwright.files.bend_tables import bends_csv, left_over_csv, pushes_csv
from buckwright.files.contents import contents_rows
from buckwright.files.dxf import dxf_text
from buckwright.files.finding_tables import findings_csv
from buckwright.files.frame_tables import frame_csv, posts_csv
from buckwright.files.gauge_tables import gauges_csv, sweeps_csv
from buckwright.files.grid_tables import grids_csv
from buckwright.files.offset_tables import views_csv
from buckwright.files.opening_tables import openings_csv
from buckwright.files.panel_tables import edges_csv, metals_csv, work_csv
from buckwright.files.paper_tables import papers_csv
from buckwright.files.pdf import cover_pdf, roll_pdf, tiled_pdf
from buckwright.files.svg import svg_text
from buckwright.files.tables import (
    bays_csv,
    blanks_csv,
    changes_csv,
    cut_list_csv,
    dimensions_csv,
    offsets_csv,
    tasks_csv,
    wires_csv,
)
from buckwright.files.treatment_tables import treatment_lines_csv, treatments_csv
from buckwright.model.buck import Buck
from buckwright.model.drawings import Sheet
from buckwright.model.finding import Finding
from buckwright.model.job import Job, Products
from buckwright.model.lines import Dimension
from buckwright.model.offsets import Disagreement
from buckwright.model.treatments import TreatmentRow

__all__ = ["packet_files"]


def packet_files(
    job: Job,
    products: Products,
    sheets: Sequence[Sheet],
    *,
    findings: Sequence[tuple[str, Finding]] = (),
    cautions: Sequence[str] = (),
    picture: bytes | None = None,
    paper: Literal["A4", "A3", "Letter"] = "A4",
    models: Mapping[str, bytes] | None = None,
    dimensions: Sequence[Dimension] = (),
    views: Sequence[Disagreement] = (),
    treatments: Sequence[TreatmentRow] = (),
) -> Iterator[tuple[str, bytes]]:
    """Each file's path in the packet (with forward slashes) and its bytes, one at a time.

    `dimensions` are those that people watch; `views`, where views disagree, worst first;
    `treatments` are those of the skin; `models`
    are files made elsewhere (skin.glb, skin.step), passed through. Without sheets only the cover
    and the tables come. The same arguments give the same bytes.
    """
    tables = dict(_tables(job, products))
    tables |= {name: text for name, told, text in (
        ("dimensions", dimensions, lambda: dimensions_csv(dimensions, job.departures)),
        ("views", views, lambda: views_csv(views)),
        ("treatments", treatments, lambda: treatments_csv(treatments)),
        ("treatment-lines", treatments, lambda: treatment_lines_csv(treatments)),
        ("findings", findings, lambda: findings_csv(findings)),
    ) if told}  # fmt: skip
    cover = cover_pdf(
        job,
        products,
        sheets=sheets,
        findings=findings,
        cautions=cautions,
        picture=picture,
        contents=contents_rows(sheets, tuple(tables), tuple(models or {}), paper=paper),
    )
    yield "cover.pdf", cover
    title = f"{job.name}, revision {job.revision}"
    if sheets:
        yield "roll.pdf", roll_pdf(sheets, title=title)
    for sheet in sheets:
        # A book for each, so that the one wire or card of the day prints alone.
        book = tiled_pdf([sheet], paper=paper, title=f"{title}: {sheet.title}")
        yield f"tiles-{paper}/{sheet.name}.pdf", book
    for sheet in sheets:
        yield f"svg/{sheet.name}.svg", svg_text(sheet).encode("utf-8")
    for sheet in sheets:
        if sheet.cut_file:
            yield f"dxf/{sheet.name}.dxf", dxf_text(sheet).encode("ascii")
    for name, text in tables.items():
        yield f"tables/{name}.csv", text().encode("utf-8")
    for name, content in (models or {}).items():
        yield name, content


def _buck_tables(buck: Buck) -> Iterator[tuple[str, Callable[[], str]]]:
    yield "cut-list", lambda: cut_list_csv(buck)
    yield "wires", lambda: wires_csv(buck)
    if any(wire.bending is not None for wire in buck.wires):
        yield "bends", lambda: bends_csv(buck)
        yield "sprung-wires", lambda: pushes_csv(buck)
    if buck.rod_plan.left_over or buck.tube_plan.left_over:
        yield "left-over", lambda: left_over_csv(buck)
    if buck.bays:
        yield "bays", lambda: bays_csv(buck)
    if buck.changes:
        yield "wire-changes", lambda: changes_csv(buck)
    if buck.members:
        yield "frame", lambda: frame_csv(buck)
        yield "posts", lambda: posts_csv(buck)


def _tables(job: Job, products: Products) -> Iterator[tuple[str, Callable[[], str]]]:
    buck, panels, plan, lines = products.buck, products.panels, products.plan, products.lines
    gauges = products.gauges
    if buck is not None:
        yield from _buck_tables(buck)
    if lines is not None:
        yield "offsets", lambda: offsets_csv(lines.network)
    openings = products.openings
    if openings is not None:
        yield "openings", lambda: openings_csv(openings)
    if panels is not None:
        yield "blanks", lambda: blanks_csv(panels, job.sheet)
        yield "panel-work", lambda: work_csv(panels)
        yield "panel-edges", lambda: edges_csv(panels)
        yield "panel-metals", lambda: metals_csv(panels)
        if panels.grids:
            yield "grids", lambda: grids_csv(panels)
        if panels.papers:
            yield "paper-patterns", lambda: papers_csv(panels.papers)
    if gauges is not None:
        yield "gauges", lambda: gauges_csv(gauges)
        if gauges.sweeps:
            yield "sweeps", lambda: sweeps_csv(gauges.sweeps)
    if plan is not None:
        yield "tasks", lambda: tasks_csv(plan)
