"""Four views, any section, measuring, snapping, lines on photographs, the table as a file."""

import json
import re
from urllib.request import HTTPCookieProcessor, Request, build_opener

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.conftest import serving
from browser.test_pulling_page import PLACE, SIDE, drag, drawn, hold, open_lines, typed
from browser.test_reach import RULES, SMALL_TARGETS, SMALL_WORDS, SMALLEST
from web.outlined_cab import make_outlined_cab_file
from web.small_cab_job import make_spanned_cab_file

pytestmark = pytest.mark.browser

REAR = 3


@pytest.fixture(scope="module")
def one_server(tmp_path_factory):
    path = tmp_path_factory.mktemp("linked") / "cab.buck"
    make_outlined_cab_file(path, make_spanned_cab_file)
    with serving(path) as address:
        yield address


@pytest.fixture
def cab(one_server, open_page):
    """The sheet of lines; what a test does to the job is undone after it."""
    host = one_server.split("/?")[0]
    visitor = build_opener(HTTPCookieProcessor())
    visitor.open(one_server).close()

    def asked(path, data=None):
        with visitor.open(Request(host + path, data=data)) as answer:
            return json.load(answer)

    before = asked("/api/job")["undo"]
    yield lambda **settings: open_lines(open_page(one_server, **settings))
    open_page.leave()
    while asked("/api/job")["undo"] != before:
        asked("/api/undo", b"{}")


def reached_by_everyone(page):
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}})
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SMALL_TARGETS, SMALLEST) == []
    assert page.evaluate(SMALL_WORDS) == []
    assert page.evaluate("() => document.documentElement.scrollWidth - innerWidth") <= 0


def millimetres(text):
    return [float(number) for number in re.findall(r"(-?[\d.]+) mm", text)]


def test_a_drag_in_the_rear_elevation_snaps_to_buttocks_and_levels(cab):
    page = cab()
    hold(page, "belt left")
    flat = page.locator(".flat svg").first
    flat.focus()
    flat.press("s")
    expect(page.get_by_role("checkbox", name="Snap drags (S)")).to_be_checked()
    every = page.get_by_role("textbox", name="levels every")
    every.fill("40 mm")
    every.press("Enter")
    expect(every).to_have_value("40 mm")
    flat.scroll_into_view_if_needed()
    before = drawn(page, "belt left")
    drag(page, "belt left", REAR, 0.5, (-3, -6))
    live = drawn(page, "belt left")
    assert live[SIDE] != before[SIDE]
    page.mouse.up()
    height = page.get_by_role("textbox", name="height", exact=True)
    expect(height).not_to_have_value("")
    assert millimetres(height.input_value())[0] % 40.0 == 0.0
    assert millimetres(typed(page, "half-breadth").input_value())[0] % 25.0 == 0.0
    expect(typed(page, "station")).to_have_value("")


def test_two_places_are_measured_by_hand_and_by_keys(cab):
    page = cab()
    flat = page.locator(".flat svg").first
    flat.focus()
    flat.press("m")
    words = page.locator(".measured-words")
    expect(words).to_contain_text("Pick two places")
    flat.scroll_into_view_if_needed()
    # Near the ends of the sill, which draw the pick to themselves.
    for share in (0.004, 0.996):
        page.mouse.click(*page.evaluate(PLACE, ["sill left", SIDE, share]))
    expect(words).to_contain_text("apart")
    by_hand = words.inner_text()
    expect(page.locator(".measured-end")).to_have_count(8)
    form = page.locator("form.measuring")
    form.get_by_label("line").first.select_option("belt left")
    form.get_by_label("line").nth(1).select_option("belt left")
    form.get_by_role("button", name="Measure these two").press("Enter")
    expect(words).to_contain_text("along belt left")
    true, fore, across, height, along = millimetres(words.inner_text().partition(": ")[2])
    assert true == pytest.approx((fore**2 + across**2 + height**2) ** 0.5, abs=0.2)
    assert along > true
    # Both ends of the sill: as far apart as the body is long.
    assert millimetres(by_hand.partition(": ")[2])[1] == pytest.approx(fore, abs=3.0)
    reached_by_everyone(page)
    flat.focus()
    flat.press("m")
    expect(page.locator(".measured-end")).to_have_count(0)


def test_a_line_is_pulled_in_a_section_and_stays_on_its_station(cab):
    page = cab(color_scheme="dark", viewport={"width": 820, "height": 900})
    hold(page, "belt left")
    section = page.locator(".sectioned")
    section.get_by_text("a station", exact=True).click()
    place = section.get_by_role("textbox", name="cut at station")
    place.fill("800 mm")
    place.press("Enter")
    expect(section.get_by_role("heading", name="Section at station 800 mm")).to_be_visible()
    expect(section.locator(".skin-cut")).to_have_attribute("d", re.compile("M"))
    expect(section.get_by_role("status")).to_contain_text("The skin is")
    handle = section.get_by_role("button", name=re.compile("^belt left at 800 mm"))
    handle.focus()
    handle.press("Shift+ArrowUp")
    handle.press("ArrowLeft")
    expect(typed(page, "station")).to_have_value("800 mm")
    expect(section.get_by_role("status")).to_contain_text("older than the lines")
    height = millimetres(typed(page, "height").input_value())[0]
    row = section.locator("tr", has_text="belt left")
    expect(row).to_contain_text(f"{height:g} mm")
    section.locator("svg").scroll_into_view_if_needed()
    box = section.locator("circle.passing.picked").first.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 4, y + 8, steps=4)
    expect(page.locator("g.hand")).not_to_have_attribute("data-moved", "0.000")
    page.mouse.up()
    expect(typed(page, "height")).not_to_have_value(f"{height:g} mm")
    expect(typed(page, "station")).to_have_value("800 mm")
    assert page.get_by_role("button", name=re.compile("^Take away the pin")).count() == 1
    reached_by_everyone(page)


