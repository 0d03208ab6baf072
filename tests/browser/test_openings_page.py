"""The sheet of openings: doors swung by a slider, glass let down, hinge points typed."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.test_reach import BEYOND_THE_SIDE, RULES, SMALL_TARGETS, SMALL_WORDS, SMALLEST
from browser.walking import go_to

pytestmark = pytest.mark.browser


def shown(page):
    go_to(page, "openings")
    page.locator(".space[data-drawn=yes]").wait_for()
    return page


def picture(page):
    page.wait_for_timeout(400)
    return page.locator(".space canvas").screenshot()


def changed(page, before):
    """The picture once it is another; a machine that does much else draws late."""
    for _ in range(40):
        now = picture(page)
        if now != before:
            return now
    raise AssertionError("the picture stayed as it was")


def test_a_door_is_swung_and_its_glass_let_down_by_keyboard(open_page, served_unchanged):
    page = shown(open_page(served_unchanged))
    expect(page.locator(".answer")).to_contain_text("meets the jamb at its front edge")
    shut = picture(page)
    swing = page.get_by_role("slider", name="Open")
    swing.focus()
    page.keyboard.press("End")
    # 0.8 rad, where it touches.
    expect(swing).to_have_attribute("aria-valuetext", "46° open, clear by 0.00 mm")
    opened = changed(page, shut)
    glass = page.get_by_role("slider", name="Glass down")
    glass.focus()
    page.keyboard.press("End")
    expect(glass).to_have_attribute(
        "aria-valuetext",
        "Glass down 250 mm: 11.0 mm outside, 25.0 mm inside, 40.0 mm at its edges",
    )
    changed(page, opened)
    page.get_by_role("button", name="screen", exact=True).first.click()
    expect(page.get_by_role("slider", name="Open")).to_have_count(0)
    expect(page.get_by_role("img", name="Glass of screen")).to_be_visible()


def test_a_hinge_point_is_typed_and_nonsense_refused(open_page, served):
    page = shown(open_page(served, forgiven="422"))
    box = page.get_by_label("Hinge point 2", exact=True)
    box.fill("800 mm; -640 mm; 505 mm")
    box.press("Enter")
    expect(page.get_by_text("too close to fix an axis")).to_be_visible()
    box.fill("800 mm; -640 mm; 950 mm")
    box.press("Enter")
    expect(page.locator("#sheet")).to_contain_text("The job has changed since")
    expect(box).to_have_value("800 mm; -640 mm; 950 mm")
    page.get_by_role("button", name="Undo").click()
    expect(box).to_have_value("800 mm; -640 mm; 900 mm")


def test_an_opening_is_added_and_left_out(open_page, served):
    page = shown(open_page(served))
    page.get_by_text("Add a door, window, screen or lid").click()
    page.get_by_label("Its name").fill("hatch")
    page.get_by_label("Add a line round it").select_option(index=1)
    page.get_by_role("button", name="Add it").click()
    expect(page.get_by_role("heading", name="hatch: a door")).to_be_visible()
    page.get_by_role("button", name="Leave out hatch").click()
    expect(page.get_by_role("heading", name="door left: a door")).to_be_visible()


@pytest.mark.parametrize(("width", "scheme"), [(1280, "dark"), (820, "light")])
def test_everything_on_the_sheet_unfolded_is_within_reach(
    open_page, served_unchanged, width, scheme
):
    size = {"width": width, "height": 900}
    page = shown(open_page(served_unchanged, color_scheme=scheme, viewport=size))
    page.evaluate("() => document.querySelectorAll('details').forEach(d => (d.open = true))")
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}})
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SMALL_TARGETS, SMALLEST) == []
    assert page.evaluate(SMALL_WORDS) == []
    assert page.evaluate(BEYOND_THE_SIDE) <= 0
