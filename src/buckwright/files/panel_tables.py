"""CSV tables of panels: the order of work, the edges, and what other metals would do."""

import csv
import io
from collections.abc import Iterable, Sequence

from buckwright.model.panels import MapArea, Panels, WorkStep

__all__ = ["edges_csv", "metals_csv", "work_csv"]

Cell = str | int


def work_csv(panels: Panels) -> str:
    """One row for each area of each step of each panel, or for a step without an area."""
    rows: list[Sequence[Cell]] = []
    for panel, blank in zip(panels.panels, panels.blanks, strict=True):
        for step in blank.work:
            areas = [blank.areas[k] for k in step.areas]
            start = (blank.panel, panel.side, step.number, step.what)
            rows += [(*start, *_area(area)) for area in areas] or [(*start, *_words(step))]
    head = (
        "panel",
        "side",
        "step",
        "what",
        "words",
        "area_cm2",
        "mean_percent",
        "peak_percent",
        "thickness_after_mm",
        "tight_radius_mm",
        "slack_radius_mm",
        "anvil_radius_mm",
    )
    return _table(head, rows)


def edges_csv(panels: Panels) -> str:
    """One row for each run of each panel's rim."""
    rows: list[Sequence[Cell]] = []
    for blank in panels.blanks:
        for edge in blank.edges:
            rows.append(
                (
                    blank.panel,
                    edge.name,
                    edge.treatment,
                    f"{edge.length:.0f}",
                    f"{edge.allowance:.1f}",
                    " ".join(f"{line:.1f}" for line in edge.bend_lines),
                    f"{100.0 * edge.strain[0]:.1f}",
                    f"{100.0 * edge.strain[1]:.1f}",
                    edge.step,
                    edge.words,
                    edge.source,
                )
            )
    head = (
        "panel",
        "along",
        "treatment",
        "length_mm",
        "allowance_mm",
        "bend_lines_beyond_edge_mm",
        "free_edge_least_percent",
        "free_edge_most_percent",
        "verdict",
        "words",
        "source",
    )
    return _table(head, rows)


def metals_csv(panels: Panels) -> str:
    """One row for each other sheet, or closer seam, and the verdict on the panel with it."""
    rows: list[Sequence[Cell]] = [
        (
            blank.panel,
            other.alloy,
            f"{other.thickness:.2f}",
            other.step,
            f"{100.0 * other.share:.0f}",
            other.words,
        )
        for blank in panels.blanks
        for other in blank.verdict.others
    ]
    head = ("panel", "alloy", "thickness_mm", "verdict", "share_of_elongation_percent", "words")
    return _table(head, rows)


def _area(area: MapArea) -> tuple[str, ...]:
    return (
        area.words,
        f"{area.area / 100.0:.0f}",
        f"{100.0 * area.mean:.1f}",
        f"{100.0 * area.peak:.1f}",
        f"{area.thickness:.2f}",
        f"{area.radii[0]:.0f}",
        f"{area.radii[1]:.0f}",
        f"{area.anvil:.0f}",
    )


def _words(step: WorkStep) -> tuple[str, ...]:
    return (step.words, *("",) * 7)


def _table(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows(rows)
    return text.getvalue()
