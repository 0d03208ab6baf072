"""A person goes through the job on the page."""

from io import BytesIO
from zipfile import ZipFile

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import expect

from browser.walking import QUESTIONS, go_to
from web.invented_shape import make_skin

pytestmark = pytest.mark.browser


def drawn_colours(page, selector):
    """Colours of the canvas as the page shows it, most frequent first, the ground left out."""
    canvas = page.locator(selector)
    canvas.scroll_into_view_if_needed()
    with Image.open(BytesIO(canvas.screenshot())) as picture:
        counted = picture.convert("RGB").getcolors(1 << 24)
    counted.sort(reverse=True)
    return counted


def test_the_address_is_clean_once_the_key_is_swapped(open_page, served_unchanged):
    page = open_page(served_unchanged)
    assert "token" not in page.url
    assert page.title() == "Will they fit? · Plover · buckwright"


def test_all_sheets_follow_each_other_by_what_comes_next(open_page, served_unchanged):
    page = open_page(served_unchanged)
    for name, question in QUESTIONS.items():
        expect(page.locator("#sheet")).to_have_attribute("data-sheet", name)
        expect(page.locator("#sheet[data-ready=true] h1")).to_have_text(question)
        expect(page.locator(".answer b").first).to_be_visible()
        expect(page.get_by_role("heading", name="Doubts, and what to do")).to_be_visible()
        page.locator(".next a").click()
    expect(page.locator("#sheet")).to_have_attribute("data-sheet", "people")


@pytest.mark.parametrize("name", ["skin", "buck", "checking", "panels"])
def test_the_view_in_space_really_shows_something(open_page, served_unchanged, name):
    page = open_page(served_unchanged)
    go_to(page, name)
    page.locator(".space[data-drawn=yes]").wait_for()
    page.wait_for_timeout(300)
    counted = drawn_colours(page, ".space canvas")
    total = sum(count for count, _ in counted)
    ground = counted[0][0]
    assert (total - ground) / total > 0.03
    assert len(counted) > 8


def test_the_shape_map_has_the_colours_of_its_legend(open_page, served_unchanged):
    page = open_page(served_unchanged)
    go_to(page, "panels")
    page.locator("canvas[data-drawn=yes]").wait_for()
    colours = {colour for _, colour in drawn_colours(page, ".blank-paper canvas")}
    legend = page.locator(".legend rect").evaluate_all(
        "rects => rects.map(r => r.getAttribute('fill'))"
    )
    wanted = [tuple(int(n) for n in fill[4:-1].split()) for fill in legend]
    middle = wanted[14:-20]
    near = [
        any(max(abs(a - b) for a, b in zip(one, c, strict=True)) <= 3 for c in colours)
        for one in middle
    ]
    assert sum(near) >= 0.9 * len(near)


def points_of(shot):
    """The picture's points as (rows, columns, 3) signed numbers."""
    return np.asarray(Image.open(BytesIO(shot)).convert("RGB")).astype(int)


def test_a_view_lost_with_its_context_comes_back(open_page, served_unchanged):
    page = open_page(served_unchanged)
    go_to(page, "skin")
    page.locator(".space[data-drawn=yes]").wait_for()
    page.locator(".crowns").wait_for()
    page.wait_for_timeout(300)
    before = page.locator(".space canvas").screenshot()
    page.evaluate(
        """() => {
            window.away = window.contexts[0].getExtension('WEBGL_lose_context');
            window.away.loseContext();
        }"""
    )
    page.wait_for_function("() => window.contexts[0].isContextLost()")
    page.get_by_role("button", name="Left", exact=True).click()
    page.evaluate("() => window.away.restoreContext()")
    page.wait_for_function("() => !window.contexts[0].isContextLost()")
    page.wait_for_timeout(300)
    assert page.locator(".space canvas").screenshot() != before
    page.get_by_role("button", name="Corner", exact=True).click()
    page.wait_for_timeout(500)
    after = page.locator(".space canvas").screenshot()
    # Inside its frame, whose line falls between two points or on one as the page above has it.
    inside = (slice(2, -2), slice(2, -2))
    np.testing.assert_array_equal(points_of(after)[inside], points_of(before)[inside])
    assert page.evaluate("() => window.contexts.length") == 1


