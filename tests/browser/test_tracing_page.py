"""A line is traced on a picture: with the mouse, with fingers, with keys."""

import re

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.test_reach import BEYOND_THE_SIDE, RULES, SMALL_TARGETS, SMALL_WORDS, SMALLEST
from browser.walking import go_to
from buckwright.geometry.polyline import closest_on_polyline
from web.invented_pictures import make_pictures

pytestmark = pytest.mark.browser

SOURCES, _, TRACES, _ = make_pictures()
PICTURE = SOURCES[2].name
LINE = "belt left"
PX = next(t.px for t in TRACES if t.picture == PICTURE and t.line == LINE)


def along(count):
    return PX[np.linspace(0, len(PX) - 1, count).round().astype(int)]


def start(page, line="gutter", kind="tape"):
    """Tracing open on the picture, a line chosen: an old one, or a new one of a kind."""
    go_to(page, "pictures")
    page.get_by_role("button", name=PICTURE).first.click()
    page.get_by_role("button", name="Trace on this picture").click()
    page.locator(".tracing[data-whole=true]").wait_for()
    expect(board(page)).not_to_have_attribute("data-traces", "")
    if line != "gutter":
        page.get_by_label("Trace", exact=True).select_option(line)
    else:
        page.get_by_label("Trace", exact=True).select_option(label="a new line …")
        page.get_by_role("textbox", name="called").fill(line)
        page.get_by_label(kind, exact=True).check(force=True)
    board(page).scroll_into_view_if_needed()
    return page


def board(page):
    return page.locator(".tracing")


def on_screen(page, px):
    """Where a place of the picture lies in the window."""
    told = board(page).evaluate("e => ({ ...e.dataset })")
    box = board(page).bounding_box()
    near, (x, y) = float(told["nearness"]), map(float, told["corner"].split())
    return box["x"] + 1 + px[0] * near + x, box["y"] + 1 + px[1] * near + y


def click_along(page, count):
    for place, px in enumerate(along(count)):
        page.mouse.click(*on_screen(page, px))
        expect(board(page)).to_have_attribute("data-clicks", str(place + 1))
    expect(board(page)).to_have_attribute("data-snapped", str(count - 1))


def history(page):
    return page.evaluate(
        "async () => (await (await fetch('/api/job')).json()).history.map(o => o.description)"
    )


def traced(page, line="gutter"):
    return page.evaluate(
        """async ([name, line]) => {
            const sheet = await (await fetch('/api/sheet/pictures')).json();
            const { sha256 } = sheet.pictures.find(p => p.name === name);
            const told = await (await fetch(`/api/tracing/${sha256}?line=`)).json();
            return told.traces.filter(t => t.line === line);
        }""",
        [PICTURE, line],
    )


def test_clicks_snap_to_the_line_and_each_is_one_step_back(open_page, served):
    page = start(open_page(served))
    before = int(board(page).get_attribute("data-traces"))
    click_along(page, 4)
    expect(board(page)).to_have_attribute("data-traces", str(before + 1))
    (kept,) = traced(page)
    assert kept["kind"] == "tape"
    assert np.median(closest_on_polyline(np.array(kept["px"]), PX)[0]) < 1.0
    page.get_by_role("button", name="Undo", exact=True).click()
    expect(board(page)).to_have_attribute("data-clicks", "3")
    assert len(traced(page)[0]["clicks"]) == 3
    expect(page.locator("#sheet")).to_contain_text("older than the job")


def test_a_drag_moves_a_click_and_escape_lets_it_spring_back(open_page, served):
    page = start(open_page(served))
    click_along(page, 4)
    steps = len(history(page))
    old = traced(page)[0]["clicks"]
    x, y = on_screen(page, along(4)[1])
    for kept in (False, True):
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 6, y - 4, steps=4)
        if not kept:
            page.keyboard.press("Escape")
            page.mouse.up()
            assert len(history(page)) == steps
    page.mouse.up()
    page.wait_for_function(
        "async n => (await (await fetch('/api/job')).json()).history.length === n", arg=steps + 1
    )
    new = traced(page)[0]["clicks"]
    assert new[0] == old[0]
    assert np.hypot(*np.subtract(new[1], old[1])) > 3.0


def test_a_press_beside_the_trace_and_a_move_pans_and_sets_nothing(open_page, served):
    page = start(open_page(served))
    corner = board(page).get_attribute("data-corner")
    x, y = on_screen(page, along(3)[1])
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 60, y + 30, steps=4)
    page.mouse.up()
    expect(board(page)).not_to_have_attribute("data-corner", corner)
    expect(board(page)).to_have_attribute("data-clicks", "0")


