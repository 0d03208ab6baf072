"""What is done to the skin as it lies on a blank: beads, louvres, trims, where skins meet."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.drawings.beadmarks import bead_marks
from buckwright.drawings.laying import Layer, words_along
from buckwright.geometry.polyline import arc_lengths
from buckwright.geometry.row_sheets import rows_of_sheet
from buckwright.model.drawings import Ink, Label, Stroke
from buckwright.model.louvres import LouvreField, LouvreSpec
from buckwright.model.panels import Blank, Panel
from buckwright.model.skin import Skin
from buckwright.model.treatments import SkinMeeting

__all__ = ["TreatmentMarks", "treatment_marks"]

Array = NDArray[np.float64]

ABOVE = 4.0
ACROSS = np.array([1.0, -1.0, 1.0])
BEADS = "Beads and swages are pressed once the panel is formed; the marks say where they lie."
STRUCK = "Louvres are struck on the formed panel; the marks say where: the cut, and the root."
SLIT = "The slits of louvres are cut in the flat; their lips are pressed once the panel is formed."
MEETS = "Where another skin meets the panel is marked: offer it up there."


@dataclass(frozen=True, slots=True)
class TreatmentMarks:
    """Strokes, words, and sentences for the head of the sheet."""

    strokes: tuple[Stroke, ...] = ()
    labels: tuple[Label, ...] = ()
    notes: tuple[str, ...] = ()


def treatment_marks(panel: Panel, blank: Blank, skin: Skin) -> TreatmentMarks:
    """The marks of everything done to the skin that lies on the panel."""
    layer = Layer(panel, blank)
    strokes, labels = bead_marks(layer, skin.beads)
    notes = [BEADS] if strokes else []
    for found, told in (
        (_louvres(layer, skin.louvres), (STRUCK, SLIT)),
        (_trims(layer, skin), ()),
        (_meetings(layer, skin.meetings, panel), (MEETS,)),
    ):
        for note, run_strokes, label in found:
            strokes += run_strokes
            labels.append(label)
            if told and told[note] not in notes:
                notes.append(told[note])
    return TreatmentMarks(tuple(strokes), tuple(labels), tuple(notes))


Marked = tuple[int, list[Stroke], Label]
"""Which note belongs to it, its strokes, and its words."""


def _louvres(layer: Layer, fields: Sequence[LouvreField]) -> Iterator[Marked]:
    for field in fields:
        spec = field.spec
        flat = spec.slits == "in the flat"
        slit: Ink = "cut" if flat else "mark"
        strokes: list[Stroke] = []
        roots: list[Array] = []
        sheets = rows_of_sheet(field.vertices, field.triangles)
        for sheet, cut in zip(sheets, field.cuts, strict=True):
            root = list(layer.lay(sheet.points[:, 0]))
            roots += root
            strokes += [Stroke(ink="crease", points=run, name=field.name) for run in root]
            lines: list[tuple[Ink, Array]] = [(slit, cut)]
            lines += [("mark", sheet.points[0]), ("mark", sheet.points[-1])]
            strokes += [
                Stroke(ink=ink, points=run, name=field.name)
                for ink, line in lines
                for run in layer.lay(line)
            ]
        if roots:
            top = max(roots, key=lambda run: float(run[:, 1].max()))
            label = words_along(top, _louvre_words(spec), above=spec.width + ABOVE)
            yield int(flat), strokes, label


def _louvre_words(spec: LouvreSpec) -> str:
    return (
        f"louvres {spec.name}: {spec.rows} x {spec.columns}, {spec.length:g} by {spec.width:g}, "
        f"{spec.height:g} high, slits cut {spec.slits}"
    )


def _trims(layer: Layer, skin: Skin) -> Iterator[Marked]:
    left = {region.name for region in skin.regions if region.side == "left"}
    for trim in skin.trims:
        sides = (trim.points, trim.points * ACROSS) if trim.region in left else (trim.points,)
        runs = [run for points in sides for run in layer.lay(points, closed=trim.closed)]
        if runs:
            yield 0, *_marked(runs, trim.name, f"trim {trim.name}")


def _meetings(layer: Layer, meetings: Sequence[SkinMeeting], panel: Panel) -> Iterator[Marked]:
    own = panel.region if panel.side == "whole" else f"{panel.region} {panel.side}"
    for meeting in meetings:
        if not {own, panel.region} & set(meeting.regions):
            continue
        runs = list(layer.lay(meeting.points, closed=meeting.closed))
        if runs:
            others = [name for name in meeting.regions if name not in (own, panel.region)]
            yield 0, *_marked(runs, meeting.name, f"{' and '.join(others)} meets here")


def _marked(runs: Sequence[Array], name: str, text: str) -> tuple[list[Stroke], Label]:
    longest = max(runs, key=lambda run: float(arc_lengths(run)[-1]))
    strokes = [Stroke(ink="mark", points=run, name=name) for run in runs]
    return strokes, words_along(longest, text, above=ABOVE)
