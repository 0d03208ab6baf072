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
    for marked in (
        *_louvres(layer, skin.louvres),
        *_trims(layer, skin),
        *_meetings(layer, skin.meetings, panel),
    ):
        strokes += marked.strokes
        labels += marked.labels
        notes += marked.notes
    return TreatmentMarks(tuple(strokes), tuple(labels), tuple(dict.fromkeys(notes)))


def _louvres(layer: Layer, fields: Sequence[LouvreField]) -> Iterator[TreatmentMarks]:
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
            label = words_along(top, f"louvres {spec.name}", above=spec.width + ABOVE)
            yield TreatmentMarks(tuple(strokes), (label,), (_louvre_words(spec),))


def _louvre_words(spec: LouvreSpec) -> str:
    made = (
        "the slits are cut in the flat, the lips pressed once the panel is formed"
        if spec.slits == "in the flat"
        else "struck on the formed panel; the marks say where, the cut and the root"
    )
    return (
        f"Louvres {spec.name}: {spec.rows} x {spec.columns}, {spec.length:g} by {spec.width:g} mm, "
        f"{spec.height:g} mm high; {made}."
    )


def _trims(layer: Layer, skin: Skin) -> Iterator[TreatmentMarks]:
    left = {region.name for region in skin.regions if region.side == "left"}
    for trim in skin.trims:
        sides = (trim.points, trim.points * ACROSS) if trim.region in left else (trim.points,)
        runs = [run for points in sides for run in layer.lay(points, closed=trim.closed)]
        if runs:
            yield _marked(runs, trim.name, f"trim {trim.name}")


def _meetings(
    layer: Layer, meetings: Sequence[SkinMeeting], panel: Panel
) -> Iterator[TreatmentMarks]:
    own = panel.region if panel.side == "whole" else f"{panel.region} {panel.side}"
    for meeting in meetings:
        if not {own, panel.region} & set(meeting.regions):
            continue
        runs = list(layer.lay(meeting.points, closed=meeting.closed))
        if runs:
            others = [name for name in meeting.regions if name not in (own, panel.region)]
            yield _marked(runs, meeting.name, f"{' and '.join(others)} meets here", MEETS)


def _marked(runs: Sequence[Array], name: str, text: str, *notes: str) -> TreatmentMarks:
    longest = max(runs, key=lambda run: float(arc_lengths(run)[-1]))
    strokes = [Stroke(ink="mark", points=run, name=name) for run in runs]
    return TreatmentMarks(tuple(strokes), (words_along(longest, text, above=ABOVE),), notes)