def test_the_wheel_comes_nearer_to_what_is_under_it(open_page, served):
    page = start(open_page(served))
    board(page).focus()
    px = along(3)[1]
    before = on_screen(page, px)
    page.mouse.move(*before)
    near = float(board(page).get_attribute("data-nearness"))
    page.mouse.wheel(0, -400)
    expect(board(page)).not_to_have_attribute("data-nearness", f"{near:.6f}")
    assert float(board(page).get_attribute("data-nearness")) > 1.5 * near
    assert on_screen(page, px) == pytest.approx(before, abs=1.0)


def test_a_whole_trace_is_made_by_keys_alone_and_told_to_those_who_listen(open_page, served):
    page = start(open_page(served))
    voice = page.locator("p.hidden[role=status]")
    board(page).focus()
    for key, cross in (
        ("ArrowRight", 0.1),
        ("Shift+ArrowRight", 1.1),
        ("Control+ArrowRight", 11.1),
    ):
        page.keyboard.press(key)
        expect(board(page)).to_have_attribute("data-cross", f"{480 + cross:.1f}, 360.0")
    expect(voice).to_have_text("491.1, 360.0")
    page.keyboard.press("Enter")
    expect(board(page)).to_have_attribute("data-clicks", "1")
    page.keyboard.press("Control+Shift+ArrowUp")
    page.keyboard.press("Enter")
    expect(board(page)).to_have_attribute("data-clicks", "2")
    expect(voice).to_contain_text("Click 2 of 2 at 491.1, 260.0.")
    page.keyboard.press("Control+ArrowLeft")
    page.keyboard.press("Control+ArrowUp")
    page.keyboard.press("Enter")
    expect(voice).to_contain_text("Click 3 of 3 at 481.1, 250.0.")
    page.keyboard.press("Shift+Tab")
    expect(voice).to_contain_text("Click 2 of 3 at 491.1, 260.0. Move it and press Enter.")
    page.keyboard.press("Control+ArrowRight")
    page.keyboard.press("Enter")
    expect(voice).to_contain_text("Click 2 of 3 at 501.1, 260.0.")
    page.keyboard.press("Backspace")
    expect(board(page)).to_have_attribute("data-clicks", "2")
    expect(voice).to_contain_text("2 are left")
    page.wait_for_function(
        "async () => (await (await fetch('/api/job')).json()).history.length === 4"
    )
    assert traced(page)[0]["clicks"] == [[491.1, 360.0], [501.1, 260.0]]
    page.keyboard.press("Escape")
    expect(board(page)).to_have_attribute("data-clicks", "0")
    for _ in range(3):
        page.keyboard.press("Tab")
    assert not page.evaluate("document.activeElement.matches('.tracing')")


def test_a_finger_sets_clicks_and_two_fingers_come_nearer(open_page, served):
    page = start(open_page(served, has_touch=True))
    for place, px in enumerate(along(3)):
        page.touchscreen.tap(*on_screen(page, px))
        expect(board(page)).to_have_attribute("data-clicks", str(place + 1))
    expect(board(page)).to_have_attribute("data-snapped", "2")
    near = float(board(page).get_attribute("data-nearness"))
    x, y = on_screen(page, along(3)[1])
    fingers = page.context.new_cdp_session(page)

    def touch(kind, apart):
        places = [] if kind == "touchEnd" else [x - apart, x + apart]
        fingers.send(
            "Input.dispatchTouchEvent",
            {
                "type": kind,
                "touchPoints": [{"x": at, "y": y, "id": k} for k, at in enumerate(places)],
            },
        )

    touch("touchStart", 40)
    for apart in (55, 70, 85, 100):
        touch("touchMove", apart)
    touch("touchEnd", 0)
    expect(board(page)).not_to_have_attribute("data-nearness", f"{near:.6f}")
    assert float(board(page).get_attribute("data-nearness")) > 1.7 * near
    expect(board(page)).to_have_attribute("data-clicks", "3")


def test_a_trace_by_hand_is_taken_up_snapped_and_closed(open_page, served):
    page = start(open_page(served), line=LINE)
    page.mouse.click(*on_screen(page, along(3)[1]))
    expect(board(page)).to_have_attribute("data-clicks", str(len(PX)))
    page.get_by_label("snap to the tape").check(force=True)
    expect(board(page)).not_to_have_attribute("data-clicks", str(len(PX)))
    assert traced(page, LINE)[0]["kind"] == "tape"
    page.get_by_role("button", name="Take the trace away").click()
    expect(page.get_by_role("button", name="Take the trace away")).to_have_count(0)
    assert traced(page, LINE) == []


