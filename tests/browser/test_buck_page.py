"""A person at the buck: picks a wire, bends it by its sheet, ticks it, and meets a later change."""

import shutil

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.conftest import serving
from browser.test_reach import BEYOND_THE_SIDE, RULES, SMALL_TARGETS, SMALL_WORDS, SMALLEST
from browser.walking import go_to
from buckwright.buck import mark_built
from buckwright.store import JobFile

pytestmark = pytest.mark.browser


def open_buck(open_page, address, **settings):
    page = open_page(address, **settings)
    go_to(page, "buck")
    page.locator(".space[data-drawn=yes]").wait_for()
    return page


def row_of(table, name):
    return table.locator("tr", has=table.page.get_by_role("button", name=name, exact=True))


def pick(page, name):
    page.get_by_role("button", name=name, exact=True).first.click()
    sheet = page.locator(".wire-sheet")
    expect(sheet.locator("h2").first).to_have_text(name)
    return sheet


def test_a_picked_wire_shows_its_outline_its_bends_and_its_marks(open_page, served_unchanged):
    page = open_buck(open_page, served_unchanged)
    expect(page.locator("#sheet")).to_contain_text("Pick a wire above")
    sheet = pick(page, "W2")
    expect(sheet.locator(".size")).to_have_text("cut to 3465.9 mm")
    expect(sheet.locator(".rod-paper .rod")).to_have_count(1)
    expect(sheet.locator(".rod-mark")).to_have_count(4)
    bends = sheet.get_by_role("region", name="Bend table")
    expect(bends.locator("tbody tr")).to_have_count(3)
    expect(bends.locator("tbody tr").nth(2)).to_contain_text("90.0 deg clockwise")
    expect(bends.locator("tbody tr").nth(0)).to_contain_text("371.5 mm")
    marks = sheet.get_by_role("region", name="Marks along the rod")
    expect(marks.locator("tbody tr")).to_have_count(4)
    sprung = pick(page, "W1")
    expect(sprung.get_by_role("region", name="How hard it pushes")).to_contain_text("17 N")
    expect(sprung.get_by_role("region", name="Bend table")).to_have_count(0)


def test_the_outline_is_drawn_as_wide_as_its_frame_allows_and_not_wider(
    open_page, served_unchanged
):
    page = open_buck(open_page, served_unchanged, viewport={"width": 820, "height": 900})
    sheet = pick(page, "W2")
    frame = sheet.locator(".rod-paper").first.bounding_box()
    rod = sheet.locator(".rod-paper .rod").first.bounding_box()
    assert frame["x"] < rod["x"]
    assert rod["x"] + rod["width"] < frame["x"] + frame["width"]
    assert max(rod["width"] / frame["width"], rod["height"] / frame["height"]) > 0.7


def test_a_wire_is_picked_in_space(open_page, served_unchanged):
    page = open_buck(open_page, served_unchanged)
    for words in ("Show the skin over it", "Frame and posts"):
        page.get_by_role("checkbox", name=words).click()
    page.get_by_role("button", name="Left", exact=True).click()
    page.wait_for_timeout(400)
    box = page.locator(".space canvas").bounding_box()
    heading = page.locator(".wire-sheet h2").first
    for place in range(int(0.2 * box["height"]), int(0.8 * box["height"]), 3):
        page.mouse.click(box["x"] + 0.62 * box["width"], box["y"] + place)
        if heading.count():
            break
    name = heading.inner_text()
    row = page.get_by_role("region", name="Wires", exact=True).locator("tr.picked")
    expect(row.get_by_role("button", name=name, exact=True)).to_have_attribute(
        "aria-pressed", "true"
    )


