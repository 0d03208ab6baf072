"""The gauges on the page: seen in space, picked, and asked for by keyboard."""

import pytest
from playwright.sync_api import expect

from browser.walking import go_to

pytestmark = pytest.mark.browser


def test_the_proof_stands_large_above_the_cards(open_page, served_unchanged):
    page = open_page(served_unchanged)
    go_to(page, "gauges")
    proof = page.locator(".proof")
    expect(proof.locator("strong").first).to_have_text("0.87 mm")
    expect(proof).to_contain_text("kept: 1.00 mm asked for, front wing, outside")
    expect(proof).to_contain_text("station -90 mm, 690 mm to the left, height 610 mm")
    expect(proof).to_contain_text("Lay a batten over the cards.")


def test_a_picked_card_shows_flat_with_its_hand_and_bevel(open_page, served_unchanged):
    page = open_page(served_unchanged)
    go_to(page, "gauges")
    page.locator(".space[data-drawn=yes]").wait_for()
    before = page.locator(".space canvas").screenshot()
    page.locator(".cards").get_by_role("button", name="FW3 R").click()
    expect(page.locator(".hand.right")).to_contain_text("FW3 R RIGHT")
    expect(page.locator(".said").nth(1)).to_contain_text(
        "bevel: file the edge's corners back 0.72 mm"
    )
    expect(page.get_by_text("front wing crown").first).to_be_visible()
    page.wait_for_timeout(300)
    assert page.locator(".space canvas").screenshot() != before


def test_sweeps_tell_their_radii_and_areas_and_where_they_belong(open_page, served_unchanged):
    page = open_page(served_unchanged)
    go_to(page, "gauges")
    page.locator(".space[data-drawn=yes]").wait_for()
    radii = page.get_by_role("region", name="Sweeps and their radii")
    expect(radii.get_by_role("row").nth(2)).to_contain_text("431 mm")
    expect(radii.get_by_role("row").nth(2)).to_contain_text("0.090 m²")
    page.get_by_role("button", name="B, place 2, left").click()
    expect(page.locator(".said").first).to_contain_text("hold it along the lesser bend")


def test_gauges_are_asked_for_by_keyboard_and_undone(open_page, served):
    page = open_page(served)
    go_to(page, "gauges")
    field = page.get_by_role("textbox", name="as many as make it true within")
    field.focus()
    page.keyboard.type("0,8 mm")
    page.keyboard.press("Enter")
    expect(field).to_have_value("0.8 mm")
    expect(page.locator(".kicker")).to_contain_text("older than the job")
    stand = page.get_by_role("checkbox", name="with a stand")
    stand.focus()
    page.keyboard.press("Space")
    expect(page.get_by_role("textbox", name="slots wider than the card by")).to_have_value("0.1 mm")
    page.get_by_role("button", name="Add the card").focus()
    page.keyboard.press("Enter")
    expect(page.locator(".asked-lines li")).to_have_count(1)
    for _ in range(3):
        page.get_by_role("button", name="Undo").click()
        page.wait_for_timeout(200)
    expect(field).to_have_value("")
    expect(stand).not_to_be_checked()


def test_what_cannot_be_is_refused_and_the_old_figure_comes_back(open_page, served):
    # The browser writes the status of a refusal to its console as well.
    page = open_page(served, forgiven="422")
    go_to(page, "gauges")
    field = page.get_by_role("textbox", name="also at these places")
    places = field.input_value()
    field.fill("")
    field.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("No gauge of the front wing would be left")
    expect(field).to_have_value(places)