def test_picking_a_wire_in_the_table_picks_it_in_space_and_tells_its_lengths(
    open_page, served_unchanged
):
    page = open_page(served_unchanged)
    go_to(page, "buck")
    page.locator(".space[data-drawn=yes]").wait_for()
    before = page.locator(".space canvas").screenshot()
    wire = page.get_by_role("button", name="W2", exact=True).first
    wire.click()
    expect(wire).to_have_attribute("aria-pressed", "true")
    expect(page.locator(".said").first).to_contain_text(
        "W2, along middle section: cut to 3465.9 mm"
    )
    page.wait_for_timeout(300)
    assert page.locator(".space canvas").screenshot() != before


def test_picking_in_space_picks_the_row_of_the_table(open_page, served_unchanged):
    page = open_page(served_unchanged)
    go_to(page, "skin")
    page.locator(".space[data-drawn=yes]").wait_for()
    page.get_by_role("button", name="Left", exact=True).click()
    page.wait_for_timeout(300)
    box = page.locator(".space canvas").bounding_box()
    page.mouse.click(box["x"] + box["width"] * 0.7, box["y"] + box["height"] * 0.4)
    row = page.get_by_role("button", name="body", exact=True)
    expect(row).to_have_attribute("aria-pressed", "true")
    expect(page.locator(".said").first).to_contain_text("body:")


def test_the_plane_cuts_the_skin_where_the_slider_says(open_page, served_unchanged):
    regions = make_skin().regions
    low = min(region.vertices[:, 0].min() for region in regions)
    high = max(region.vertices[:, 0].max() for region in regions)
    station = low + 0.75 * (high - low)
    ahead = [(region.vertices[:, 0] < station)[region.triangles] for region in regions]
    cut = sum(int((corners.any(axis=1) & ~corners.all(axis=1)).sum()) for corners in ahead)

    page = open_page(served_unchanged)
    go_to(page, "skin")
    view = page.locator(".space[data-drawn=yes]")
    view.wait_for()
    page.get_by_text("a station", exact=True).click()
    slider = page.get_by_role("slider", name="station")
    slider.fill("0.75")
    expect(slider).to_have_attribute("aria-valuetext", f"station {station:.1f} mm")
    expect(view).to_have_attribute("data-section", str(cut))
    page.locator(".crowns").wait_for()
    before = page.locator(".space canvas").screenshot()
    page.get_by_role("button", name="Show the other half").click()
    page.wait_for_timeout(300)
    assert page.locator(".space canvas").screenshot() != before
    page.get_by_text("nothing", exact=True).click()
    expect(view).to_have_attribute("data-section", "0")


def test_a_line_pointed_at_in_the_table_shows_in_all_four_views(open_page, served_unchanged):
    page = open_page(served_unchanged)
    go_to(page, "lines")
    page.get_by_role("button", name="belt left").first.hover()
    expect(page.locator(".flat .line.near")).to_have_count(4)
    expect(page.locator(".said").first).to_contain_text("belt left:")


def test_a_line_is_picked_on_the_drawing(open_page, served_unchanged):
    page = open_page(served_unchanged)
    go_to(page, "lines")
    drawing = page.locator(".flat svg")
    drawing.scroll_into_view_if_needed()
    x, y = (
        page.locator('.flat .grip[data-name="middle section"]')
        .nth(1)
        .evaluate(
            """line => {
            const on = line.getPointAtLength(line.getTotalLength() * 0.15);
            const at = on.matrixTransform(line.getScreenCTM());
            return [at.x, at.y];
        }"""
        )
    )
    page.mouse.click(x, y)
    row = page.get_by_role("button", name="middle section", exact=True).first
    expect(row).to_have_attribute("aria-pressed", "true")


