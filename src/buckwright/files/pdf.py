"""PDF: full-size sheets on a roll or in tiles, and the cover."""

from buckwright.files.pdfcover import cover_pdf
from buckwright.files.pdfroll import roll_pdf
from buckwright.files.pdftiles import PAPERS, tiled_pdf

__all__ = ["PAPERS", "cover_pdf", "roll_pdf", "tiled_pdf"]
