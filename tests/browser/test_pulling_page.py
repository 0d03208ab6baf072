"""A line is pulled in the elevations."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.conftest import serving
from browser.test_reach import RULES, SMALL_TARGETS, SMALL_WORDS, SMALLEST
from web.small_cab_job import make_cab_file

pytestmark = pytest.mark.browser

PLACE = """([name, view, share]) => {
    const path = document.querySelectorAll(`path.grip[data-name="${name}"]`)[view];
    const at = path.getPointAtLength(share * path.getTotalLength());
    const { x, y } = at.matrixTransform(path.getScreenCTM());
    return [x, y];
}"""
SIDE, FRONT, PLAN = 0, 1, 2


@pytest.fixture
def cab(tmp_path, open_page):
    path = tmp_path / "cab.buck"
    make_cab_file(path)
    with serving(path) as address:
        yield lambda **settings: open_lines(open_page(address, **settings))
        open_page.leave()


def open_lines(page):
    page.locator('nav a[href="#lines"]').click()
    page.locator("#sheet[data-sheet=lines][data-ready=true]").wait_for()
    return page


def hold(page, name):
    page.get_by_role("button", name=name, exact=True).first.click()
    page.locator("g.hand").wait_for()
    page.locator(".flat svg").scroll_into_view_if_needed()


def drawn(page, name):
    """The path of the line in each view."""
    return page.locator(f'path.grip[data-name="{name}"]').evaluate_all(
        "paths => paths.map((path) => path.getAttribute('d'))"
    )


def typed(page, name):
    return page.get_by_role("textbox", name=name, exact=True)


def drag(page, name, view, share, by):
    x, y = page.evaluate(PLACE, [name, view, share])
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + by[0], y + by[1], steps=5)


def test_a_drag_in_the_side_elevation_moves_the_line_in_all_views_and_undo_restores_it(cab):
    page = cab()
    hold(page, "belt left")
    before, before_right = drawn(page, "belt left"), drawn(page, "belt right")
    beside = drawn(page, "hatch left")
    drag(page, "belt left", SIDE, 0.5, (0, -10))
    expect(page.locator("g.hand")).not_to_have_attribute("data-moved", "0.000")
    live = drawn(page, "belt left")
    for view in (SIDE, FRONT):
        assert live[view] != before[view]
    assert drawn(page, "belt right") != before_right
    assert drawn(page, "hatch left") != beside
    page.mouse.up()
    expect(page.get_by_role("button", name=re.compile("^Take away the pin"))).to_be_visible()
    expect(page.locator("g.hand")).to_have_attribute("data-moved", "0.000")
    # What the page drew while the hand moved is what came back, to the tenth that is drawn.
    for path, now in zip(live, drawn(page, "belt left"), strict=True):
        ours, theirs = ([float(n) for n in re.findall(r"-?[\d.]+", d)] for d in (path, now))
        assert ours == pytest.approx(theirs, abs=0.11)
    page.get_by_role("button", name="Undo", exact=True).click()
    expect(page.get_by_role("button", name=re.compile("^Take away the pin"))).to_have_count(0)
    assert drawn(page, "belt left") == before
    assert drawn(page, "hatch left") == beside


def test_a_drag_in_plan_sets_the_half_breadth_and_leaves_the_height(cab):
    page = cab()
    hold(page, "sill left")
    before = drawn(page, "sill left")
    drag(page, "sill left", PLAN, 0.5, (0, 9))
    page.mouse.up()
    expect(typed(page, "half-breadth")).not_to_have_value("")
    expect(typed(page, "height")).to_have_value("")
    assert drawn(page, "sill left")[PLAN] != before[PLAN]


def test_escape_lets_the_line_spring_back(cab):
    page = cab()
    hold(page, "roof centre")
    before = drawn(page, "roof centre")
    drag(page, "roof centre", SIDE, 0.5, (0, -10))
    assert drawn(page, "roof centre") != before
    page.keyboard.press("Escape")
    page.mouse.up()
    assert drawn(page, "roof centre") == before
    expect(page.get_by_role("button", name="Undo", exact=True)).to_be_disabled()


def test_a_pin_is_set_moved_and_taken_away_without_a_mouse(cab):
    page = cab()
    hold(page, "roof centre")
    page.get_by_label("new pin at, in % of its length").fill("40")
    page.get_by_role("button", name="Pin it there").press("Enter")
    pin = page.get_by_role("button", name=re.compile("^Pin at 40 % of roof centre, Side"))
    pin.focus()
    pin.press("Shift+ArrowUp")
    pin.press("ArrowUp")
    expect(page.get_by_text("moved by 11 mm")).to_be_visible()
    typed(page, "height").fill("1560")
    typed(page, "height").press("Enter")
    expect(typed(page, "height")).to_have_value("1560 mm")
    page.get_by_role("button", name=re.compile("^Pin at 40 % of roof centre, Plan")).press("Delete")
    expect(page.get_by_text("moved by")).to_have_count(0)


def test_a_length_that_is_none_is_refused_and_the_line_stays(cab):
    page = cab(forgiven="422")
    hold(page, "roof centre")
    before = drawn(page, "roof centre")
    page.get_by_label("new pin at, in % of its length").fill("40")
    page.get_by_role("button", name="Pin it there").click()
    typed(page, "height").wait_for()
    typed(page, "height").fill("1560 yards")
    with page.expect_response("**/api/change"):
        typed(page, "height").press("Enter")
    expect(page.get_by_role("alert")).to_be_visible()
    assert drawn(page, "roof centre") == before


@pytest.mark.parametrize(("scheme", "width"), [("light", 1280), ("dark", 820)])
def test_a_line_in_the_hand_is_within_everyone_s_reach(cab, scheme, width):
    page = cab(color_scheme=scheme, viewport={"width": width, "height": 900})
    hold(page, "belt left")
    drag(page, "belt left", SIDE, 0.4, (0, -8))
    page.mouse.up()
    typed(page, "height").wait_for()
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}})
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SMALL_TARGETS, SMALLEST) == []
    assert page.evaluate(SMALL_WORDS) == []
    assert page.evaluate("() => document.documentElement.scrollWidth - innerWidth") <= 0


def test_what_a_line_keeps_is_typed_drawn_and_kept_while_it_is_dragged(cab):
    page = cab()
    hold(page, "belt left")
    page.get_by_text("What belt left keeps").click()
    typed(page, "straight from, %").fill("20")
    page.locator("form", has_text="Make it straight").get_by_label("to, %").fill("40")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Straight from 20 % to 40 %")).to_be_visible()
    typed(page, "corner at, %").fill("70")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Corner at 70 %")).to_be_visible()
    end = page.locator("form", has_text="last end runs")
    end.get_by_label("last end runs").select_option("direction")
    end.get_by_label("rearward, right, up").fill("1 0 0")
    page.keyboard.press("Enter")
    # Both sides, four views.
    expect(page.locator(".straight-run")).to_have_count(8)
    expect(page.locator(".corner-mark")).to_have_count(8)
    expect(page.locator(".end-way")).to_have_count(8)
    before = page.locator(".straight-run").first.get_attribute("d")
    page.locator(".flat svg").scroll_into_view_if_needed()
    page.mouse.move(0, 0)
    drag(page, "belt left", SIDE, 0.3, (0, -10))
    expect(page.locator(".straight-run").first).not_to_have_attribute("d", before)
    points = page.evaluate("""() => document.querySelector('path.line.picked').getAttribute('d')""")
    numbers = [float(n) for n in re.findall(r"-?[\d.]+", points)]
    run = list(zip(numbers[::2], numbers[1::2], strict=True))[26:47]
    (x0, y0), (x1, y1) = run[0], run[-1]
    off = max(abs((x - x0) * (y1 - y0) - (y - y0) * (x1 - x0)) for x, y in run)
    # Drawn to the tenth of a millimetre.
    assert off / abs(x1 - x0) < 0.11
    page.mouse.up()
    expect(page.get_by_role("button", name=re.compile("^Take away the pin"))).to_be_visible()
    page.get_by_role("button", name="Take away: Corner at 70 %").click()
    expect(page.locator(".corner-mark")).to_have_count(0)
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}})
    assert found.violations_count == 0, found.generate_report()