def test_pictures_are_chosen_zoomed_and_their_traces_hidden(open_page, served_unchanged):
    page = open_page(served_unchanged)
    go_to(page, "pictures")
    expect(page.locator(".photo .trace")).to_have_count(10)
    svg = page.locator(".photo svg")
    whole = svg.get_attribute("viewBox")
    page.get_by_role("button", name="Nearer").click()
    assert svg.get_attribute("viewBox") != whole
    svg.focus()
    page.keyboard.press("f")
    assert svg.get_attribute("viewBox") == whole
    page.get_by_role("button", name="Hide the traces").click()
    expect(page.locator(".photo .trace")).to_have_count(0)
    page.get_by_role("button", name="Picture after").click()
    expect(page.locator(".said").first).to_contain_text("view 02.jpg")


def test_lengths_change_their_units_everywhere_and_stay_so(open_page, served_unchanged):
    page = open_page(served_unchanged)
    expect(page.locator(".answer")).to_contain_text("42 mm")
    page.get_by_text("ft-in", exact=True).click()
    expect(page.locator(".answer")).to_contain_text('1 5/8"')
    expect(page.locator(".title")).to_contain_text("7' 6 9/16\"")
    assert " mm" not in page.locator("#sheet").inner_text()
    page.reload()
    expect(page.locator(".answer")).to_contain_text('1 5/8"')


def test_night_is_dark_and_day_is_light_whatever_the_machine_prefers(open_page, served_unchanged):
    page = open_page(served_unchanged, color_scheme="dark")
    sheet = page.locator("html")
    expect(sheet).to_have_attribute("data-theme", "dark")
    page.get_by_text("day", exact=True).click()
    expect(sheet).to_have_attribute("data-theme", "light")
    page.get_by_text("as the machine", exact=True).click()
    expect(sheet).to_have_attribute("data-theme", "dark")


def test_an_edit_is_undone_and_redone_by_keyboard_and_the_history_tells(open_page, served):
    page = open_page(served)
    go_to(page, "lines")
    switch = page.get_by_role("checkbox", name="longer load floor")
    switch.click()
    expect(page.locator(".kicker")).to_contain_text("older than the job")
    expect(switch).not_to_be_checked()
    page.keyboard.press("Control+z")
    expect(switch).to_be_checked()
    expect(page.locator(".kicker")).to_contain_text("worked out")
    page.keyboard.press("Control+Shift+z")
    expect(switch).not_to_be_checked()
    page.get_by_role("button", name="History").click()
    expect(page.locator("#history li")).to_contain_text(
        "departure 'longer load floor' switched off"
    )


def test_two_pages_see_one_history(open_page, served):
    first, second = open_page(served), open_page(served)
    go_to(first, "checking")
    first.get_by_role("textbox").fill("2,5")
    first.get_by_role("button", name="Change").click()
    expect(first.get_by_role("textbox")).to_have_value("2.5 mm")
    expect(second.get_by_role("button", name="Undo")).to_be_enabled()
    second.get_by_role("button", name="Undo").click()
    expect(first.get_by_role("textbox")).to_have_value("1.5 mm")


def test_a_length_that_cannot_be_read_is_refused_in_words(open_page, served):
    # The browser writes the status of a refusal to its console as well.
    page = open_page(served, forgiven="422")
    go_to(page, "checking")
    page.get_by_role("textbox").fill("1,234")
    page.get_by_role("button", name="Change").click()
    expect(page.get_by_role("alert")).to_contain_text("can be read in two ways")
    page.get_by_role("button", name="Put away").click()
    expect(page.get_by_role("alert")).to_have_count(0)


def test_the_packet_is_made_shown_and_downloaded(open_page, served, tmp_path):
    page = open_page(served)
    go_to(page, "drawings")
    page.get_by_role("button", name="Make the packet").click()
    whole = page.get_by_role("link", name="Download the whole packet")
    whole.wait_for(timeout=60_000)
    with page.expect_download() as download:
        whole.click()
    download.value.save_as(tmp_path / "packet.zip")
    with ZipFile(tmp_path / "packet.zip") as archive:
        assert "lists/rods.csv" in archive.namelist()
    with page.expect_download() as download:
        page.get_by_role("link", name="lists/rods.csv").click()
    download.value.save_as(tmp_path / "rods.csv")
    assert (tmp_path / "rods.csv").read_text().startswith("wire,mm")
    with page.expect_response("**/FW1%20L.svg*") as answer:
        page.reload()
    assert answer.value.status == 200
    expect(page.locator(".drawing image")).to_be_visible()
