"""SVG: a sheet at true size, millimetres as user units."""

from xml.sax.saxutils import escape, quoteattr

import numpy as np

from buckwright.files.inks import PENS
from buckwright.files.leaves import leaf_of
from buckwright.geometry.lettering import lettering_width
from buckwright.model.drawings import Label, Sheet, Stroke

__all__ = ["svg_text"]

EDGE = 10.0


def svg_text(sheet: Sheet) -> str:
    """The sheet with its notes, as a document of its own.

    Width and height are in mm and the view box has the same figures, so that one user unit is
    one millimetre; y runs down, from the top edge. Each ink is a group with a class of its name;
    strokes carry their name. Words are text, as wide as their lettering.
    """
    leaf = leaf_of(sheet)
    width, height = leaf.box()[1] + 2.0 * EDGE
    groups = []
    for ink in PENS:
        own = [stroke for stroke in leaf.strokes if stroke.ink == ink]
        if own:
            paths = "\n".join(_path(stroke, float(height)) for stroke in own)
            groups.append(f'<g class="{ink}">\n{paths}\n</g>')
    words = "\n".join(_words(label, float(height)) for label in leaf.labels)
    size = f'width="{width:.3f}mm" height="{height:.3f}mm" viewBox="0 0 {width:.3f} {height:.3f}"'
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" {size}>\n'
        f"<title>{escape(sheet.title)}</title>\n<style>{_style()}</style>\n"
        + "\n".join(groups)
        + f'\n<g class="words">\n{words}\n</g>\n</svg>\n'
    )


def _style() -> str:
    rules = ["path{fill:none;stroke-linejoin:round;stroke-linecap:round}"]
    for ink, pen in PENS.items():
        red, green, blue = (round(255 * part) for part in pen.colour)
        dashes = f";stroke-dasharray:{' '.join(f'{d:g}' for d in pen.dashes)}" if pen.dashes else ""
        colour = f"#{red:02x}{green:02x}{blue:02x}"
        rules.append(f".{ink}{{stroke:{colour};stroke-width:{pen.width:g}{dashes}}}")
    rules.append(".words{font-family:Verdana,'DejaVu Sans',sans-serif;fill:#000}")
    return "".join(rules)


def _path(stroke: Stroke, height: float) -> str:
    points = np.column_stack([stroke.points[:, 0] + EDGE, height - EDGE - stroke.points[:, 1]])
    steps = " ".join(f"{x:.3f},{y:.3f}" for x, y in points.tolist())
    name = f" data-name={quoteattr(stroke.name)}" if stroke.name else ""
    return f'<path{name} d="M{steps}{"Z" if stroke.closed else ""}"/>'


def _words(label: Label, height: float) -> str:
    x, y = label.at[0] + EDGE, height - EDGE - label.at[1]
    wide = lettering_width(label.text, label.height)
    turn = f' transform="rotate({-np.degrees(label.angle):.3f} {x:.3f} {y:.3f})"'
    return (
        f'<text x="{x:.3f}" y="{y:.3f}" font-size="{label.height / 0.729:.3f}" '
        f'textLength="{wide:.3f}" lengthAdjust="spacingAndGlyphs"'
        f"{turn if label.angle else ''}>{escape(label.text)}</text>"
    )
