"""The skin follows a pulled line: coarse at once, then fine; and lines are made sharp."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.conftest import serving
from browser.test_pulling_page import SIDE, drag, hold, open_lines
from browser.test_reach import BEYOND_THE_SIDE, RULES, SMALL_TARGETS, SMALL_WORDS, SMALLEST
from browser.walking import go_to
from buckwright.web.serving import skin_work
from web.small_cab_job import make_spanned_cab_file

pytestmark = pytest.mark.browser


@pytest.fixture
def spanned(tmp_path, open_page):
    path = tmp_path / "spanned.buck"
    make_spanned_cab_file(path)

    def start(follow=None, **settings):
        stack.append(serving(path, follow=follow))
        return open_page(stack[-1].__enter__(), **settings)

    stack = []
    yield start
    open_page.leave()
    for server in stack:
        server.__exit__(None, None, None)


@pytest.mark.slow
def test_a_pulled_line_bends_a_coarse_skin_and_the_fine_one_follows(spanned):
    page = open_lines(spanned(skin_work))
    expect(page.locator(".draft")).to_have_count(0)
    hold(page, "roof centre")
    drag(page, "roof centre", SIDE, 0.5, (0, -10))
    page.mouse.up()
    words = page.locator(".draft")
    expect(words).to_contain_text("Coarse: the whole skin")
    page.locator(".space[data-drawn=yes]").wait_for()
    # When the fine skin is there, nothing coarse is shown any more.
    expect(words).to_have_count(0, timeout=120_000)
    go_to(page, "skin")
    page.locator(".space[data-drawn=yes]").wait_for()
    expect(page.locator(".draft")).to_have_count(0)


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (820, "dark")])
def test_a_line_is_made_sharp_and_smooth_again(spanned, width, scheme):
    page = spanned(color_scheme=scheme, viewport={"width": width, "height": 900})
    go_to(page, "skin")
    page.locator(".space[data-drawn=yes]").wait_for()
    page.get_by_text("Make a line sharp", exact=True).click()
    page.get_by_label("Line", exact=True).select_option("belt left")
    page.get_by_label("To, along the line").fill("1 m")
    page.get_by_text("How it keeps to each line").click()
    expect(page.locator("tr", has_text="sill left on body")).to_contain_text("its edge")
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}})
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SMALL_TARGETS, SMALLEST) == []
    assert page.evaluate(SMALL_WORDS) == []
    assert page.evaluate(BEYOND_THE_SIDE) <= 0
    page.get_by_role("button", name="Make it sharp").focus()
    page.keyboard.press("Enter")
    row = page.locator("tr", has_text="belt left on body").first
    expect(row).to_contain_text("not yet worked out")
    expect(page.locator(".draft")).to_contain_text("Do not build from it")
    page.get_by_role("button", name="Make belt left on body smooth").click()
    expect(page.get_by_role("heading", name="No sharp lines")).to_be_visible()
    expect(page.locator(".draft")).to_have_count(0)
