"""The cover of the packet: picture, revision, figures, doubts, cautions, list of sheets."""

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
    PageBreak,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    Table,
    TableStyle,
)

from buckwright.errors import FileError
from buckwright.files.pdfbook import FONT, POINT, embed_font
from buckwright.files.summary import summary_rows
from buckwright.model.drawings import Sheet
from buckwright.model.finding import Finding
from buckwright.model.job import Job, Products

__all__ = ["cover_pdf"]

MARGIN = 18.0 / POINT
BODY = ParagraphStyle("body", fontName=FONT, fontSize=9, leading=12.5, bulletFontName=FONT)
CAUTION = ParagraphStyle("caution", parent=BODY, leftIndent=10, spaceAfter=2)
SMALL = ParagraphStyle("small", parent=BODY, fontSize=8, leading=11)
TITLE = ParagraphStyle("title", parent=BODY, fontName=f"{FONT}-Bold", fontSize=26, leading=32)
HEAD = ParagraphStyle(
    "head",
    parent=BODY,
    fontName=f"{FONT}-Bold",
    fontSize=13,
    leading=17,
    spaceBefore=12,
    spaceAfter=4,
)


def cover_pdf(
    job: Job,
    products: Products,
    *,
    sheets: Sequence[Sheet],
    findings: Sequence[tuple[str, Finding]] = (),
    cautions: Sequence[str] = (),
    picture: bytes | None = None,
) -> bytes:
    """A4 pages to lay on top of the packet.

    `findings` are (step, finding) in order; `picture` holds the bytes of a PNG or JPEG file.
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
    parts = [
        *_head(job, picture, document.width),
        Paragraph("What it comes to", HEAD),
        _grid(summary_rows(job, products), (0.32, 0.68), document.width),
        *_departures(job, document.width),
        Paragraph("In doubt, and what to do", HEAD),
        *_findings(findings, document.width),
        PageBreak(),
        Paragraph("Cautions", HEAD),
        *(Paragraph(escape(text), CAUTION, bulletText="-") for text in cautions),
        Paragraph("Sheets", HEAD),
        _sheet_list(sheets, document.width),
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
        parts.append(_picture(picture, width, 95.0 / POINT))
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
    rows: Sequence[Sequence[str]], shares: Sequence[float], width: float, *, heading: bool = False
) -> Table:
    cells = [[Paragraph(escape(cell), SMALL) for cell in row] for row in rows]
    table = Table(cells, [share * width for share in shares], repeatRows=1 if heading else 0)
    style = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LINEBELOW", (0, 0), (-1, -1), 0.4, colors.grey),
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
    ]
    if heading:
        style.append(("LINEBELOW", (0, 0), (-1, 0), 1.2, colors.black))
    table.setStyle(TableStyle(style))
    return table


def _departures(job: Job, width: float) -> list[Flowable]:
    rows = [
        (
            one.name,
            f"{one.axis} {one.start:.0f} to {one.end:.0f}: {one.by:+.0f} mm",
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


def _findings(findings: Sequence[tuple[str, Finding]], width: float) -> list[Flowable]:
    if not findings:
        return [Paragraph("Nothing was found that is in doubt.", BODY)]
    rows = [("step", "where", "what is in doubt", "what to do")]
    rows += [(step, f.where, f.message, f.remedy) for step, f in findings]
    return [_grid(rows, (0.1, 0.18, 0.38, 0.34), width, heading=True)]


def _sheet_list(sheets: Sequence[Sheet], width: float) -> Table:
    rows = [("sheet", "file name", "size mm")]
    for sheet in sheets:
        low, high = sheet.box()
        size = high - low
        about = sheet.title.partition(": ")[2] or sheet.title
        rows.append((about, sheet.name, f"{size[0]:.0f} x {size[1]:.0f}"))
    return _grid(rows, (0.55, 0.27, 0.18), width, heading=True)
