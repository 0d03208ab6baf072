"""A family of lines is moved, watched and kept in shape on the page, by keyboard alone."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.conftest import serving
from browser.test_pulling_page import drawn, hold, open_lines
from browser.test_reach import RULES, SMALL_TARGETS, SMALLEST
from web.small_cab_job import make_cab_file

pytestmark = pytest.mark.browser


@pytest.fixture
def page(tmp_path, open_page):
    path = tmp_path / "cab.buck"
    make_cab_file(path)
    with serving(path) as address:
        yield open_lines(open_page(address))
        open_page.leave()


def test_a_family_is_moved_at_once_watched_and_given_up(page):
    before = drawn(page, "belt left")
    summary = page.locator("summary", has_text="Depart from the reference somewhere else")
    summary.focus()
    page.keyboard.press("Enter")
    form = page.locator("details", has=summary)
    form.get_by_text("moves lines").click()
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}})
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SMALL_TARGETS, SMALLEST) == []
    assert page.evaluate("() => document.documentElement.scrollWidth - innerWidth") <= 0
    form.get_by_label("what it is called").fill("higher belt")
    form.get_by_label("because").fill("elbows")
    form.get_by_label("belt left").focus()
    page.keyboard.press("Space")
    form.get_by_label("upward by").fill("20 mm")
    page.keyboard.press("Enter")
    give_up = page.get_by_role("button", name="Give up higher belt")
    expect(give_up).to_be_visible()
    expect(page.locator(".departures")).to_contain_text("belt left: 20 mm upward")
    moved = drawn(page, "belt left")
    assert moved != before
    assert drawn(page, "belt right") != before

    hold(page, "belt left")
    # In the hand it lies where it is drawn, the family's move included.
    page.locator(".flat svg").scroll_into_view_if_needed()
    assert page.locator("g.hand path.comb").first.get_attribute("d").count("M") > 100
    watch = page.locator("details", has_text="Watch another dimension").last
    watch.locator("summary").click()
    watch.get_by_label("what it is called").fill("belt at the crew")
    watch.get_by_label("of the line").select_option("belt left")
    watch.get_by_label("at station").fill("800 mm")
    watch.get_by_role("button", name="Watch it").click()
    row = page.get_by_role("row", name="belt at the crew")
    expect(row).to_be_visible()
    expect(row).to_contain_text("+")
    give_up.focus()
    page.keyboard.press("Enter")
    expect(give_up).to_have_count(0)
    expect(row).not_to_contain_text("+")
