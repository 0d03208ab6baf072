"""A PDF written page by page in millimetres: strokes, words, check bars.

True size: print scaling is switched off for readers that ask, UserUnit is never used, and no page
is longer than 14,400 units (ISO 32000-1, Annex C.2), because longer ones are shown at half size
by common readers.
"""

from collections.abc import Iterable, Sequence
from functools import cache
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from buckwright.files.inks import PENS
from buckwright.geometry.lettering import ascii_text, lettering_width
from buckwright.model.drawings import Label, Stroke

__all__ = ["FONT", "LONGEST_PAGE", "POINT", "PdfBook", "embed_font"]

Array = NDArray[np.float64]

POINT = 25.4 / 72.0
"""mm."""
LONGEST_PAGE = 14400 * POINT
FONT = "Vera"
CAPITALS = 0.729
"""Height of capitals for a font size of 1 (Bitstream Vera Sans: 1493 of 2048 units)."""
INCH = 25.4


@cache
def embed_font() -> TTFont:
    """The embedded font: Bitstream Vera Sans, free licence, comes with reportlab."""
    font = TTFont(FONT, "Vera.ttf")
    pdfmetrics.registerFont(font)
    pdfmetrics.registerFont(TTFont(f"{FONT}-Bold", "VeraBd.ttf"))
    pdfmetrics.registerFontFamily(FONT, normal=FONT, bold=f"{FONT}-Bold", italic=FONT)
    return font


class PdfBook:
    """Pages in order; coordinates are mm from the lower left corner of the page."""

    def __init__(self, title: str) -> None:
        embed_font()
        self._file = BytesIO()
        self._canvas = Canvas(self._file, pageCompression=1, invariant=1, initialFontName=FONT)
        self._canvas.setTitle(title)
        self._canvas.setAuthor("buckwright")
        self._canvas.setSubject("Full-size drawings: print at 100 %, no scaling")
        self._canvas.setViewerPreference("PrintScaling", "None")
        self._pages = 0

    def begin_page(self, width: float, height: float, *, bookmark: str = "") -> None:
        """A new page; with a bookmark it is listed in the reader's contents.

        Raises ValueError for a page that readers would not show at true size.
        """
        if max(width, height) > LONGEST_PAGE:
            message = f"a page must not be longer than {LONGEST_PAGE:.0f} mm"
            raise ValueError(message)
        if self._pages:
            self._canvas.showPage()
        self._pages += 1
        self._canvas.setPageSize((width / POINT, height / POINT))
        if bookmark:
            key = f"page{self._pages}"
            self._canvas.bookmarkPage(key)
            self._canvas.addOutlineEntry(bookmark, key)

    def clip(self, low: Sequence[float] | Array, high: Sequence[float] | Array) -> None:
        """From now on, until `unclip`, only inside this box."""
        self._canvas.saveState()
        path = self._canvas.beginPath()
        x, y = (float(v) / POINT for v in low)
        path.rect(x, y, float(high[0]) / POINT - x, float(high[1]) / POINT - y)
        self._canvas.clipPath(path, stroke=0, fill=0)

    def unclip(self) -> None:
        """End of the clip."""
        self._canvas.restoreState()

    def strokes(
        self, strokes: Iterable[Stroke], *, shift: Array | None = None, scale: float = 1.0
    ) -> None:
        """Draw the strokes, shifted by (2,) mm after scaling, ink by ink."""
        by = np.zeros(2) if shift is None else shift
        drawn = list(strokes)
        for ink, pen in PENS.items():
            own = [stroke for stroke in drawn if stroke.ink == ink]
            if not own:
                continue
            self._canvas.setStrokeColorRGB(*pen.colour)
            self._canvas.setLineWidth(max(pen.width * min(scale * 4.0, 1.0), 0.13) / POINT)
            self._canvas.setDash([d / POINT for d in pen.dashes] if scale == 1.0 else [])
            self._canvas.setLineJoin(1)
            for stroke in own:
                self._path((stroke.points * scale + by) / POINT, closed=stroke.closed)
        self._canvas.setDash([])

    def words(self, labels: Iterable[Label], *, shift: Array | None = None) -> None:
        """Write the labels, each as wide as its lettering."""
        by = np.zeros(2) if shift is None else shift
        self._canvas.setFillColorRGB(0.0, 0.0, 0.0)
        for label in labels:
            self._write(label, by)

    def check_bars(self, at: tuple[float, float], lengths: Sequence[tuple[float, str]]) -> None:
        """Bars of those lengths from one corner, to the right and upwards, with their names."""
        x, y = at
        for row, (length, text) in enumerate(lengths):
            step = 7.0 * row
            self.strokes([*_bar((x, y - step), (1.0, 0.0), length)])
            self.strokes([*_bar((x - step, y), (0.0, 1.0), length)])
            across = Label(at=(x + 3.0, y - step + 1.2), text=text, height=2.5)
            upward = Label(at=(x - step - 1.2, y + 3.0), text=text, height=2.5, angle=np.pi / 2.0)
            self.words([across, upward])

    def finish(self) -> bytes:
        """The file's bytes: the same for the same pages."""
        self._canvas.showPage()
        self._canvas.save()
        return self._file.getvalue()

    def _path(self, points: Array, *, closed: bool) -> None:
        path = self._canvas.beginPath()
        path.moveTo(*points[0].tolist())
        for x, y in points[1:].tolist():
            path.lineTo(x, y)
        if closed:
            path.close()
        self._canvas.drawPath(path, stroke=1, fill=0)

    def _write(self, label: Label, by: Array) -> None:
        text = _shown(label.text)
        size = label.height / CAPITALS / POINT
        natural = pdfmetrics.stringWidth(text, FONT, size)
        if natural <= 0.0:
            return
        wanted = lettering_width(label.text, label.height) / POINT
        cosine, sine = float(np.cos(label.angle)), float(np.sin(label.angle))
        words = self._canvas.beginText()
        words.setTextTransform(
            cosine,
            sine,
            -sine,
            cosine,
            (label.at[0] + float(by[0])) / POINT,
            (label.at[1] + float(by[1])) / POINT,
        )
        words.setFont(FONT, size)
        words.setHorizScale(100.0 * wanted / natural)
        words.textOut(text)
        self._canvas.drawText(words)


def _shown(text: str) -> str:
    known = embed_font().face.charToGlyph
    return "".join(c if ord(c) in known else ascii_text(c) for c in text)


def _bar(start: tuple[float, float], along: tuple[float, float], length: float) -> list[Stroke]:
    """A line with a short tick at both ends, whose outer distance is the length."""
    a = np.asarray(start)
    u = np.asarray(along)
    v = np.array([-u[1], u[0]]) * 2.0
    b = a + length * u
    return [Stroke(ink="mark", points=np.stack(p), name="check bar") for p in
            ((a, b), (a - v, a + v), (b - v, b + v))]  # fmt: skip