def test_wires_are_coloured_and_chosen_by_layer_stage_and_what_stands(open_page, served_unchanged):
    page = open_buck(open_page, served_unchanged)
    key = page.locator(".colour-key li")
    assert key.all_inner_texts() == ["layer 0", "layer 1", "frame, welded", "frame, bolted"]
    canvas = page.locator(".space canvas")
    before = canvas.screenshot()
    page.locator("label", has=page.get_by_role("radio", name="stage", exact=True)).click()
    assert key.all_inner_texts()[:2] == ["stage 1", "stage 2"]
    page.wait_for_timeout(300)
    by_stage = canvas.screenshot()
    assert by_stage != before
    page.locator("label", has=page.get_by_role("radio", name="stage 2", exact=True)).click()
    page.wait_for_timeout(300)
    assert canvas.screenshot() != by_stage
    page.locator("label", has=page.get_by_role("radio", name="what stands")).click()
    assert key.all_inner_texts()[0] == "to make"


def test_a_tick_marks_a_wire_as_built_and_undo_takes_it_back(open_page, served):
    page = open_buck(open_page, served)
    tick = page.get_by_role("checkbox", name="W2 is built")
    tick.click()
    expect(tick).to_be_checked()
    expect(page.locator("#sheet")).to_contain_text("1 of 10 wires are built")
    page.keyboard.press("Control+z")
    expect(tick).not_to_be_checked()
    page.get_by_role("button", name="Tick the 8 of stage 1 as built").click()
    expect(page.get_by_role("button", name="Stage 1 is built")).to_be_disabled()
    expect(page.locator("#sheet")).to_contain_text("8 of 10 wires are built")
    page.get_by_role("button", name="History").click()
    expect(page.locator("#history li").first).to_be_visible()
    expect(page.locator("#history")).to_contain_text("8 wires are built")


@pytest.fixture
def changed(job_template, tmp_path, open_page):
    """W1 stands 20 mm too low, W2 stands right, and one stands that nothing asks for."""
    path = shutil.copy(job_template, tmp_path / "changed.buck")
    with JobFile.open(path) as file:
        job = mark_built(
            file.job(), file.products(("buck",)).buck, ["W1", "W2", "W3"], "2026-03-14"
        )
        first, second, third = job.built
        low = first.model_copy(update={"axis": first.axis - np.array([0.0, 0.0, 20.0])})
        gone = third.model_copy(update={"name": "old hoop", "identity": "old hoop"})
        file.change("built", job.model_copy(update={"built": (low, second, gone)}))
    with serving(path) as address:
        yield address
        open_page.leave()


def test_a_later_change_lists_what_is_right_what_moves_what_goes_and_what_is_new(
    open_page, changed
):
    page = open_buck(open_page, changed)
    told = page.get_by_role("region", name="What each wire needs")
    first = told.locator("tbody tr").first
    expect(first).to_contain_text("W1")
    expect(first).to_contain_text("tack it elsewhere")
    expect(first).to_contain_text("20.0 mm")
    expect(told.locator("tr", has_text="old hoop")).to_contain_text("goes")
    expect(row_of(told, "W2")).to_contain_text("still right")
    counts = page.locator(".facts.counts").first
    expect(counts).to_contain_text("new")
    expect(counts).to_contain_text("8")
    sheet = pick(page, "W1")
    expect(sheet.locator(".stale")).to_contain_text("tack it elsewhere")
    sheet.get_by_role("button", name="It is done").click()
    expect(row_of(told, "W1")).to_contain_text("still right")
    expect(sheet.locator(".stale")).to_have_count(0)


def test_proposed_wires_are_shown_with_both_rules_and_taken_over(open_page, served):
    page = open_buck(open_page, served)
    expect(page.locator(".rule").nth(0)).to_contain_text("1 of 2 bays leave the skin unheld")
    expect(page.locator(".rule").nth(1)).to_contain_text("2 of 2 bays are soft")
    page.get_by_role("button", name="Take over body level 660").click()
    expect(page.locator(".wire-proposals li")).to_have_count(1)
    page.get_by_role("button", name="Take over all 1 proposed wires").click()
    expect(page.locator(".wire-proposals")).to_have_count(0)
    expect(page.locator("#sheet")).to_contain_text("All that was proposed is taken over.")