def test_a_section_is_cut_upright_or_canted_through_what_was_measured(cab):
    page = cab(forgiven="422")
    page.get_by_role("button", name="Measure (M)").click()
    form = page.locator("form.measuring")
    for place in (0, 1):
        form.get_by_label("line").nth(place).select_option("belt left")
    form.get_by_role("button", name="Measure these two").click()
    expect(page.locator(".measured-words")).to_contain_text("apart")
    section = page.locator(".sectioned")
    section.get_by_text("canted through two points").click()
    expect(section.locator(".passing").first).to_be_visible()
    expect(page.locator(".cut-mark")).to_have_count(1)
    section.get_by_text("upright through two points").click()
    expect(section.get_by_role("heading", name=re.compile("Upright section"))).to_be_visible()
    first = section.get_by_role("group", name="first point").get_by_label("station")
    first.fill("no length")
    first.press("Enter")
    expect(page.get_by_role("alert")).to_be_visible()
    first.fill("100 mm")
    first.press("Enter")
    expect(page.get_by_role("alert")).to_have_count(0)
    expect(first).to_have_value("100 mm")


def test_lines_lie_on_the_photograph_and_the_table_goes_out_and_in(cab, tmp_path):
    page = cab()
    page.get_by_role("button", name="Lay the lines over a photograph").click()
    laid = page.locator(".onpicture")
    expect(laid.get_by_role("status")).to_contain_text("as this camera sees them")
    picture = laid.get_by_label("picture", exact=True)
    was = picture.input_value()
    laid.get_by_role("button", name="Picture after").press("Enter")
    expect(picture).not_to_have_value(was)
    with page.expect_download() as told:
        page.get_by_role("link", name="Table of offsets as CSV").click()
    rows = told.value.path().read_text().splitlines()
    place = next(k for k, row in enumerate(rows) if row.startswith("belt left,800"))
    line, station, half, height = rows[place].split(",")
    rows[place] = f"{line},{station},{half},{float(height) + 6.0:.3f}"
    path = tmp_path / "board.csv"
    path.write_text("\n".join([*rows, "nobody,800,1,1"]))
    page.get_by_label("Read a table of offsets").set_input_files(path)
    expect(page.get_by_text("1 figure of board.csv held now")).to_be_visible()
    expect(page.get_by_role("list", name="Rows that were left out")).to_contain_text("nobody")
    reached_by_everyone(page)


def test_show_brings_the_drawing_to_the_place(cab):
    page = cab()
    flat = page.locator(".flat svg").first
    whole = flat.get_attribute("viewBox")
    table = page.get_by_role("region", name="Where the views disagree, worst first")
    table.get_by_role("button", name="Show").first.press("Enter")
    expect(flat).not_to_have_attribute("viewBox", whole)
    x, y, wide, high = (float(n) for n in flat.get_attribute("viewBox").split())
    assert wide == pytest.approx(700.0)
    marks = page.locator("circle.looked-at").evaluate_all(
        "marks => marks.map((mark) => [mark.cx.baseVal.value, mark.cy.baseVal.value])"
    )
    assert [x + wide / 2, y + high / 2] in [pytest.approx(mark, abs=0.1) for mark in marks]
    page.get_by_role("button", name="All", exact=True).first.click()
    expect(flat).to_have_attribute("viewBox", whole)


def test_a_comb_that_is_seen_end_on_stays_short(cab):
    page = cab()
    hold(page, "front arch")
    paths = page.locator("g.hand path.comb:not(.edge)").evaluate_all(
        "paths => paths.map((path) => path.getAttribute('d'))"
    )
    assert len(paths) == 4
    longest = 0.0
    for path in paths:
        for tooth in path.split("M")[1:]:
            (x0, y0), (x1, y1) = (map(float, end.split()) for end in tooth.split("L"))
            longest = max(longest, ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5)
    # The arch is a stroke in side elevation and plan; there its teeth lie along it.
    assert 100.0 < longest < 341.0


def test_the_outline_of_the_silhouettes_is_laid_behind_all_views(cab):
    page = cab()
    page.get_by_role("checkbox", name="Outline behind the lines").check()
    expect(page.locator(".bench").get_by_role("status")).to_contain_text("lies inside it")
    expect(page.locator(".underlay path")).to_have_count(4)
    reached_by_everyone(page)
    page.get_by_role("checkbox", name="Outline behind the lines").uncheck()
    expect(page.locator(".underlay path")).to_have_count(0)
