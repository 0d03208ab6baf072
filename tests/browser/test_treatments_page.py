"""Treatments of the skin on its sheet: asked for by keyboard, refused in words, within reach."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.test_reach import BEYOND_THE_SIDE, RULES, SMALL_TARGETS, SMALL_WORDS, SMALLEST
from browser.walking import go_to

pytestmark = pytest.mark.browser


def part(page):
    go_to(page, "skin")
    page.locator(".space[data-drawn=yes]").wait_for()
    return page.locator(".treatments")


def opened(treatments, head):
    summary = treatments.locator("summary", has_text=head)
    summary.focus()
    summary.press("Enter")
    return treatments.get_by_role("form", name=head)


def test_an_edge_is_turned_by_keyboard_alone_and_taken_back(served, open_page):
    page = open_page(served, forgiven="422")
    treatments = part(page)
    form = opened(treatments, "Turn an edge")
    form.get_by_label("region").select_option("front wing")
    width = form.get_by_label("how wide")
    width.fill("3 m")
    width.press("Enter")
    expect(page.get_by_role("alert").first).to_contain_text("cannot be how wide it is")
    width.fill("1/2 in")
    width.press("Enter")
    taken = treatments.get_by_role("button", name="Take back: flange along")
    expect(taken).to_have_count(1)
    change = opened(treatments, "Change flange along")
    wide = change.get_by_label("how wide")
    # A length that the page's own words would round is kept as it is until it is typed over.
    expect(wide).to_have_value("12.7 mm")
    wide.fill("broad")
    wide.press("Enter")
    expect(page.get_by_role("alert").first).to_contain_text("broad")
    wide.fill("20 mm")
    change.get_by_label("turned by").fill("70")
    # What was typed stands there at once; that the job holds it is known when the sheet comes anew.
    with page.expect_response("**/api/sheet/skin*") as answer:
        wide.press("Enter")
    asked = answer.value.json()["asked_treatments"]
    assert [row["spec"]["edge"]["width"] for row in asked] == [20.0]
    expect(wide).to_have_value("20 mm")
    # In a field the keys take back what was typed there.
    treatments.locator("summary", has_text="Change flange along").press("Control+z")
    expect(wide).to_have_value("12.7 mm")
    taken.press("Enter")
    expect(taken).to_have_count(0)


def test_the_faces_are_shown_and_their_distance_told(served_unchanged, open_page):
    page = open_page(served_unchanged)
    part(page)
    page.get_by_text("wire axis", exact=True).click()
    expect(page.locator("#sheet")).to_contain_text("The wire axis lies")
    page.get_by_text("outer face", exact=True).click()
    expect(page.locator("#sheet")).not_to_contain_text("The wire axis lies")


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (820, "dark")])
def test_every_form_opened_is_within_reach(served_unchanged, open_page, width, scheme):
    page = open_page(
        served_unchanged, color_scheme=scheme, viewport={"width": width, "height": 900}
    )
    treatments = part(page)
    for head in ("Trim a region", "Turn an edge", "Press a bead or a swage", "Cut louvres"):
        opened(treatments, head)
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}})
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SMALL_TARGETS, SMALLEST) == []
    assert page.evaluate(SMALL_WORDS) == []
    assert page.evaluate(BEYOND_THE_SIDE) <= 0
