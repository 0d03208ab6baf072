"""Tapes and tables are typed in on the sheet of lines, by keyboard, in a narrow dark window too."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.conftest import serving
from browser.test_reach import RULES, SMALL_TARGETS, SMALL_WORDS, SMALLEST
from tables_on_paper import as_csv, wigley_rows
from web.small_cab_job import make_cab_file

pytestmark = pytest.mark.browser


@pytest.fixture
def lines(tmp_path, open_page):
    path = tmp_path / "cab.buck"
    make_cab_file(path)
    with serving(path) as address:
        page = open_page(address, viewport={"width": 820, "height": 900}, color_scheme="dark")
        page.locator('nav a[href="#lines"]').click()
        page.locator("#sheet[data-sheet=lines][data-ready=true]").wait_for()
        yield page
        open_page.leave()


def test_a_tape_and_a_table_are_typed_in_trusted_and_left_out(lines):
    tapes = lines.locator("section.part:has(h2:text-is('Tape measurements'))")
    tapes.get_by_text("Type a tape in").focus()
    lines.keyboard.press("Enter")
    for name, size in (("one", "1530 mm"), ("two", "1.53 m")):
        tapes.get_by_label("from", exact=True).fill("front rim: centre")
        tapes.get_by_label("to", exact=True).fill("rear rim: centre")
        tapes.get_by_label("it says").fill(size)
        tapes.get_by_label("called").fill(name)
        lines.keyboard.press("Enter")
        tapes.get_by_role("button", name=f"Leave the tape {name} out").wait_for()
    expect(tapes.get_by_text("off by one factor")).to_be_visible()
    found = Axe().run(lines, options={"runOnly": {"type": "tag", "values": RULES}})
    assert found.violations_count == 0, found.generate_report()
    assert lines.evaluate(SMALL_TARGETS, SMALLEST) == []
    assert lines.evaluate(SMALL_WORDS) == []
    assert lines.evaluate("() => document.documentElement.scrollWidth - innerWidth") <= 0
    for box in tapes.get_by_role("checkbox", name="trust").all():
        box.press("Space")
    tapes.get_by_role("button", name="Correct the scale from 2 trusted").press("Enter")
    tapes.get_by_role("button", name="Give that scale up").press("Enter")
    tables = lines.locator("section.part:has(h2:text-is('Lines from tables'))")
    expect(tapes.get_by_role("button", name="Give that scale up")).to_have_count(0)
    tables.get_by_text("Take a table in as lines").press("Enter")
    told = {"name": "form.csv", "mimeType": "text/csv", "buffer": as_csv(wigley_rows())}
    tables.locator("input[type=file]").set_input_files(told)
    tables.get_by_role("button", name="Leave form.csv out").press("Enter")
    expect(tables.get_by_role("button", name="Leave form.csv out")).to_have_count(0)
