"""Where views disagree is shown, and a figure of the table of offsets is typed over."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.conftest import serving
from browser.test_reach import RULES
from browser.walking import go_to
from web.small_cab_job import make_cab_file

pytestmark = pytest.mark.browser


@pytest.fixture
def cab(tmp_path, open_page):
    path = tmp_path / "cab.buck"
    make_cab_file(path)
    with serving(path) as address:
        page = open_page(address)
        go_to(page, "lines")
        yield page
        open_page.leave()


def test_a_place_is_shown_in_all_views_and_a_typed_height_moves_the_line(cab):
    table = cab.get_by_role("region", name="Where the views disagree, worst first")
    table.get_by_role("button", name="Show").first.press("Enter")
    expect(cab.locator(".looked-at")).to_have_count(4)
    expect(cab.locator("p.said").nth(1)).to_contain_text("apart in all")

    name = "height of belt left at station 800 mm"
    cell = cab.get_by_role("button", name=re.compile(name))
    was = float(cell.inner_text().removesuffix(" mm"))
    before = cab.locator('path.grip[data-name="belt left"]').first.get_attribute("d")
    cell.press("Enter")
    field = cab.get_by_role("textbox", name=name)
    expect(field).to_be_focused()
    field.press("Escape")
    expect(cell).to_have_text(f"{was:g} mm")
    cell.press("Enter")
    field.fill(f"{was + 6.0:g} mm")
    report = Axe().run(cab, options={"runOnly": {"type": "tag", "values": RULES}})
    assert report.violations_count == 0, report.generate_report()
    field.press("Enter")
    expect(cell).to_have_text(f"{was + 6.0:g} mm")
    assert cab.locator('path.grip[data-name="belt left"]').first.get_attribute("d") != before
