"""What the lines bound, on the sheet of the skin: corrected by hand and by keyboard."""

import shutil

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.conftest import serving
from browser.test_reach import (
    BEYOND_THE_SIDE,
    RULES,
    SMALL_TARGETS,
    SMALL_WORDS,
    SMALLEST,
)
from browser.walking import go_to
from buckwright.store import JobFile
from web.field_job import plate_job

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module", name="plate")
def _plate(tmp_path_factory):
    path = tmp_path_factory.mktemp("plate") / "plate.buck"
    plate_job(path)
    return path


@pytest.fixture(name="served")
def _served(plate, tmp_path, open_page):
    path = shutil.copy(plate, tmp_path / "plate.buck")
    with serving(path) as address:
        yield address, path
        open_page.leave()


def shown(page):
    go_to(page, "skin")
    page.locator(".fieldviews .space[data-drawn=yes]").wait_for()
    page.locator(".fieldviews .flat path").first.wait_for()
    return page


def test_a_field_is_divided_named_joined_and_taken_by_keyboard(open_page, served):
    address, path = served
    page = shown(open_page(address))
    expect(page.locator(".fields")).to_contain_text("1 region and 1 open field")
    fields = page.get_by_role("region", name="Fields")
    fields.get_by_role("button").first.focus()
    page.keyboard.press("Enter")
    expect(page.locator(".fields .said")).to_contain_text("2 lines lie on it")
    page.locator(".correct").get_by_role("button", name="across", exact=True).focus()
    page.keyboard.press("Enter")
    expect(page.locator(".fields")).to_contain_text("2 regions and 1 open field")
    fields.get_by_role("button").first.focus()
    page.keyboard.press("Enter")
    box = page.get_by_label("Call it")
    box.fill("near panel")
    box.press("Enter")
    expect(fields).to_contain_text("near panel")
    page.get_by_role("button", name="Build the skin on these").focus()
    page.keyboard.press("Enter")
    expect(page.locator(".fields")).to_contain_text("The skin is built on these")
    with JobFile.open(path) as file:
        assert "near panel" in {spec.name for spec in file.job().regions}
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_role("button", name="Build the skin on these")).to_be_enabled()


def test_a_correction_is_taken_back(open_page, served):
    address, _ = served
    page = shown(open_page(address))
    page.get_by_label("A line").select_option("across")
    page.get_by_role("button", name="Divide the skin along it").click()
    expect(page.locator(".fields")).to_contain_text("2 regions")
    page.get_by_role("button", name="Take back: divided along 'across'").click()
    expect(page.locator(".fields")).to_contain_text("1 region and 1 open field")


def test_the_page_goes_to_the_place_of_a_line_that_bounds_nothing(open_page, served):
    address, _ = served
    page = shown(open_page(address))
    fault = page.locator(".findings li", has_text="speck")
    expect(fault).to_contain_text("2.0 mm long: it bounds nothing")
    space = page.locator(".fieldviews .space canvas")
    page.wait_for_timeout(400)
    before = space.screenshot()
    fault.get_by_role("button", name="Show where: speck").press("Enter")
    page.wait_for_timeout(600)
    assert space.screenshot() != before


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (820, "dark")])
def test_the_fields_are_within_everyone_s_reach(open_page, served, width, scheme):
    address, _ = served
    page = shown(open_page(address, color_scheme=scheme, viewport={"width": width, "height": 900}))
    page.get_by_role("region", name="Fields").get_by_role("button").first.click()
    page.locator(".correct").wait_for()
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}})
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SMALL_TARGETS, SMALLEST) == []
    assert page.evaluate(SMALL_WORDS) == []
    assert page.evaluate(BEYOND_THE_SIDE) <= 0
