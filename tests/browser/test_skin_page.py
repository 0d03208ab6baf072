"""The sheet of the skin: stripes, crowns, a section's comb, and soft spots to go to."""

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
    go_by_tab,
)
from browser.walking import go_to
from web.test_skin_sheet import dip_in_the_wing

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def dented(job_template, tmp_path_factory):
    """A server of the invented job with dips in its front wings."""
    path = shutil.copy(job_template, tmp_path_factory.mktemp("dented") / "plover.buck")
    dip_in_the_wing(path)
    with serving(path) as address:
        yield address


def shown(page):
    go_to(page, "skin")
    page.locator(".space[data-drawn=yes]").wait_for()
    page.locator(".crowns").wait_for()
    return page


def picture(page):
    page.wait_for_timeout(400)
    return page.locator(".space canvas").screenshot()


def test_the_lights_are_turned_and_crowns_and_bends_are_seen(open_page, dented):
    page = shown(open_page(dented))
    stripes = picture(page)
    page.get_by_role("slider", name="Turn the lights").fill("90")
    turned = picture(page)
    assert turned != stripes
    page.get_by_text("by crown", exact=True).click()
    crowns = picture(page)
    assert crowns not in (stripes, turned)
    expect(page.locator(".crowns li")).to_have_count(6)
    expect(page.locator(".crowns")).to_contain_text("High crown")
    page.get_by_text("by bend", exact=True).click()
    assert picture(page) != crowns
    expect(page.get_by_role("img", name="Mean bend")).to_be_visible()


def test_a_doubt_with_a_place_is_pinned_and_gone_to(open_page, dented):
    page = shown(open_page(dented))
    places = page.get_by_role("list", name="Places where the skin is in doubt")
    expect(places).to_contain_text("folded near")
    before = picture(page)
    places.get_by_role("button", name="Show where: body").click()
    assert picture(page) != before


def test_a_section_is_cut_and_its_comb_read_in_both_systems(open_page, dented):
    page = shown(open_page(dented))
    page.get_by_text("a station", exact=True).click()
    comb = page.locator(".comb")
    expect(comb).to_contain_text("tightest bend has a radius of")
    before, bare = comb.inner_text(), picture(page)
    page.locator(".section").get_by_role("slider").fill("0.3")
    expect(comb).not_to_have_text(before)
    assert picture(page) != bare
    expect(comb).to_contain_text("mm")
    page.get_by_text("ft-in", exact=True).click()
    expect(comb).to_contain_text("ft long")
    page.get_by_text("nothing", exact=True).click()
    expect(comb).to_have_count(0)


def test_a_soft_spot_is_gone_to_by_keyboard_alone(open_page, dented):
    page = shown(open_page(dented))
    row = page.locator("tr", has_text="front wing left").filter(has_text="mm").first
    expect(row).to_contain_text("Look at the lines")
    far = picture(page)
    go_by_tab(page, "table button.name")
    page.locator("table", has_text="deep").locator("button.name").first.focus()
    page.keyboard.press("Enter")
    expect(page.locator(".said")).to_contain_text("no line asks for it")
    assert picture(page) != far


def test_a_limit_is_changed_and_the_words_follow(served, open_page):
    page = shown(open_page(served))
    page.get_by_text("Where one crown ends and the next begins").click()
    box = page.get_by_label("Low crown down to")
    box.fill("4 m")
    box.press("Enter")
    expect(page.locator(".crowns")).to_contain_text("no tighter than 4 m")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator(".crowns")).to_contain_text("no tighter than 2.5 m")


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (820, "dark")])
def test_everything_on_the_sheet_opened_is_within_reach(open_page, dented, width, scheme):
    page = shown(open_page(dented, color_scheme=scheme, viewport={"width": width, "height": 900}))
    page.get_by_text("Where one crown ends and the next begins").click()
    page.get_by_text("by bend", exact=True).click()
    page.get_by_text("a level", exact=True).click()
    expect(page.locator(".comb")).to_contain_text("long")
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}})
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SMALL_TARGETS, SMALLEST) == []
    assert page.evaluate(SMALL_WORDS) == []
    assert page.evaluate(BEYOND_THE_SIDE) <= 0