def test_the_line_stands_in_space_at_once_with_its_doubt(open_page, served):
    page = start(open_page(served), line=LINE)
    part = page.locator(f'[data-traced="{LINE}"]')
    part.locator(".space[data-drawn=yes]").wait_for()
    expect(part).to_contain_text(re.compile(r"From 6 pictures, good to about [\d.]+ mm"))
    page.mouse.click(*on_screen(page, along(3)[1]))
    page.get_by_role("button", name="Take the trace away").click()
    expect(part).to_have_attribute("data-pictures", "5")
    expect(part).to_contain_text("From 5 pictures")


def test_a_new_line_in_one_picture_gives_bands_in_the_next(open_page, served):
    page = start(open_page(served))
    click_along(page, 3)
    page.get_by_role("button", name="This trace is finished").click()
    expect(page.locator(".trace-why")).to_contain_text("one solved picture only")
    page.get_by_role("button", name="Picture before").click()
    page.locator(".tracing[data-whole=true]").wait_for()
    page.get_by_label("Trace", exact=True).select_option("gutter")
    expect(page.get_by_role("button", name="Bands of other pictures")).to_be_enabled()
    expect(page.get_by_text("It is traced in 1 other picture.")).to_be_visible()
    with_bands = board(page).screenshot()
    page.get_by_role("button", name="Bands of other pictures").click()
    page.wait_for_timeout(200)
    assert board(page).screenshot() != with_bands


def test_what_cannot_be_is_said_in_words_and_leaves_the_picture_as_it_was(open_page, served):
    page = start(open_page(served, forgiven="422"))
    page.get_by_role("textbox", name="called").fill("")
    page.mouse.click(*on_screen(page, (40.0, 40.0)))
    expect(page.get_by_role("alert")).to_contain_text("It is not said yet which line this is.")
    page.get_by_role("textbox", name="called").fill(LINE)
    page.get_by_role("textbox", name="called").fill("gutter")
    click_along(page, 3)
    first, second = (on_screen(page, px) for px in along(3)[:2])
    page.mouse.click(first[0] + 14, first[1] + 1)
    page.mouse.click((first[0] + second[0]) / 2, (first[1] + second[1]) / 2 + 60)
    expect(page.get_by_role("alert")).to_contain_text("crosses itself")
    kept = len(traced(page)[0]["clicks"])
    expect(board(page)).to_have_attribute("data-clicks", str(kept))


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (820, "dark")])
def test_tracing_is_within_everyone_s_reach(open_page, served, width, scheme):
    size = {"width": width, "height": 900}
    page = open_page(served, color_scheme=scheme, viewport=size)
    go_to(page, "pictures")
    small = page.evaluate(SMALL_WORDS)
    start(page)
    click_along(page, 3)
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}})
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SMALL_TARGETS, SMALLEST) == []
    assert set(page.evaluate(SMALL_WORDS)) <= set(small)
    assert page.evaluate(BEYOND_THE_SIDE) <= 0


def test_a_pen_draws_along_and_pressing_the_first_click_closes_the_trace(open_page, served):
    page = start(open_page(served))
    centre, radius = np.array([90.0, 330.0]), 70.0
    angle = np.linspace(0.0, 1.8 * np.pi, 40)
    ring = centre + radius * np.column_stack([np.cos(angle), np.sin(angle)])
    page.get_by_label("edge", exact=True).check(force=True)
    pen = page.context.new_cdp_session(page)
    for kind, px in (
        ("mousePressed", ring[0]),
        *(("mouseMoved", px) for px in ring[1:]),
        ("mouseReleased", ring[-1]),
    ):
        x, y = on_screen(page, px)
        pen.send(
            "Input.dispatchMouseEvent",
            {"type": kind, "x": x, "y": y, "button": "left", "buttons": 1, "pointerType": "pen"},
        )
    expect(board(page)).to_have_attribute("data-clicks", re.compile("^[4-7]$"))
    expect(board(page)).not_to_have_attribute("data-kept", "")
    assert len(history(page)) == 1
    assert traced(page)[0]["closed"] is False
    page.mouse.click(*on_screen(page, ring[0]))
    page.wait_for_function(
        "async () => (await (await fetch('/api/job')).json()).history.length === 2"
    )
    assert traced(page)[0]["closed"] is True
