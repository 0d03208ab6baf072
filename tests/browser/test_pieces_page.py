"""A drawing in pieces and a length from card to card, worked on the page, also by keyboard."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.conftest import serving
from browser.test_reach import BEYOND_THE_SIDE, RULES, SMALL_TARGETS, SMALL_WORDS, SMALLEST
from browser.walking import go_to
from buckwright.flow.views import view_named
from buckwright.model.job import Job
from buckwright.model.mats import printed_mat
from buckwright.store import JobFile
from buckwright.views import square_view
from web.drawn_pieces import PIECES, WHEELS, piece_png, shared_marks

pytestmark = pytest.mark.browser


def within_reach(page):
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}})
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SMALL_TARGETS, SMALLEST) == []
    assert page.evaluate(SMALL_WORDS) == []
    assert page.evaluate(BEYOND_THE_SIDE) <= 0


@pytest.fixture
def drawn(tmp_path):
    path = tmp_path / "drawn.buck"
    JobFile.create(path, Job(name="Drawn")).close()
    with serving(path) as address:
        yield path, address


def tap(page, picture, px, size):
    """Tap the place `px` of a picture that is wholly shown."""
    box = picture.bounding_box()
    unit = box["width"] / size[0]
    page.mouse.click(box["x"] + unit * (px[0] + 0.5), box["y"] + unit * (px[1] + 0.5))


def test_pieces_are_brought_marked_joined_and_scaled(drawn, open_page):
    path, address = drawn
    page = open_page(address)
    go_to(page, "pictures")
    page.get_by_label("name of the view").fill("sheet")
    page.get_by_text("It is a drawing").click()
    files = [{"name": n, "mimeType": "image/png", "buffer": piece_png(n)} for n in PIECES]
    page.get_by_label("Its pieces").set_input_files(files)
    pieced = page.locator(".pieced[data-pieces='3']")
    expect(pieced).to_contain_text("shares fewer than two marks")
    expect(pieced).to_contain_text("Now tap mark 1 in left.png and middle.png.")

    places = shared_marks()
    left, middle = (page.get_by_label(f"Piece {n}, for mark 1") for n in ("left.png", "middle.png"))
    left.scroll_into_view_if_needed()
    tap(page, left, places["crossing a"]["left.png"], (1020, 900))
    expect(pieced).to_contain_text("Now tap mark 1 in middle.png.")
    # By keyboard: near the place, then Enter for what is under the cross in the middle.
    middle.focus()
    page.keyboard.press("Enter")
    expect(pieced).to_contain_text("Now tap mark 2 in left.png and middle.png.")
    page.get_by_label("name of the mark").fill("mark 1")
    middle = page.get_by_label("Piece middle.png, for mark 1")
    with page.expect_response("**/api/change"):
        tap(page, middle, places["crossing a"]["middle.png"], (1020, 900))
    expect(pieced.locator(".shared-mark.now")).to_have_count(2)
    with JobFile.open(path) as file:
        (kept,) = (p.marks[0] for p in view_named(file.job(), "sheet").pictures[1:2])
    assert kept.px == pytest.approx(places["crossing a"]["middle.png"], abs=2.0)
    page.get_by_role("button", name="Undo").click()
    page.get_by_role("button", name="Undo").click()

    # The rest is set exactly, one of them a little wrong, as the page itself sends it.
    sent = [
        {"what": "view mark", "name": "sheet", "picture": piece, "mark": mark,
         "px": [px[0] + 9.0 * ((mark, piece) == ("crossing e", "right.png")), px[1]]}
        for mark, own in places.items()
        for piece, px in own.items()
    ]  # fmt: skip
    page.evaluate(
        """async (all) => { for (const sent of all) await fetch('/api/change', {method: 'POST',
        headers: {'content-type': 'application/json'}, body: JSON.stringify(sent)}) }""",
        sent,
    )
    page.reload()
    go_to(page, "pictures")
    table = page.get_by_role("region", name="Shared marks, the most suspicious first")
    first = table.locator("tbody tr").first
    expect(first).to_contain_text("crossing e")
    expect(first).to_contain_text("off")
    sheet = page.get_by_label("Joined sheet of sheet")
    page.get_by_label("a click sets").select_option("ends of a known length")
    with JobFile.open(path) as file:
        view = view_named(file.job(), "sheet")
    size = sheet.evaluate("svg => [svg.viewBox.baseVal.width, svg.viewBox.baseVal.height]")
    # Both wheels, which lie in the first and the last piece.
    unit = size[0] / 2650.0
    sheet.scroll_into_view_if_needed()
    for x, y in WHEELS:
        tap(page, sheet, (unit * (x + 20.0), unit * (y + 15.0)), size)
    page.get_by_label("known length").last.fill("2220 mm")
    page.get_by_role("button", name="Put the sheet to scale").click()
    expect(page.locator(".pieced")).to_contain_text("to a pixel")
    with JobFile.open(path) as file:
        view = view_named(file.job(), "sheet")
    assert view.length.first.picture == "left.png"
    assert view.length.second.picture == "right.png"
    assert square_view(view).mm_per_px == pytest.approx(1.5, rel=0.1)
    within_reach(page)


@pytest.mark.parametrize(("width", "scheme"), [(820, "dark")])
def test_a_length_from_card_to_card_is_typed_within_reach(tmp_path, open_page, width, scheme):
    path = tmp_path / "cards.buck"
    JobFile.create(path, Job(name="Part", mat=printed_mat("cards", 8))).close()
    with serving(path) as address:
        page = open_page(address, color_scheme=scheme, viewport={"width": width, "height": 900})
        go_to(page, "pictures")
        expect(page.locator(".stale")).to_contain_text("The scale is not measured")
        board = page.get_by_role("img", name="Card 8").first
        board.scroll_into_view_if_needed()
        box = board.bounding_box()
        square = box["width"] / 9.0
        page.mouse.click(box["x"] + 7.0 * square, box["y"] + 5.0 * square)
        page.get_by_label("row of the mark").first.select_option("2")
        page.get_by_label("the tape says").fill("3140.5")
        page.get_by_label("the tape says").press("Enter")
        kept = page.locator(".from-card li")
        expect(kept).to_contain_text(
            "3140.50 mm from card 1, column 1, row 2 to card 8, column 6, row 4, to 0.50 mm"
        )
        expect(page.locator(".stale")).to_have_count(0)
        within_reach(page)
        kept.get_by_role("button", name="Take length 1 off").click()
        expect(kept).to_have_count(0)
        open_page.leave()
