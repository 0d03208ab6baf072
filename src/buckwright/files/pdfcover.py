"""The cover of the packet: picture, revision, figures, doubts, notes, cautions, what lies in it."""

from collections.abc import Sequence
from io import BytesIO
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.utils import ImageReader
from reportlab.platypus import (
    Flowable,
    Image,
    KeepTogether,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    Table,
    TableStyle,
)

from buckwright.errors import FileError
from buckwright.files.contents import CONTENTS_HEAD, contents_rows
from buckwright.files.pdfbook import FONT, POINT, embed_font
from buckwright.files.summary import summary_rows
from buckwright.model.drawings import Sheet
from buckwright.model.finding import Finding, alike, doubts_of, notes_of, who_else
from buckwright.model.job import Job, Products

__all__ = ["cover_pdf"]

MARGIN = 15.0 / POINT
BODY = ParagraphStyle("body", fontName=FONT, fontSize=9, leading=12.5, bulletFontName=FONT)
CAUTION = ParagraphStyle(
    "caution", parent=BODY, fontSize=8, leading=10, leftIndent=10, spaceAfter=1
)
SMALL = ParagraphStyle("small", parent=BODY, fontSize=8, leading=10)
FINE = ParagraphStyle("fine", parent=BODY, fontSize=7, leading=8.6)
TITLE = ParagraphStyle("title", parent=BODY, fontName=f"{FONT}-Bold", fontSize=26, leading=32)
HEAD = ParagraphStyle(
    "head",
    parent=BODY,
    fontName=f"{FONT}-Bold",
    fontSize=13,
    leading=16,
    spaceBefore=9,
    spaceAfter=3,
)


def cover_pdf(
    job: Job,
    products: Products,
    *,
    sheets: Sequence[Sheet],
    findings: Sequence[tuple[str, Finding]] = (),
    cautions: Sequence[str] = (),
    picture: bytes | None = None,
    contents: Sequence[tuple[str, str, str]] | None = None,
) -> bytes:
    """A4 pages to lay on top of the packet.

    `findings` are (step, finding) in order; `picture` holds the bytes of a PNG or JPEG file;
    `contents` are rows of `contents.contents_rows`, by default of the sheets alone.
    Raises FileError for a picture that cannot be read.
    """
    embed_font()
    out = BytesIO()
    document = SimpleDocTemplate(
        out,
        pagesize=A4,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN,
        bottomMargin=MARGIN,
        title=f"{job.name}, revision {job.revision}",
        author="buckwright",
        subject="Packet for the shop floor",
        invariant=1,
        initialFontName=FONT,
    )
    rows = contents_rows(sheets, (), ()) if contents is None else contents
    parts = [
        *_head(job, picture, document.width),
        Paragraph("What it comes to", HEAD),
        _grid(summary_rows(job, products), (0.2, 0.8), document.width),
        Paragraph("In doubt: look into these first", HEAD),
        *_doubts(findings, document.width),
        Paragraph("Cautions", HEAD),
        *(Paragraph(escape(text), CAUTION, bulletText="-") for text in cautions),
        *_departures(job, document.width),
        *_notes(findings, document.width),
        *_contents(rows, document.width),
    ]
    document.build(parts)
    return out.getvalue()


def _head(job: Job, picture: bytes | None, width: float) -> list[Flowable]:
    parts: list[Flowable] = [
        Paragraph(escape(job.name), TITLE),
        Paragraph(
            f"Revision {escape(job.revision)}. Full-size drawings, lists and cut files for the "
            "shop floor. Another revision replaces every sheet of this one.",
            BODY,
        ),
        Spacer(1, 8),
    ]
    if picture is not None:
        parts.append(_picture(picture, width, 62.0 / POINT))
    return parts


def _picture(data: bytes, width: float, height: float) -> Image:
    try:
        across, down = ImageReader(BytesIO(data)).getSize()
    except Exception as error:  # the reader passes on whatever its decoder raises
        raise FileError(
            "The picture for the cover cannot be read.", "Give a PNG or JPEG file."
        ) from error
    scale = min(width / across, height / down)
    return Image(BytesIO(data), across * scale, down * scale)


def _grid(
    rows: Sequence[Sequence[str]],
    shares: Sequence[float],
    width: float,
    *,
    heading: bool = False,
    style: ParagraphStyle = SMALL,
) -> Table:
    cells = [[Paragraph(escape(cell), style) for cell in row] for row in rows]
    table = Table(cells, [share * width for share in shares], repeatRows=1 if heading else 0)
    lines = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LINEBELOW", (0, 0), (-1, -1), 0.4, colors.grey),
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("TOPPADDING", (0, 0), (-1, -1), 1),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
    ]
    if heading:
        lines.append(("LINEBELOW", (0, 0), (-1, 0), 1.2, colors.black))
    table.setStyle(TableStyle(lines))
    return table


def _departures(job: Job, width: float) -> list[Flowable]:
    rows = [
        (
            one.name,
            one.change(),
            one.reason if one.on else f"{one.reason} (switched off)",
        )
        for one in job.departures
    ]
    if not rows:
        return []
    return [
        KeepTogether(
            [
                Paragraph("Changed from the reference on purpose", HEAD),
                _grid(rows, (0.28, 0.27, 0.45), width),
            ]
        )
    ]


def _doubts(findings: Sequence[tuple[str, Finding]], width: float) -> list[Flowable]:
    steps = {id(finding): step for step, finding in findings}
    groups = alike(doubts_of(finding for _, finding in findings))
    if not groups:
        return [Paragraph("Nothing was found that is in doubt.", BODY)]
    rows = [("step", "where", "what is in doubt", "what to do")]
    rows += [
        (steps[id(group[0])], _where(group), group[0].message, group[0].remedy) for group in groups
    ]
    return [_grid(rows, (0.09, 0.19, 0.4, 0.32), width, heading=True)]


def _notes(findings: Sequence[tuple[str, Finding]], width: float) -> list[Flowable]:
    """What was decided: in small print, for whoever asks why."""
    steps = {id(finding): step for step, finding in findings}
    groups = alike(notes_of(finding for _, finding in findings))
    if not groups:
        return []
    rows = [("step", "where", "what was decided, and what follows")]
    rows += [
        (steps[id(group[0])], _where(group), f"{group[0].message} {group[0].remedy}")
        for group in groups
    ]
    table = _grid(rows, (0.09, 0.25, 0.66), width, heading=True, style=FINE)
    return [Paragraph("Decided on the way: good to know", HEAD), table]


def _where(group: Sequence[Finding]) -> str:
    """What a group of findings is about; the figures of the others stand in the table."""
    others = who_else(group)
    return group[0].where + (f"; likewise {', '.join(others)}" if others else "")


def _contents(rows: Sequence[tuple[str, str, str]], width: float) -> list[Flowable]:
    if not rows:
        return []
    table = _grid((CONTENTS_HEAD, *rows), (0.12, 0.24, 0.64), width, heading=True, style=FINE)
    return [Paragraph("In this packet", HEAD), table]
