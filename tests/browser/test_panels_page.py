"""A person reads a panel's map, changes its edges and seams, and asks where seams could go."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.test_reach import BEYOND_THE_SIDE, RULES, SMALL_TARGETS, SMALL_WORDS, SMALLEST
from browser.walking import go_to

pytestmark = pytest.mark.browser

VIEWS = {
    "shape and work": "What to do, in order",
    "edges": "Change",
    "seams": "Seams of front wing",
    "metal and sheets": "How the blanks lie on the sheets",
    "grid": "All lines, end to end",
    "paper": "Between the strips, on the finished panel",
}


def show(page, view):
    page.get_by_text(view, exact=True).first.click()
    expect(page.locator("#sheet")).to_contain_text(VIEWS[view])


def open_panels(open_page, address, view="shape and work", **settings):
    page = open_page(address, **settings)
    go_to(page, "panels")
    show(page, view)
    return page


def test_a_step_of_the_work_shows_its_area_on_the_panel_and_on_the_blank(
    open_page, served_unchanged
):
    page = open_panels(open_page, served_unchanged)
    page.locator(".space[data-drawn=yes]").wait_for()
    page.locator("canvas[data-drawn=yes]").wait_for()
    before = page.locator(".space canvas").screenshot()
    expect(page.locator(".area-edge.on")).to_have_attribute("d", "")
    page.get_by_role("button", name="Show shrink 1").click()
    expect(page.locator(".order.on")).to_have_text("1")
    assert page.locator(".area-edge.on").get_attribute("d").startswith("M")
    expect(page.locator(".said").first).to_contain_text("shrink 1: shrink the outer edge by 3 %")
    page.wait_for_timeout(300)
    assert page.locator(".space canvas").screenshot() != before


def test_an_area_is_picked_on_the_blank_and_told_in_words(open_page, served_unchanged):
    page = open_panels(open_page, served_unchanged)
    drawing = page.locator(".blank-paper svg")
    page.locator("canvas[data-drawn=yes]").wait_for()
    box = drawing.bounding_box()
    drawing.click(position={"x": box["width"] / 2, "y": box["height"] / 2})
    expect(page.locator(".said").first).to_contain_text("stretch 2: stretch the middle by 2 %")
    row = page.get_by_role("button", name="stretch 2", exact=True)
    expect(row).to_have_attribute("aria-pressed", "true")


def test_an_area_is_picked_in_space(open_page, served_unchanged):
    page = open_panels(open_page, served_unchanged)
    page.locator(".space[data-drawn=yes]").wait_for()
    page.get_by_role("button", name="Above", exact=True).click()
    page.wait_for_timeout(400)
    box = page.locator(".space canvas").bounding_box()
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    expect(page.locator(".said").first).to_contain_text("stretch 2")


def test_left_and_right_are_named_and_the_verdict_has_its_reason(open_page, served_unchanged):
    page = open_panels(open_page, served_unchanged)
    expect(page.locator(".facts.big")).to_contain_text("the left side")
    expect(page.locator(".verdict")).to_contain_text("with care")
    expect(page.locator(".verdict")).to_contain_text("least elongation is 4 %")
    expect(page.get_by_role("table", name="What would take it instead")).to_contain_text("3003-O")
    expect(page.locator("#sheet")).to_contain_text("Anneal when it begins to stiffen")


def test_an_aim_is_chosen_and_undone(open_page, served):
    page = open_panels(open_page, served)
    page.get_by_text("stretch only: no shrinker here").click()
    expect(page.locator(".kicker")).to_contain_text("older than the job")
    expect(page.get_by_label("stretch only: no shrinker here")).to_be_checked()
    page.keyboard.press("Control+z")
    expect(page.get_by_label("least work in all")).to_be_checked()


def test_an_edge_is_wired_by_keyboard(open_page, served):
    page = open_panels(open_page, served, "edges")
    form = page.get_by_role("form", name="Edge front wing edge of front wing crown")
    form.get_by_label("Make it").focus()
    page.keyboard.type("wired")
    form.get_by_label("wire", exact=True).focus()
    page.keyboard.type('3/16"')
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Undo")).to_be_enabled()
    expect(form.get_by_label("wire", exact=True)).to_have_value("4.8 mm")
    page.get_by_role("button", name="History").click()
    expect(page.locator("#history li")).to_contain_text("edge 'front wing edge': wired edge")


def test_a_seam_is_drawn_point_by_point_and_dropped(open_page, served):
    page = open_panels(open_page, served, "seams")
    for point in ("-20 -815 655", "0, -690, 730", "20 -565 655"):
        page.get_by_label("or type a point, mm").fill(point)
        page.keyboard.press("Enter")
    expect(page.locator(".points li")).to_have_count(3)
    page.get_by_label("Its name").fill("over the top")
    page.get_by_role("button", name="Part it through these points").click()
    drop = page.get_by_role("button", name="Drop seam over the top")
    expect(drop).to_be_visible(timeout=60_000)
    expect(page.locator("#sheet")).to_contain_text("Panel front wing crown rear")
    drop.click()
    expect(drop).to_have_count(0)


def test_points_are_clicked_on_the_skin(open_page, served_unchanged):
    page = open_panels(open_page, served_unchanged, "seams")
    page.locator(".space[data-drawn=yes]").wait_for()
    page.get_by_role("button", name="Above", exact=True).click()
    page.get_by_role("button", name="Draw it by clicking on the skin above").click()
    page.wait_for_timeout(400)
    box = page.locator(".space canvas").bounding_box()
    for across in (-0.02, 0.02):
        page.mouse.click(box["x"] + box["width"] * (0.5 + across), box["y"] + box["height"] / 2)
    expect(page.locator(".points li")).to_have_count(2)
    expect(page.locator(".points li").first).to_contain_text("buttock -")
    page.get_by_role("button", name="Take the last point back").click()
    expect(page.locator(".points li")).to_have_count(1)


def test_a_place_that_is_none_is_refused_in_words(open_page, served_unchanged):
    page = open_panels(open_page, served_unchanged, "seams")
    page.get_by_label("or type a point, mm").fill("left a bit")
    page.get_by_role("button", name="Put it", exact=True).click()
    expect(page.get_by_role("alert")).to_contain_text("is no place")


def test_a_search_is_stopped_its_options_compared_and_one_taken(open_page, served):
    page = open_panels(open_page, served, "seams")
    page.get_by_role("button", name="Search for seams").click()
    page.get_by_role("button", name="Stop, and keep the best so far").click()
    expect(page.locator(".take")).to_contain_text("Take B.", timeout=60_000)
    expect(page.locator(".tradeoff .spot")).to_have_count(2)
    page.get_by_role("button", name="A: 1 piece").click()
    expect(page.locator(".option h3")).to_contain_text("Option A")
    page.get_by_role("button", name="B: 2 pieces").click()
    page.get_by_role("button", name="Make option B the job's").click()
    expect(page.locator("#sheet")).to_contain_text("Panel wing front")
    expect(page.get_by_role("button", name="Drop seam wing seam 1")).to_be_visible()


def test_an_offcut_is_put_into_the_rack_and_taken_out(open_page, served):
    page = open_panels(open_page, served, "metal and sheets")
    expect(page.locator(".laid")).to_have_count(1)
    page.get_by_label("along the grain").fill("900")
    page.get_by_label("across", exact=True).fill("600")
    page.get_by_role("button", name="Put into the rack").click()
    expect(page.locator(".rack li")).to_contain_text("900 mm along the grain × 600 mm")
    page.get_by_role("button", name="Take offcut 1 out of the rack").click()
    expect(page.locator("#sheet")).to_contain_text("The rack is empty.")


def test_alloy_and_thickness_are_chosen_from_the_tables(open_page, served):
    page = open_panels(open_page, served, "metal and sheets")
    page.get_by_label("Alloy and temper").select_option("DC04")
    expect(page.locator("#sheet")).to_contain_text("EN 10130")
    page.get_by_label("Thickness as sold").select_option("1")
    expect(page.get_by_label("or typed")).to_have_value("1 mm")


def test_a_line_of_the_grid_shows_its_lengths(open_page, served_unchanged):
    page = open_panels(open_page, served_unchanged, "grid")
    expect(page.locator(".grid-scribed.on text")).to_have_text("A")
    marks = page.get_by_role("table", name="Line A, from mark to mark")
    expect(marks).to_contain_text("306.0 mm")
    page.get_by_role("button", name="1", exact=True).click()
    expect(page.locator(".grid-scribed.on text")).to_have_text("1")
    expect(page.get_by_role("table", name="Line 1, from mark to mark")).to_contain_text("128.7 mm")


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (820, "dark")])
def test_every_part_of_the_sheet_is_within_everyone_s_reach(
    open_page, served_unchanged, width, scheme
):
    size = {"width": width, "height": 900}
    page = open_panels(open_page, served_unchanged, color_scheme=scheme, viewport=size)
    options = {"runOnly": {"type": "tag", "values": RULES}}
    for view in VIEWS:
        show(page, view)
        page.wait_for_timeout(300)
        found = Axe().run(page, options=options)
        assert found.violations_count == 0, (view, found.generate_report())
        assert page.evaluate(SMALL_TARGETS, SMALLEST) == [], view
        assert page.evaluate(SMALL_WORDS) == [], view
        assert page.evaluate(BEYOND_THE_SIDE) <= 0, view


def test_no_part_of_the_sheet_runs_off_the_side_of_a_telephone(open_page, served_unchanged):
    page = open_panels(open_page, served_unchanged, viewport={"width": 400, "height": 800})
    for view in VIEWS:
        show(page, view)
        assert page.evaluate(BEYOND_THE_SIDE) <= 0, view
