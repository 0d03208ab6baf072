"""Everyone can use it: axe, target sizes, no mouse, narrow and wide, day and night."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.walking import QUESTIONS, go_to

pytestmark = pytest.mark.browser

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
SMALLEST = 24


SMALL_TARGETS = """(least) => [...document.querySelectorAll('button, select, input, a')]
    .filter(e => e.type !== 'radio' && e.type !== 'checkbox' && !e.classList.contains('skip'))
    .map(e => [e.textContent || e.type, e.getBoundingClientRect()])
    .filter(([_, box]) => box.height < least || box.width < least)
    .map(([words]) => words)"""

SMALL_WORDS = """() => [...document.querySelectorAll('#page *')]
    .filter(e => [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()))
    .filter(e => {
        const svg = e.closest('svg');
        const box = svg?.viewBox.baseVal;
        const scale = svg && box.width
            ? Math.min(svg.clientWidth / box.width, svg.clientHeight / box.height) : 1;
        return parseFloat(getComputedStyle(e).fontSize) * scale < 15.9;
    })
    .map(e => e.textContent)"""

BEYOND_THE_SIDE = """() =>
    document.documentElement.scrollWidth - document.documentElement.clientWidth"""


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (820, "dark")])
def test_every_sheet_is_within_everyone_s_reach(open_page, served_unchanged, width, scheme):
    size = {"width": width, "height": 900}
    page = open_page(served_unchanged, color_scheme=scheme, viewport=size)
    page.get_by_role("button", name="History").click()
    options = {"runOnly": {"type": "tag", "values": RULES}}
    for name in QUESTIONS:
        go_to(page, name)
        found = Axe().run(page, options=options)
        assert found.violations_count == 0, (name, found.generate_report())
        assert page.evaluate(SMALL_TARGETS, SMALLEST) == [], name
        assert page.evaluate(SMALL_WORDS) == [], name
        assert page.evaluate(BEYOND_THE_SIDE) <= 0, name


def test_nothing_runs_off_the_side_of_a_telephone(open_page, served_unchanged):
    page = open_page(served_unchanged, viewport={"width": 400, "height": 800})
    for name in QUESTIONS:
        go_to(page, name)
        assert page.evaluate(BEYOND_THE_SIDE) <= 0, name


def test_targets_grow_for_fingers(open_page, served_unchanged):
    page = open_page(served_unchanged, has_touch=True, is_mobile=True)
    go_to(page, "buck")
    assert page.evaluate("() => matchMedia('(pointer: coarse)').matches")
    small = page.evaluate(
        """() => [...document.querySelectorAll('#sheet .tools button, #sheet button.name')]
            .filter(e => e.getBoundingClientRect().height < 44)
            .map(e => e.textContent)"""
    )
    assert small == []


def test_the_whole_job_is_walked_by_keyboard_alone(open_page, served_unchanged):
    page = open_page(served_unchanged)
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="To the sheet")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#sheet h1")).to_be_focused()
    go_by_tab(page, ".next a")
    page.keyboard.press("Enter")
    page.locator("#sheet[data-sheet=pictures][data-ready=true]").wait_for()
    go_by_tab(page, 'nav a[href="#skin"]')
    page.keyboard.press("Enter")
    page.locator("#sheet[data-sheet=skin][data-ready=true] .space[data-drawn=yes]").wait_for()
    before = page.locator(".space canvas").screenshot()
    go_by_tab(page, ".space")
    page.keyboard.press("ArrowRight")
    page.wait_for_timeout(300)
    assert page.locator(".space canvas").screenshot() != before


def go_by_tab(page, selector):
    for _ in range(120):
        if page.evaluate("s => document.activeElement?.matches(s) ?? false", selector):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"{selector} cannot be reached")
