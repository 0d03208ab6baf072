"""The seams of a region weighed: strain against weld as a chart, and every option in small."""

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.board import FIGURE, NAME, cross, line, ring, short_name, words
from buckwright.drawings.cautions import cautions_for, doubts
from buckwright.drawings.listing import lines_below
from buckwright.geometry.lettering import lettering_width
from buckwright.model.drawings import Ink, Label, Sheet, Stroke
from buckwright.model.seams import SeamOption, SeamStudy

__all__ = ["tradeoff_sheet"]

Array = NDArray[np.float64]

WIDTH, HEIGHT = 560.0, 240.0
"""mm of the chart on paper."""
THUMB, GAP = (260.0, 120.0), 40.0
"""mm of an option in small."""
ACROSS = 2
_OBLIQUE = np.array([[1.0, 0.3, 0.0], [0.0, 0.4, 1.0]])
"""Seen from the left and a little from above: what lies farther right stands higher."""


def tradeoff_sheet(study: SeamStudy) -> Sheet:
    """One sheet: greatest strain over metres of weld, the options in small, and their words."""
    chart_strokes, chart_labels = _chart(study)
    strokes, labels = list(chart_strokes), list(chart_labels)
    # The single panel is the outline of all the others.
    for k, option in enumerate(study.options):
        column, row = k % ACROSS, k // ACROSS
        corner = (column * (THUMB[0] + GAP), -70.0 - (row + 1) * (THUMB[1] + 55.0))
        small_strokes, small_labels = _small(study, option, corner)
        strokes += small_strokes
        labels += small_labels
    rows = -(-len(study.options) // ACROSS)
    bottom = -70.0 - rows * (THUMB[1] + 55.0) - 20.0
    labels += lines_below((0.0, bottom), _told(study), width=WIDTH)
    return Sheet(
        name=short_name(f"seams-{study.region}-{study.side}"),
        title=f"Seams of {study.region}: strain against weld",
        strokes=tuple(strokes),
        labels=tuple(labels),
        notes=(
            "Not to be measured: the chart and the small pictures have scales of their own.",
            *doubts(study.findings, study.region),
            *cautions_for("blank"),
        ),
        kind="blank",
    )


def _told(study: SeamStudy) -> list[tuple[str, float]]:
    told = [(f"TAKE {study.chosen}. {study.why}", NAME)]
    for option in study.options:
        told.append((f"{option.name}: {option.words}.", FIGURE))
        told += [(f"{seam.name}: {seam.why}", FIGURE) for seam in option.seams]
    return told


def _chart(study: SeamStudy) -> tuple[list[Stroke], list[Label]]:
    weld = np.array([option.weld / 1000.0 for option in study.options])
    strain = np.array([100.0 * np.expm1(option.peak) for option in study.options])
    limit = 100.0 * float(np.expm1(study.limit))
    right, top = _round_up(float(weld.max())), _round_up(1.05 * max(float(strain.max()), 0.1))
    strokes, labels = _axes(right, top)
    if limit <= top:
        y = HEIGHT * limit / top
        strokes.append(line("centre", (0.0, y), (WIDTH, y), name="limit"))
        text = f"the metal takes {limit:.1f} % in one temper"
        labels.append(words((WIDTH - lettering_width(text, FIGURE), y + 3.0), text, FIGURE))
    placed: list[tuple[float, float]] = []
    for option, x, y in zip(
        study.options, WIDTH * weld / right, HEIGHT * strain / top, strict=True
    ):
        strokes += cross((x, y), 4.0)
        if option.name == study.chosen:
            strokes += [ring("mark", (x, y), 7.0), ring("mark", (x, y), 8.0)]
        text = f"{option.name}: {_pieces(option)}"
        labels.append(words(_clear((x + 11.0, y + 5.0), placed), text, FIGURE))
    return strokes, labels


def _clear(at: tuple[float, float], placed: list[tuple[float, float]]) -> tuple[float, float]:
    """The place, or one above it, that is not over words already there."""
    x, y = at
    while any(abs(x - u) < 90.0 and abs(y - v) < 1.5 * FIGURE for u, v in placed):
        y += 0.5 * FIGURE
    placed.append((x, y))
    return x, y


def _axes(right: float, top: float) -> tuple[list[Stroke], list[Label]]:
    strokes = [line("outline", (0.0, HEIGHT), (0.0, 0.0), (WIDTH, 0.0))]
    labels = []
    for share in np.linspace(0.0, 1.0, 6):
        x, y = float(share * WIDTH), float(share * HEIGHT)
        strokes += [line("grid", (x, 0.0), (x, HEIGHT)), line("grid", (0.0, y), (WIDTH, y))]
        labels.append(words((x, -14.0), f"{share * right:.4g}", FIGURE, centred=True))
        figure = f"{share * top:.4g}"
        labels.append(
            words((-lettering_width(figure, FIGURE) - 5.0, y - 0.5 * FIGURE), figure, FIGURE)
        )
    return strokes, [
        *labels,
        words((0.5 * WIDTH, -32.0), "metres of weld", NAME, centred=True),
        words((0.0, HEIGHT + 12.0), "greatest strain anywhere, percent", NAME),
    ]


def _round_up(value: float) -> float:
    """A round figure not below the value, divisible by five."""
    for step in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0):
        if 5.0 * step >= value:
            return 5.0 * step
    return value


def _pieces(option: SeamOption) -> str:
    return "one piece" if len(option.pieces) == 1 else f"{len(option.pieces)} pieces"


def _small(
    study: SeamStudy, option: SeamOption, corner: tuple[float, float]
) -> tuple[list[Stroke], list[Label]]:
    """An option in small, its lower left corner there."""
    around = np.vstack([piece.edge for piece in study.options[0].pieces]) @ _OBLIQUE.T
    low, size = around.min(axis=0), np.ptp(around, axis=0)
    scale = float(min(THUMB[0] / size[0], THUMB[1] / size[1]))

    def laid(points: Array) -> Array:
        return np.asarray((points @ _OBLIQUE.T - low) * scale + corner)

    strokes = [
        Stroke(ink="outline", points=laid(piece.edge), closed=True, name=piece.name)
        for piece in study.options[0].pieces
    ]
    labels = []
    for k, seam in enumerate(option.seams, start=1):
        ink: Ink = "stretch" if seam.line is not None else "shrink"
        points = laid(seam.points)
        strokes.append(Stroke(ink=ink, points=points, name=seam.name))
        middle = points[len(points) // 2]
        labels.append(words(middle + np.array([3.0, 3.0]), str(k), FIGURE))
    chosen = " (take this)" if option.name == study.chosen else ""
    head = f"{option.name}: {_pieces(option)}{chosen}"
    figures = f"{100.0 * np.expm1(option.peak):.1f} %, {option.weld / 1000.0:.2f} m"
    labels += [
        words((corner[0], corner[1] + THUMB[1] + 24.0), head, NAME),
        words((corner[0], corner[1] + THUMB[1] + 11.0), figures, FIGURE),
    ]
    return strokes, labels