def test_a_wire_is_renamed_moved_and_dropped_and_a_taken_name_is_refused_in_words(
    open_page, served
):
    page = open_buck(open_page, served, forgiven="422")
    sheet = pick(page, "W3")
    sheet.get_by_text("Change this wire").click()
    name = sheet.get_by_label("Name", exact=True)
    name.fill("W2")
    name.press("Enter")
    expect(page.get_by_text("There is a wire 'W2' already.")).to_be_visible()
    expect(name).to_have_value("W3")
    name.fill("tail hoop")
    name.press("Enter")
    expect(sheet.get_by_role("button", name="Change").first).to_be_disabled()
    at = sheet.get_by_label("At station")
    at.fill("2.9 m")
    at.press("Enter")
    expect(at).to_have_value("2900 mm")
    sheet.get_by_role("button", name="Drop this wire").click()
    pick(page, "W3")
    expect(page.locator(".wire-sheet")).to_contain_text("asks for this wire no more")


def test_a_wire_is_added_by_keyboard_alone(open_page, served):
    page = open_buck(open_page, served)
    page.get_by_text("Add a wire").focus()
    page.keyboard.press("Enter")
    at = page.get_by_label("station at")
    at.focus()
    page.keyboard.type("6' 2\"")
    page.keyboard.press("Enter")
    expect(at).to_have_value("")
    page.get_by_role("button", name="History").click()
    expect(page.locator("#history")).to_contain_text("wire 'body station 1879.6' added")


def test_the_rack_takes_a_bar_and_gives_it_back(open_page, served):
    page = open_buck(open_page, served)
    expect(page.locator(".rack li")).to_have_count(1)
    page.get_by_label("length", exact=True).fill("1,2 m")
    page.get_by_role("button", name="Put it in the rack").click()
    expect(page.locator(".rack li")).to_have_count(2)
    expect(page.locator(".rack li").nth(1)).to_contain_text("1200 mm")
    page.get_by_role("button", name="Take 1200 mm of 6.35 mm rod out of the rack").click()
    expect(page.locator(".rack li")).to_have_count(1)


def test_frame_and_boards_are_told_in_words_and_chosen(open_page, served):
    page = open_buck(open_page, served)
    sheet = page.locator("#sheet")
    expect(sheet).to_contain_text("It comes out in one piece: down, out of the open underside")
    expect(sheet).to_contain_text("buck with frame, 76.0 kg: not by hand: use a hoist.")
    expect(sheet).to_contain_text("2 of 12 members are bolted")
    page.locator("label", has=page.get_by_role("radio", name="folded strip")).click()
    expect(page.get_by_role("radio", name="folded strip")).to_be_checked()
    boards = page.get_by_role("checkbox", name="Also draw the body as sawn boards")
    boards.click()
    thick = page.get_by_label("board thickness, measured")
    thick.fill("17.6")
    thick.press("Enter")
    expect(thick).to_have_value("17.6 mm")
    boards.click()
    expect(thick).to_have_count(0)


def test_paper_for_one_wire_and_for_the_change_is_taken_from_the_sheet(open_page, served):
    page = open_buck(open_page, served)
    sheet = pick(page, "W2")
    with page.expect_download() as download:
        sheet.get_by_role("link", name="A4 tiles (PDF)").click()
    assert download.value.suggested_filename == "wire-w2-A-A4.pdf"
    with page.expect_download() as download:
        page.get_by_role("link", name="only stage 2").click()
    assert download.value.suggested_filename == "wire-changes.zip"


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (820, "dark")])
def test_the_buck_with_everything_open_is_within_everyone_s_reach(
    open_page, changed, width, scheme
):
    size = {"width": width, "height": 900}
    page = open_buck(open_page, changed, color_scheme=scheme, viewport=size)
    pick(page, "W5")
    page.get_by_role("checkbox", name="Wheels and people").click()
    for summary in page.locator("summary").all():
        summary.click()
    options = {"runOnly": {"type": "tag", "values": RULES}}
    found = Axe().run(page, options=options)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SMALL_TARGETS, SMALLEST) == []
    assert page.evaluate(SMALL_WORDS) == []
    assert page.evaluate(BEYOND_THE_SIDE) <= 0
