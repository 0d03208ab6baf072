"""Pictures of drawings in pieces, lengths from card to card, an unbegun shoot, and the hull."""

import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import Browser, Page
from served import sheet_of_copy, shoot

from buckwright.model.job import Job
from buckwright.model.mats import printed_mat
from buckwright.store import JobFile

__all__ = ["photograph_pieces"]

ROOT = Path(__file__).parents[2]
SENT = """async (all) => { for (const sent of all) await fetch('/api/change', {method: 'POST',
    headers: {'content-type': 'application/json'}, body: JSON.stringify(sent)}) }"""


def photograph_pieces(chromium: Browser, job: Path, out: Path) -> None:
    """Write pieces.jpg, mat-card-bar.png, shoot-page.jpg and hull.jpg."""
    with TemporaryDirectory() as folder:
        drawn, cards = Path(folder) / "drawn.buck", Path(folder) / "cards.buck"
        JobFile.create(drawn, Job(name="Drawing")).close()
        JobFile.create(cards, Job(name="Part", mat=printed_mat("cards", 8))).close()
        with sheet_of_copy(chromium, drawn, "pictures") as page:
            _pieces(page, out)
        begun = Path(folder) / "begun.buck"
        JobFile.create(begun, Job(name="Model", mat=printed_mat("A2"))).close()
        with sheet_of_copy(chromium, begun, "pictures") as page:
            page.wait_for_timeout(1000)
            shoot(
                page,
                out / "shoot-page.jpg",
                "section.part:has(h2:text-is('What to photograph next'))",
            )
        with sheet_of_copy(chromium, cards, "pictures") as page:
            page.get_by_label("the tape says").fill("3140.5 mm")
            page.locator(".from-card").screenshot(path=out / "mat-card-bar.png")
    with sheet_of_copy(chromium, job, "pictures") as page:
        page.get_by_role("button", name="Carve the hull").click()
        hull = page.locator("section.part:has(h2:text-is('Hull of the outlines'))")
        hull.get_by_text("by 8 outlines").wait_for()
        page.wait_for_timeout(3000)
        shoot(page, out / "hull.jpg", "section.part:has(h2:text-is('Hull of the outlines'))")


def _pieces(page: Page, out: Path) -> None:
    sys.path.insert(0, str(ROOT / "tests"))
    from web.drawn_pieces import PIECES, piece_png, shared_marks

    page.get_by_label("name of the view").fill("sheet")
    page.get_by_text("It is a drawing").click()
    page.get_by_label("Its pieces").set_input_files(
        [{"name": n, "mimeType": "image/png", "buffer": piece_png(n)} for n in PIECES]
    )
    page.locator(".pieced[data-pieces='3']").wait_for()
    # One of them is set 14 pixels beside its place, so that there is something to find.
    wrong = ("crossing e", "right.png")
    page.evaluate(
        SENT,
        [
            {
                "what": "view mark",
                "name": "sheet",
                "picture": piece,
                "mark": mark,
                "px": [px[0] + 14.0 * ((mark, piece) == wrong), px[1]],
            }
            for mark, own in shared_marks().items()
            for piece, px in own.items()
        ],
    )
    page.reload()
    page.locator(".pieced[data-joined=yes]").wait_for()
    page.get_by_label("one piece").select_option("middle.png")
    page.get_by_label("the other", exact=True).select_option("right.png")
    page.wait_for_timeout(2000)
    shoot(page, out / "pieces.jpg", ".pieced")
