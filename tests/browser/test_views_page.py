"""Views without a mat on the sheet of pictures: squared, joined, within reach."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.conftest import serving
from browser.test_reach import BEYOND_THE_SIDE, RULES, SMALL_TARGETS, SMALL_WORDS, SMALLEST
from browser.walking import go_to
from buckwright.cli import main
from cli.test_view_command import add_side, add_top, belt, make_views

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    path = make_views(tmp_path_factory.mktemp("views"))
    for asked in (
        add_side(path),
        [*belt(path, "side", 400.0), "--between=-660mm..-640mm"],
        add_top(path),
        belt(path, "plan", 710.0),
    ):
        assert main(asked) == 0
    with serving(path) as found:
        yield found


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (820, "dark")])
def test_views_are_squared_and_joined_within_reach(address, open_page, width, scheme):
    page = open_page(address, color_scheme=scheme, viewport={"width": width, "height": 900})
    go_to(page, "pictures")
    joined = page.locator("[data-joined='1']")
    expect(joined).to_contain_text("are left between them")
    expect(joined.get_by_role("row", name="belt").last).to_be_visible()
    squared = page.locator("img.squared").first
    squared.scroll_into_view_if_needed()
    squared.evaluate("image => image.decode()")
    assert squared.evaluate("image => image.naturalWidth") > 400
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}})
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SMALL_TARGETS, SMALLEST) == []
    assert page.evaluate(SMALL_WORDS) == []
    assert page.evaluate(BEYOND_THE_SIDE) <= 0
